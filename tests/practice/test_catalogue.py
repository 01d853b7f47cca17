"""The callers to choose from."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from consult.paths import shipped_trees, trees_folder
from consult.practice.catalogue import (
    callers_folder,
    choice_of,
    choices_in,
    suggested,
    tree_of,
)
from consult.practice.learner.done import Done, Met
from consult.practice.learner.standing import Topic
from consult.practice.load import FOLDER

TODAY = date(2026, 11, 25)
CALLER = """\
practice: {name}
title: Somebody
tree: seating
sex: female
behaviours:
"""
BEHAVIOUR = """\
  - {{name: b{at}, kind: {kind}, at: lower_leg, about: heel, answer: 2 cm, explain: It is so.}}
"""
DONE = Done("Ann", TODAY, "plain", 1, "guided", 70, 100, passed=True)


def written(folder: Path, name: str, *kinds: str) -> Path:
    """A caller with behaviours of these kinds."""
    text = CALLER.format(name=name) if kinds else CALLER.format(name=name).rsplit("beh", 1)[0]
    for at, kind in enumerate(kinds):
        text += BEHAVIOUR.format(at=at, kind=kind)
    path = folder / f"{name}.yaml"
    path.write_text(text, "utf-8")
    return path


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Three callers, a file of words, and one that cannot be read."""
    written(tmp_path, "hard_one", "contradicts", "sign_in_passing")
    written(tmp_path, "plain")
    written(tmp_path, "between", "wrong_tape", "shoes_on")
    (tmp_path / "words.yaml").write_text("ways_of_speaking: some\n", "utf-8")
    (tmp_path / "broken.yaml").write_text("practice: [", "utf-8")
    return tmp_path


def test_easy_ones_first(folder: Path) -> None:
    """Callers come by how much there is to notice; a file with errors is named and left out."""
    found, problems = choices_in(folder)
    assert [(one.name, one.difficulty) for one in found] == [
        ("plain", "easy"),
        ("between", "middling"),
        ("hard_one", "hard"),
    ]
    assert found[1].topics == {Topic("behaviour", "wrong_tape"), Topic("behaviour", "shoes_on")}
    assert any("broken.yaml" in str(one) for one in problems)


def test_one_file(folder: Path) -> None:
    """A single file is a caller, or it is none."""
    choice = choice_of(folder / "between.yaml")
    assert choice is not None
    assert (choice.name, len(choice.behaviours)) == ("between", 2)
    assert choice_of(folder / "words.yaml") is None
    assert choice_of(folder / "broken.yaml") is None
    assert choice_of(folder / "nobody.yaml") is None


def test_suggested(folder: Path) -> None:
    """First an easy one, then who was not played; what is due goes before both."""
    choices, _ = choices_in(folder)
    assert suggested([], (), TODAY) is None
    first = suggested(choices, (), TODAY)
    assert first is not None
    assert first.name == "plain"
    second = suggested(choices, (DONE,), TODAY)
    assert second is not None
    assert second.name == "between"
    missed = replace(DONE, met=(Met("b", "contradicts", False),))
    today = suggested(choices, (missed,), TODAY)
    assert today is not None
    assert today.name == "between"
    tomorrow = suggested(choices, (missed,), TODAY + timedelta(days=1))
    assert tomorrow is not None
    assert tomorrow.name == "hard_one"


def test_where_they_are(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A house without callers of its own has those of the program, led with its own trees."""
    monkeypatch.setenv("CONSULT_TREES", str(tmp_path))
    assert callers_folder() == shipped_trees() / FOLDER
    (tmp_path / FOLDER).mkdir()
    assert callers_folder() == tmp_path / FOLDER
    path = written(tmp_path / FOLDER, "plain")
    choice = choice_of(path)
    assert choice is not None
    assert tree_of(choice.listed) == trees_folder() / "seating.yaml"
    (tmp_path / "seating.yaml").write_text("tree: seating\n", "utf-8")
    assert tree_of(choice.listed) == tmp_path / "seating.yaml"
