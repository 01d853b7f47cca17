"""Writing a version into the main trees, and nothing else."""

from __future__ import annotations

import pytest

from consult.content.library import LibraryTrouble
from consult.content.library.files import read_files
from consult.content.library.main_trees import main_trees, with_version
from consult.marked.marks import parse_marked
from consult.paths import shipped_trees
from tests.content.library.libraries import SHIPPED

BYTES = {name: text.encode() for name, text in SHIPPED.items()}


def test_main_trees_are_those_no_other_includes() -> None:
    """Of the shipped trees too; contacts, range and templates are no trees."""
    assert main_trees(BYTES) == ["seating.yaml", "second.yaml"]
    shipped = main_trees(read_files(shipped_trees()))
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
