"""Reading and writing folders of trees."""

from __future__ import annotations

from pathlib import Path

import pytest

from consult.content.library.files import (
    LibraryTrouble,
    digest_of_files,
    main_tree_names,
    protect,
    read_files,
    remove_folder,
    touched_trees,
    with_version,
    write_files,
)
from consult.marked.marks import parse_marked
from consult.paths import shipped_trees
from tests.content.library.libraries import SHIPPED, write


def test_a_folder_is_read_without_what_editors_leave(tmp_path: Path) -> None:
    """Hidden files and folders and copies with a tilde are no part of the trees."""
    write(tmp_path, SHIPPED)
    write(tmp_path, {".from": "1", ".git/x.yaml": "", "a.yaml~": "", "summary/.b.j2.swp": ""})
    assert read_files(tmp_path) == {name: text.encode() for name, text in SHIPPED.items()}


@pytest.mark.parametrize(
    "other",
    [
        {"a": b"1", "b": b"3"},
        {"a": b"1"},
        {"a": b"1", "c": b"2"},
        {"a": b"2", "b": b"1"},
        {"a": b"1b", "": b"2"},
        {"a": b"1", "b": b"2", "c": b""},
    ],
)
def test_a_digest_tells_folders_apart(other: dict[str, bytes]) -> None:
    """Another name or byte anywhere; the order of reading does not count."""
    files = {"a": b"1", "b": b"2"}
    assert digest_of_files(files) == digest_of_files(dict(reversed(files.items())))
    assert digest_of_files(files) != digest_of_files(other)


def test_a_protected_folder_can_be_taken_away(tmp_path: Path) -> None:
    """By the program, which alone does so; a folder that is not there is no trouble."""
    files = {name: text.encode() for name, text in SHIPPED.items()}
    write_files(tmp_path / "version", files)
    protect(tmp_path / "version")
    assert not (tmp_path / "version" / "summary").stat().st_mode & 0o222
    assert read_files(tmp_path / "version") == files
    remove_folder(tmp_path / "version")
    remove_folder(tmp_path / "version")
    assert list(tmp_path.iterdir()) == []


# -- writing a version into the main trees, and nothing else --------------------------------------

BYTES = {name: text.encode() for name, text in SHIPPED.items()}


def test_main_trees_are_those_no_other_includes() -> None:
    """Of the shipped trees too; contacts, range and templates are no trees."""
    assert main_tree_names(BYTES) == ["seating.yaml", "second.yaml"]
    shipped = main_tree_names(read_files(shipped_trees()))
    assert {"seating.yaml", "follow_up.yaml", "team_order.yaml"} <= set(shipped)
    assert {"closing.yaml", "aches.yaml", "contacts.yaml", "range.yaml"}.isdisjoint(shipped)


@pytest.mark.parametrize(
    ("line", "becomes"),
    [
        ("version: 2026.11", "version: 2031.01.02"),
        ("version:   2026.11   # the month", "version:   2031.01.02   # the month"),
        ("version: '2026.11'", "version: '2031.01.02'"),
        ('"version": "2026.11"#', '"version": "2031.01.02"#'),
        ("version: spring of 26", "version: 2031.01.02"),
        ("version:\n  2026.11", "version:\n  2031.01.02"),
        ("version: 2026.11\r", "version: 2031.01.02\r"),
    ],
)
@pytest.mark.parametrize(
    "before", ["", "\ufeff", "# \N{SLIGHTLY SMILING FACE}\r\n", "a: b\u2028\n"]
)
def test_only_the_version_is_replaced(line: str, becomes: str, before: str) -> None:
    """Every other byte stays: remarks, quotes, line ends, the mark at the beginning."""
    text = f"{before}tree: t\n{line}\nfirst: a # é\n"
    made = with_version({"t.yaml": text.encode()}, "2031.01.02")["t.yaml"].decode()
    assert made == f"{before}tree: t\n{becomes}\nfirst: a # é\n"
    marked, _ = parse_marked(made.removeprefix("\ufeff"), "t.yaml")
    assert marked is not None
    assert marked.raw("version") == "2031.01.02"


@pytest.mark.parametrize("line", ['version: "\\x32026.11"', "version: >-\n  2026\n  11"])
def test_a_version_that_cannot_be_replaced_is_refused(line: str) -> None:
    """Rather than anything being written over that was not understood."""
    with pytest.raises(LibraryTrouble, match=r"t\.yaml, line 2"):
        with_version({"t.yaml": f"tree: t\n{line}\n".encode()}, "1")


def test_what_is_no_tree_stays() -> None:
    """Broken files and files without a version are left for the check to speak of."""
    files = {
        "a.yaml": b"tree: [",
        "b.yaml": b"\xff",
        "c.yaml": b"tree: c\n",
        "d.md": b"tree: d\nversion: 1\n",
        "in/e.yaml": b"tree: e\nversion: 1\n",
    }
    assert with_version(files, "2") == files


def test_a_difference_touches_the_trees_that_lean_on_it() -> None:
    """A sub-tree those that take it in, any other file all of them; a version and a page none."""
    taken = b"tree: sub\nversion: 1\nquestions: {a: {ask: A}}\n"
    takes = b"tree: top\nversion: 1\nquestions: {in: {include: sub}}\n"
    old = {"top.yaml": takes, "sub.yaml": taken, "alone.yaml": b"tree: alone\nversion: 1\n"}
    old |= {"contacts.yaml": b"contacts: 1\n", "GUIDE.md": b"Guide"}

    def touched(**changed: bytes) -> list[str]:
        return touched_trees(old, old | {f"{name}.yaml": text for name, text in changed.items()})

    assert touched() == []
    assert touched(alone=b"tree: alone\nversion: 2\n") == []
    assert touched_trees(old, old | {"GUIDE.md": b"Another"}) == []
    assert touched(sub=taken.replace(b"ask: A", b"ask: B")) == ["top.yaml"]
    assert touched(alone=b"tree: alone\nversion: 1\ntitle: T\n") == ["alone.yaml"]
    assert touched(contacts=b"contacts: 2\n") == ["top.yaml", "alone.yaml"]
    assert touched(top=takes.replace(b"include: sub", b"ask: B")) == ["top.yaml", "sub.yaml"]
    assert touched(new=b"range: new\n") == ["top.yaml", "alone.yaml"]
