"""Comparing trees on the command line."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
import yaml

from consult.paths import demo_folder, trees_folder
from consult.tree.folder import main_trees
from tests.commands.runs import Run
from tests.content.effect.edits import TREE, basis_of

FEW = ("--callers", "12")


@pytest.fixture
def folders(tmp_path: Path) -> tuple[Path, Path]:
    """Two folders with the same little tree."""
    basis_of(tmp_path / "old")
    basis_of(tmp_path / "new")
    return tmp_path / "old", tmp_path / "new"


def edit(folder: Path, old: str, new: str) -> None:
    """Replace a piece of the little tree."""
    assert old in TREE
    (folder / "little.yaml").write_text(TREE.replace(old, new), "utf-8")


def test_nothing_changes(run: Run, folders: tuple[Path, Path]) -> None:
    """Exit code 0, and it says so; nothing goes to standard error, which is no terminal."""
    made = run("impact", *map(str, folders), *FEW)
    assert (made.code, made.err) == (0, "")
    assert "little 1: 12 simulated callers (seed 1) run" in made.out
    assert "Nothing changes in the sample of 12 simulated callers" in made.out


def test_a_lost_caution(run: Run, folders: tuple[Path, Path]) -> None:
    """Exit code 1, loud, as text and as JSON."""
    edit(folders[1], "level: stop", "level: note")
    made = run("impact", *map(str, folders), *FEW)
    assert made.code == 1
    assert "!! WARNING LOWERED: 'numb_stop' (stop) is now only note" in made.out
    assert made.out.endswith("1 removed warning, marked with !! above. Read these first.\n")
    data = run("impact", *map(str, folders), *FEW, "--json").json
    (tree,) = data["trees"]
    assert tree["lost_cautions"][0]["caution"] == "numb_stop"
    assert (data["new_trees"], data["gone_trees"]) == ([], [])


def test_a_change_that_loses_nothing(run: Run, folders: tuple[Path, Path]) -> None:
    """Advice given to others is told, and the exit code is 0."""
    edit(folders[1], "when: tired\n", "when: not tired\n")
    made = run("impact", *map(str, folders), *FEW)
    assert made.code == 0
    assert "No warning is removed in the sample of 12" in made.out
    assert "Advice now given:" in made.out


def test_two_files(run: Run, folders: tuple[Path, Path]) -> None:
    """Tree files may be named themselves."""
    files = [str(folder / "little.yaml") for folder in folders]
    assert run("impact", *files, *FEW).code == 0


def test_the_same_seed_is_the_same(run: Run, folders: tuple[Path, Path]) -> None:
    """Word for word; another seed finds other callers."""
    edit(folders[1], "when: tired\n", "when: not tired\n")
    first = run("impact", *map(str, folders), *FEW).out
    assert run("impact", *map(str, folders), *FEW).out == first
    assert run("impact", *map(str, folders), *FEW, "--seed", "2").out != first


def test_into_a_file(run: Run, folders: tuple[Path, Path], tmp_path: Path) -> None:
    """Nothing is printed; the file holds it."""
    out = tmp_path / "effect.json"
    made = run("impact", *map(str, folders), *FEW, "--json", "--out", str(out))
    assert (made.code, made.out, made.err) == (0, "", "")
    assert json.loads(out.read_text("utf-8"))["trees"][0]["tree"] == "little"


def test_a_tree_gone_and_a_tree_new(run: Run, folders: tuple[Path, Path]) -> None:
    """A tree that is gone takes its cautions along: exit code 1. A new one loses nothing."""
    more = folders[1] / "more.yaml"
    more.write_text(TREE.replace("tree: little", "tree: more"), "utf-8")
    made = run("impact", *map(str, folders), *FEW)
    assert made.code == 0
    assert "The tree 'more' is new" in made.out
    made = run("impact", *map(str, reversed(folders)), *FEW)
    assert made.code == 1
    assert "!! The tree 'more' was removed, with every caution in it." in made.out


def test_shares_of_the_folder_are_read(run: Run, folders: tuple[Path, Path]) -> None:
    """Where nobody has a sign, a stop made milder is met by nobody, and still told."""
    edit(folders[1], "level: stop", "level: note")
    well = "signs: {chances: {none: 100}, source: made up}"
    text = f"callers: well\nunknown: 0\nquestions:\n  {well}\n"
    (folders[0] / "callers.yaml").write_text(text, "utf-8")
    made = run("impact", *map(str, folders), *FEW)
    assert made.code == 1
    assert "is now only note. No caller in the sample had met it." in made.out
    assert "No caller in the sample met 'numb_stop', 'fever_refer'" in made.out


def test_the_shipped_trees(run: Run, tmp_path: Path) -> None:
    """Every main tree is named, with the number of its demo calls."""
    draft = tmp_path / "draft"
    shutil.copytree(trees_folder(), draft)
    made = run("impact", str(trees_folder()), str(draft), "--callers", "2")
    assert made.code == 0
    demos = [file.read_text("utf-8") for file in demo_folder().glob("*.yaml")]
    for tree, file in main_trees(trees_folder()).items():
        version = yaml.load(file.read_text("utf-8"), yaml.BaseLoader)["version"]
        count = sum(f"\ntree: {tree}\n" in text for text in demos)
        assert count > 1
        who = f"2 simulated callers (seed 1) and {count} demo calls run"
        assert f"{tree} {version}: {who}" in made.out


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("nowhere", "{new}"), "There is no file or folder nowhere."),
        (("{old}", "{new}/little.yaml"), "One name is a file and the other a folder."),
        (("{old}", "{empty}"), "There is no tree file in"),
        (("{old}", "{new}", "--callers", "0"), "--callers takes a number from 1 to 20,000."),
        (("{old}", "{new}", "--out", "{empty}"), "is a folder"),
        (("{old}", "{broken}"), "error: "),
        (("{old}", "{shares}"), "add up to 140 of 100"),
    ],
)
def test_bad_use(
    run: Run, folders: tuple[Path, Path], arguments: tuple[str, ...], said: str
) -> None:
    """Exit code 2, with one plain line of why."""
    places = {"old": folders[0], "new": folders[1]}
    for name in ("empty", "broken", "shares"):
        places[name] = folders[0].parent / name
        if name == "empty":
            places[name].mkdir()
        else:
            shutil.copytree(folders[0], places[name])
    edit(places["broken"], "next: signs", "next: sings")
    text = "callers: x\nquestions:\n  floor: {shares: {carpet: 70, hard: 70}, source: made up}\n"
    (places["shares"] / "callers.yaml").write_text(text, "utf-8")
    made = run("impact", *(each.format(**places) for each in arguments))
    assert (made.code, made.out) == (2, "")
    assert said in made.err


def test_callers_files_are_checked(run: Run, folders: tuple[Path, Path]) -> None:
    """``consult check`` finds a misspelt question in one."""
    file = folders[0] / "callers.yaml"
    file.write_text("callers: x\nquestions:\n  flor: {unknown: 1, source: made up}\n", "utf-8")
    made = run("check", str(file))
    assert made.code == 0
    assert "Did you mean 'floor'?" in made.out


def test_live_and_draft_are_compared_by_their_names(
    run: Run, folders: tuple[Path, Path], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As with the command that lists changes; a folder so called comes first."""
    (tmp_path / "library").mkdir()
    folders[1].rename(tmp_path / "library" / "draft")
    monkeypatch.setenv("CONSULT_TREES", str(tmp_path / "library"))
    assert "Nothing changes" in run("impact", str(folders[0]), "draft", *FEW).out
    assert "There is no file or folder livv." in run("impact", "livv", "draft", *FEW).err
