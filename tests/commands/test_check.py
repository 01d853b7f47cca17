"""Checking files on the command line."""

from __future__ import annotations

import shutil
from collections.abc import Set
from pathlib import Path

import pytest

from consult.content.library.files import main_tree_names, read_files
from consult.paths import demo_folder, trees_folder
from consult.problems import Problem
from consult.tree.check import check_tree
from consult.tree.condition import Limits
from tests.commands.runs import Run

HEAD = "transcript: A call\ntree: seating\ntoday: 2026-11-25\n"
KEYS = {"file", "line", "column", "severity", "rule", "message", "fix"}


@pytest.fixture
def copied(tmp_path: Path) -> Path:
    """A copy of the trees to spoil."""
    return Path(shutil.copytree(trees_folder(), tmp_path / "trees"))


def test_the_shipped_trees_are_clean(run: Run) -> None:
    """Without names, every file of the trees folder is checked, and none has a mistake."""
    made = run("check")
    assert (made.code, made.err) == (0, "")
    kinds = ("*.yaml", "summary/*.md.j2", "practice/*.yaml", "practice/courses/*.yaml")
    count = sum(len(list(trees_folder().glob(one))) for one in kinds)
    assert f"Trees: {trees_folder()} (the demonstration that comes with consult)" in made.out
    assert f"Settings: {trees_folder() / 'settings.yaml'} (Tarnbeck Seating)" in made.out
    assert made.out.endswith(f"{count} files checked: 0 errors, 0 warnings.\n")


def test_the_demo_calls_are_clean(run: Run) -> None:
    """The demo calls name only questions that there are."""
    made = run("check", *map(str, sorted(demo_folder().glob("*.yaml"))))
    assert made.code == 0, made.out


def test_clean_json_is_an_empty_list(run: Run) -> None:
    """For editors, no problem is an empty list."""
    made = run("check", str(trees_folder() / "range.yaml"), "--json")
    assert (made.code, made.json) == (0, [])


def test_a_range_in_other_money_than_the_settings_is_told(run: Run, tmp_path: Path) -> None:
    """After the settings were changed; at the line that documents go by."""
    for name in ("range.yaml", "settings.yaml"):
        shutil.copy(trees_folder() / name, tmp_path / name)
    file = tmp_path / "settings.yaml"
    text = file.read_text("utf-8").replace("GBP", "EUR").replace("with tax", "without tax")
    file.write_text(text, "utf-8")
    made = run("check", str(tmp_path / "range.yaml"), "--json")
    assert made.code == 0
    told = {one["message"].split(";")[0]: one["line"] for one in made.json}
    lines = (tmp_path / "range.yaml").read_text("utf-8").splitlines()
    assert told == {
        "The prices here have the currency GBP": lines.index("currency: GBP") + 1,
        "The prices here have the vat included": lines.index("vat: included") + 1,
    }


def test_a_broken_tree(run: Run, copied: Path) -> None:
    """A mistake in a sub-tree is found there, by line and column, with exit code 1."""
    file = copied / "desk.yaml"
    text = file.read_text("utf-8").replace("next: desk_may_change", "next: desk_may_chang")
    file.write_text(text, "utf-8")
    made = run("check", str(file), "--json")
    assert made.code == 1
    first = made.json[0]
    assert first.keys() == KEYS
    assert first["file"] == str(file)
    line = text.splitlines()[first["line"] - 1]
    assert line[first["column"] - 1 :].startswith("desk_may_chang")
    assert first["severity"] == "error"
    assert "desk_may_change" in first["fix"]
    told = run("check", str(file))
    assert told.code == 1
    assert f"{file}:{first['line']}:{first['column']}: error: " in told.out
    assert "1 file checked: 1 error, 0 warnings." in told.out


def test_a_sub_tree_is_checked_as_part_of_its_main_tree(run: Run, copied: Path) -> None:
    """A sub-tree reads questions of the tree around it, so alone it is not called wrong."""
    assert run("check", str(copied / "aches.yaml")).code == 0


def test_a_missing_file(run: Run, tmp_path: Path) -> None:
    """A name that leads nowhere is bad use."""
    made = run("check", str(tmp_path / "none.yaml"))
    assert (made.code, made.out) == (2, "")
    assert made.err == f"consult: There is no file {tmp_path / 'none.yaml'}.\n"


def test_a_folder(run: Run, tmp_path: Path, copied: Path) -> None:
    """A folder is checked whole, and is named with the settings that hold for it."""
    # Practice and templates are checked with the trees that ship, above.
    shutil.rmtree(copied / "practice")
    shutil.rmtree(copied / "summary")
    made = run("check", str(copied))
    assert made.code == 0
    assert f"Trees: {copied} (named here)" in made.out
    assert f"Settings: {copied / 'settings.yaml'} (Tarnbeck Seating)" in made.out
    (copied / "settings.yaml").write_text("settings: 1\n", "utf-8")
    broken = run("check", str(copied))
    assert broken.code == 1
    assert "settings.yaml:1:1: error: 'maker' is missing." in broken.out
    empty = tmp_path / "empty"
    empty.mkdir()
    made = run("check", str(empty))
    assert made.code == 2
    assert "There is no tree file" in made.err


def test_a_name_with_control_characters_is_shown_safely(run: Run) -> None:
    """A file name cannot steer the terminal."""
    made = run("check", "no\x1b[31m\nfile")
    assert made.code == 2
    assert "\x1b" not in made.err


@pytest.mark.parametrize(
    ("content", "rule"),
    [
        (bytes(range(256)), "not-utf8"),
        (b"\x00\x01", "control-character"),
        (b"", "empty-file"),
        (b"tree: [", "bracket"),
        (b"- a\n- b\n", None),
        (b"hello\n", None),
        (b"tree: x\n", None),
        (b"transcript: x\n", None),
        (b"range: x\n", None),
        (b"contacts: x\n", None),
    ],
)
def test_files_that_are_no_tree(run: Run, tmp_path: Path, content: bytes, rule: str | None) -> None:
    """Whatever is in a file, its mistakes are told as problems of the file, exit code 1."""
    file = tmp_path / "odd.yaml"
    file.write_bytes(content)
    made = run("check", "--json", str(file))
    assert made.code == 1
    assert {problem["file"] for problem in made.json} == {str(file)}
    if rule:
        assert made.json[0]["rule"] == rule


def test_a_call_file_with_an_unknown_question(run: Run, tmp_path: Path) -> None:
    """An answer to a question there is not is found, with the nearest name."""
    file = tmp_path / "call.yaml"
    file.write_text(HEAD + "answers:\n  - statur: 160\n", "utf-8")
    made = run("check", "--json", str(file))
    assert made.code == 1
    (problem,) = made.json
    assert (problem["rule"], problem["line"], problem["column"]) == ("unknown-question", 5, 5)
    assert problem["fix"] == "Did you mean 'stature'?"


def test_a_call_file_of_an_unknown_tree(run: Run, tmp_path: Path) -> None:
    """A call file that names a tree there is not is a mistake, never passed as clean."""
    file = tmp_path / "call.yaml"
    file.write_text(HEAD.replace("seating", "seatin") + "answers: []\n", "utf-8")
    made = run("check", "--json", str(file))
    assert made.code == 1
    (problem,) = made.json
    assert (problem["rule"], problem["line"], problem["column"]) == ("unknown-tree", 2, 7)
    assert problem["fix"] == "Did you mean 'seating'?"


def test_each_problem_is_told_once(run: Run, copied: Path) -> None:
    """A mistake seen from two files is one mistake."""
    file = copied / "desk.yaml"
    file.write_text(file.read_text("utf-8").replace("topic: table", "topik: table"), "utf-8")
    made = run("check", "--json", *map(str, sorted(copied.glob("*.yaml"))))
    told = [tuple(problem.items()) for problem in made.json]
    assert made.code == 1
    assert len(told) == len(set(told))


def test_one_slip_is_told_as_one(run: Run, copied: Path) -> None:
    """Not again for every name, practice caller and word that leans on the file that has it."""
    file = copied / "deciding.yaml"
    text = file.read_text("utf-8")
    assert "ask: To estimate" in text
    file.write_text(text.replace("ask: To estimate", "ask: One thing: to estimate"), "utf-8")
    checked = run("check", str(copied))
    assert "files checked: 1 error, 0 warnings." in checked.out
    assert f"{file}:" in checked.out
    # A practice caller that is named alone says why it was not checked.
    alone = run("check", str(copied / "practice" / "feet_and_stones.yaml"))
    assert "The tree 'seating' has errors itself." in alone.out


def test_each_tree_is_checked_once(run: Run, copied: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """However many files of a tree are named, the tree is read from its main file once."""
    roots: list[str] = []

    def counted(path: Path, features: Set[str], *, limits: Limits) -> list[Problem]:
        roots.append(path.name)
        return check_tree(path, features, limits=limits)

    monkeypatch.setattr("consult.commands.check.check_tree", counted)
    assert run("check", *map(str, sorted(copied.glob("*.yaml")))).code == 0
    assert sorted(roots) == sorted(main_tree_names(read_files(copied)))
    assert len(roots) > 2


def test_a_forgotten_sign_is_an_error(run: Run, copied: Path) -> None:
    """A warning sign that no caution reads any more is named, and the check fails."""
    file = copied / "aches.yaml"
    text = file.read_text("utf-8")
    assert "cough_pain in pain_signs or " in text
    file.write_text(text.replace("cough_pain in pain_signs or ", ""), "utf-8")
    made = run("check", "--json", str(file))
    assert made.code == 1
    (problem,) = made.json
    assert (problem["rule"], problem["file"]) == ("no-caution", str(file))
    assert "'cough_pain' of 'pain_signs'" in problem["message"]


@pytest.mark.parametrize(
    "kind",
    [
        *("seating.yaml", "desk.yaml", "range.yaml", "contacts.yaml", "callers.yaml"),
        *("practice/*.yaml", "practice/courses/*.yaml", "summary/*.md.j2"),
    ],
)
def test_characters_nobody_can_see(run: Run, copied: Path, kind: str) -> None:
    """They are refused in every kind of file of the trees, in a remark too."""
    file = sorted(copied.glob(kind))[0]
    whole, unseen = file.read_text("utf-8"), ("\u202e", "\u2066", "\x1b", "\x9b")
    # Of a template all are told at once, of YAML the first: each is tried in the quickest of them.
    alone = unseen if kind == "contacts.yaml" else unseen[:1]
    for told in (unseen,) if file.suffix == ".j2" else ((one,) for one in alone):
        remark = "{{# a{}b #}}\n" if file.suffix == ".j2" else "# a{}b\n"
        file.write_text(whole + "".join(remark.format(one) for one in told), "utf-8")
        made = run("check", str(file), "--json")
        assert made.code == 1
        lines = file.read_text("utf-8").split("\n")
        found = [one for one in made.json if one["rule"] == "control-character"]
        assert tuple(lines[one["line"] - 1][one["column"] - 1] for one in found) == told


@pytest.mark.parametrize("written", ["\\u202E", "\\e", "\\x9b", "\\x00"])
def test_such_characters_in_letters_and_figures(run: Run, copied: Path, written: str) -> None:
    """YAML makes a character of them, which is refused where the text stands."""
    file = copied / "contacts.yaml"
    text = file.read_text("utf-8")
    file.write_text(text.replace("[United Kingdom,", f'["United{written} Kingdom",'), "utf-8")
    made = run("check", str(file), "--json")
    (found,) = [one for one in made.json if one["rule"] == "control-character"]
    assert f"United{written}" in file.read_text("utf-8").split("\n")[found["line"] - 1]


def test_a_caller_may_say_them(run: Run, tmp_path: Path) -> None:
    """A call file holds what was said; it is shown as signs."""
    call = tmp_path / "call.yaml"
    call.write_text(f"{HEAD}answers:\n- caller_name: Ada\u202eFen\n", encoding="utf-8")
    assert run("check", str(call)).code == 0
