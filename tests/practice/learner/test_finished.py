"""What is kept of an exercise once it is marked."""

from __future__ import annotations

from pathlib import Path

from consult.practice.learner.done import finished
from consult.practice.learner.store import read, written
from consult.practice.log import log_of
from consult.practice.scoring.points import Item, Marks
from tests.practice.callers import START, begun, listen, little
from tests.practice.learner.samples import DAY

BEHAVIOURS = """\
behaviours:
  - {name: shod, kind: shoes_on, at: leg, explain: The shoes were on.}
  - {name: coarse, kind: rounds, at: weight, explain: It was said coarsely.}
  - {name: busy, kind: hurry, at: hours, explain: No time.}
"""


def item(got: float, behaviour: str = "", *, fails: bool = False) -> Item:
    return Item("noticed", "something", got, 5.0, fails, 2, "It was so.", "Better.", behaviour)


def test_everything_of_an_exercise_is_kept(tmp_path: Path) -> None:
    """Day, caller, seed, level, items and conversation go through the file and come back."""
    basis, persona = little(tmp_path, BEHAVIOURS)
    exercise = begun(basis, persona)
    listen(exercise)
    exercise.close(START)
    marks = Marks((item(5.0, "shod"), item(1.0, "busy"), item(5.0)))
    kept = read(written(finished("Ann", DAY, persona, exercise.log, marks)))
    assert (kept.learner, kept.day, kept.caller, kept.level) == ("Ann", DAY, "someone", "guided")
    assert (kept.total, kept.out_of, kept.passed) == (11.0, 15.0, marks.passed)
    assert [one.got for one in kept.marks] == [5.0, 1.0, 5.0]
    assert log_of(kept.log) == exercise.log
    assert {one.name: one.noticed for one in kept.met} == {
        "shod": True,
        "coarse": True,
        "busy": False,
    }


def test_what_never_showed_and_is_not_marked_was_not_met(tmp_path: Path) -> None:
    """A call broken off at once met nothing but what its marks speak of."""
    basis, persona = little(tmp_path, BEHAVIOURS)
    exercise = begun(basis, persona)
    exercise.opening()
    exercise.close(START)
    kept = finished("Ann", DAY, persona, exercise.log, Marks((item(5.0, "busy", fails=True),)))
    assert [(one.name, one.noticed) for one in kept.met] == [("busy", False)]
