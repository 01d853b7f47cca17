"""Practice with the caller of the worked example, who wants a desk."""

from __future__ import annotations

from functools import cache

import pytest

from consult.call.basis import Basis, load_basis
from consult.paths import shipped_trees
from consult.practice.load import load_persona, practice_problems
from consult.practice.log import Recommend
from consult.practice.model_call import Skill, led_exercise
from consult.practice.score import score_of
from tests.ui.desk import NOON

EXAMPLE = shipped_trees() / "examples" / "desk_fitting"
CALLER = EXAMPLE / "practice" / "two_screens.yaml"


@cache
def basis() -> Basis:
    """The example, as a call has it."""
    found, problems = load_basis(EXAMPLE / "desk_fitting.yaml")
    assert found is not None, problems
    return found


def test_its_files_are_sound() -> None:
    """Nothing is wrong with the caller, nor with the words of all callers."""
    for path in EXAMPLE.glob("practice/*.yaml"):
        assert practice_problems(path) == []


@pytest.mark.parametrize("seed", [1, 4])
def test_a_careful_adviser_passes(seed: int) -> None:
    """Who has the odd elbow measured again recommends a desk that suits the true body. The score
    speaks of desks."""
    persona, problems = load_persona(CALLER, basis().tree, basis().population, seed)
    assert persona is not None, problems
    assert persona.truth["elbow_height"].endswith("cm")
    log = led_exercise(basis(), persona, seed, "guided", NOON)
    score = score_of(log, persona, basis())
    assert score.full
    (said,) = [turn.act for turn in log.turns if isinstance(turn.act, Recommend)]
    assert said.words.startswith("I suggest this desk: ")
    (item,) = [one for one in score.items if one.criterion == "chair"]
    assert item.name == "The desk recommended"


def test_who_notices_nothing_loses_points() -> None:
    """Without the coaching the tape begins on the box beside him, and the elbow is wrong."""
    persona, _ = load_persona(CALLER, basis().tree, basis().population, 1)
    assert persona is not None
    log = led_exercise(basis(), persona, 1, "guided", NOON, Skill(coaches=False, notices=False))
    score = score_of(log, persona, basis())
    assert not score.full
    assert {one.criterion for one in score.items if not one.full} & {"noticed", "chair"}
