"""A tree that was found sound is checked again only where what the check reads has changed."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from consult.paths import trees_folder
from consult.tree import check, load
from consult.tree.check import check_tree
from consult.tree.draft import Draft
from consult.tree.load import load_tree


@pytest.fixture
def checked(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The trees that were really checked, each time."""
    made: list[str] = []
    whole = check.all_problems

    def counted(draft: Draft, path: Path, features: object) -> object:
        made.append(path.stem)
        return whole(draft, path, features)  # type: ignore[arg-type]

    monkeypatch.setattr(check, "all_problems", counted)
    return made


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The demonstration trees, to be changed."""
    return Path(shutil.copytree(trees_folder(), tmp_path / "trees"))


def edit(file: Path, old: str, new: str) -> None:
    text = file.read_text("utf-8")
    assert old in text
    file.write_text(text.replace(old, new, 1), "utf-8")


def test_what_was_found_sound_is_not_checked_again(folder: Path, checked: list[str]) -> None:
    """The tree is the same, whether it was checked or known to be sound."""
    path = folder / "my_chair.yaml"
    first, second = load_tree(path), load_tree(path)
    assert checked == ["my_chair"]
    assert first == second
    assert first[1] == []


@pytest.mark.parametrize(
    ("file", "old", "new"),
    [
        ("my_chair.yaml", "version: ", "version: 1"),
        ("contacts.yaml", "urgent:", "urgently:"),
        ("settings.yaml", "maker: ", "maker: Another "),
        ("plain_words.yaml", "\n", "\n\n"),
    ],
)
def test_whatever_the_check_reads_makes_it_check_again(
    folder: Path, checked: list[str], file: str, old: str, new: str
) -> None:
    """The tree itself, and the files beside it."""
    path = folder / "my_chair.yaml"
    assert check_tree(path) == []
    edit(folder / file, old, new)
    check_tree(path)
    assert len(checked) == 2


def test_a_slip_in_a_part_of_a_sound_tree_is_told(folder: Path) -> None:
    """A tree that takes in another one is no longer sound where that is not."""
    path = folder / "my_chair.yaml"
    assert check_tree(path) == []
    edit(folder / "closing.yaml", "not known(caller_contact)", "not known(nobody_here)")
    assert any("nobody_here" in one.message for one in check_tree(path))


def test_problems_are_told_every_time(folder: Path) -> None:
    """A tree that is not sound is checked whenever it is read."""
    path = folder / "my_chair.yaml"
    edit(path, "next: ", "next: nowhere_at_all # ")
    first = check_tree(path)
    assert first
    assert check_tree(path) == first


def test_the_features_of_a_range_are_checked_where_they_are_given(
    folder: Path, checked: list[str]
) -> None:
    """Without them less is checked, so that it proves nothing of what a range has; with them the
    rest is proven as well."""
    path = folder / "seating.yaml"
    assert check_tree(path) == []
    assert check_tree(path, frozenset({"nothing"})) != []
    assert len(checked) == 2


def test_another_limit_of_the_range_is_checked_anew(folder: Path, checked: list[str]) -> None:
    """Limits stand in the conditions as figures."""
    path = folder / "my_chair.yaml"
    check_tree(path, limits={"range.heaviest": 150.0})
    check_tree(path, limits={"range.heaviest": 151.0})
    assert len(checked) == 2


def test_another_program_checks_anew(
    folder: Path, checked: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """What an earlier version found sound, a later one looks at itself."""
    path = folder / "my_chair.yaml"
    check_tree(path)
    monkeypatch.setattr(load, "_program", lambda: "a later one")
    check_tree(path)
    assert len(checked) == 2
