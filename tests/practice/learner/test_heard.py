"""Whether a behaviour that no mark speaks of was noticed."""

from __future__ import annotations

from pathlib import Path

import pytest

from consult.practice.exercise import Exercise
from consult.practice.learner.done import noticed
from consult.practice.log import log_json, log_of
from tests.practice.callers import START, begun, little

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
    """Whether a no was met well is for the marks to say, not for what came after."""
    exercise.ask("consent")
    exercise.again("consent")
    assert judged(exercise, "shy") is None
