"""What is kept of an exercise once it is marked."""

from __future__ import annotations

from pathlib import Path

import pytest

from consult.practice.exercise import Exercise
from consult.practice.learner.done import finished, noticed
from consult.practice.learner.store import read_line, written_line
from consult.practice.log import log_json
from consult.practice.scoring.points import Score, ScoreItem
from tests.practice.callers import START, begun, listen, little
from tests.practice.learner.samples import DAY
from tests.practice.replay import log_of

ALL = """\
truth: {consent: yes, signs: [none], hours: 7, kind: fixed, heel: 3 cm}
behaviours:
  - {name: units, kind: mixes_units, at: stature, explain: x}
  - {name: busy, kind: hurry, at: hours, explain: x}
  - {name: shod, kind: shoes_on, at: leg, explain: x}
  - name: early
    kind: volunteers
    at: heel
    about: hours
    answer: 7
    says: [I sit for seven hours.]
    explain: x
  - name: otherwise
    kind: contradicts
    at: weight
    about: kind
    answer: adjustable
    says: [The desk moves.]
    explain: x
  - {name: shy, kind: refuses_consent, at: consent, explain: x}
"""


@pytest.fixture
def exercise(tmp_path: Path) -> Exercise:
    """A call that nothing was said in, with a caller of many behaviours."""
    return begun(*little(tmp_path, ALL))


def judged(exercise: Exercise, name: str) -> bool | None:
    log = log_of(log_json(exercise.log))
    return noticed(exercise.persona.behaviour(name), exercise.persona, log)


def test_what_never_showed_is_not_judged(exercise: Exercise) -> None:
    """Nothing can be said of a behaviour before its question."""
    exercise.opening()
    assert all(judged(exercise, one.name) is None for one in exercise.persona.behaviours)


@pytest.mark.parametrize(("name", "at"), [("busy", "hours"), ("shod", "leg")])
def test_asking_again_is_noticing(name: str, at: str, exercise: Exercise) -> None:
    """What withheld an answer, or made a figure wrong, is noticed once it is asked again."""
    exercise.ask(at)
    assert judged(exercise, name) is False
    exercise.ask("weight")
    assert judged(exercise, name) is False
    exercise.coach(at)
    assert judged(exercise, name) is True


def test_entering_what_was_told_early_is_noticing(exercise: Exercise) -> None:
    """A fact told in passing is noticed once it is entered at its own question."""
    exercise.ask("heel")
    exercise.enter("/hours nothing of the kind", START)
    assert judged(exercise, "early") is False
    exercise.enter("/hours 7", START)
    assert judged(exercise, "early") is True


def test_settling_a_contradiction_is_noticing(exercise: Exercise) -> None:
    """Either side of it asked once more will do."""
    exercise.ask("weight")
    assert judged(exercise, "otherwise") is False
    exercise.again("kind")
    assert judged(exercise, "otherwise") is True


@pytest.mark.parametrize("entry", ["{}", "/stature: {}", "/stature {}"])
def test_the_figure_that_was_meant_is_noticing(entry: str, exercise: Exercise) -> None:
    """Of mixed units it counts what was entered in the end, however it was typed."""
    told = exercise.ask("stature").tells["stature"]
    assert judged(exercise, "units") is False
    assert exercise.enter(entry.format("150.1 cm"), START).taken
    assert judged(exercise, "units") is False
    assert exercise.enter(f"/stature: {told}", START).taken
    assert exercise.enter(entry.format(told) if entry != "{}" else f"/stature {told}", START).taken
    assert judged(exercise, "units") is True


def test_a_refusal_is_not_judged(exercise: Exercise) -> None:
    """Whether a no was met well is for the score to say, not for what came after."""
    exercise.ask("consent")
    exercise.again("consent")
    assert judged(exercise, "shy") is None


BEHAVIOURS = """\
behaviours:
  - {name: shod, kind: shoes_on, at: leg, explain: The shoes were on.}
  - {name: coarse, kind: rounds, at: weight, explain: It was said coarsely.}
  - {name: busy, kind: hurry, at: hours, explain: No time.}
"""


def item(got: float, behaviour: str = "", *, fails: bool = False) -> ScoreItem:
    return ScoreItem("noticed", "something", got, 5.0, fails, 2, "It was so.", "Better.", behaviour)


def test_everything_of_an_exercise_is_kept(tmp_path: Path) -> None:
    """Day, caller, seed, level, items and conversation go through the file and come back."""
    basis, persona = little(tmp_path, BEHAVIOURS)
    exercise = begun(basis, persona)
    listen(exercise)
    exercise.close(START)
    score = Score((item(5.0, "shod"), item(1.0, "busy"), item(5.0)))
    kept = read_line(written_line(finished("Ann", DAY, persona, exercise.log, score)))
    assert (kept.learner, kept.day, kept.caller, kept.level) == ("Ann", DAY, "someone", "guided")
    assert (kept.total, kept.out_of, kept.passed) == (11.0, 15.0, score.passed)
    assert [one.got for one in kept.marks] == [5.0, 1.0, 5.0]
    assert log_of(kept.log) == exercise.log
    assert {one.name: one.noticed for one in kept.met} == {
        "shod": True,
        "coarse": True,
        "busy": False,
    }


def test_what_never_showed_and_is_not_marked_was_not_met(tmp_path: Path) -> None:
    """A call broken off at once met nothing but what its score speak of."""
    basis, persona = little(tmp_path, BEHAVIOURS)
    exercise = begun(basis, persona)
    exercise.opening()
    exercise.close(START)
    kept = finished("Ann", DAY, persona, exercise.log, Score((item(5.0, "busy", fails=True),)))
    assert [(one.name, one.noticed) for one in kept.met] == [("busy", False)]
