"""What an answer may mean is proposed, and one key takes it."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from consult.call.call import Answer, Call
from consult.call.offer import STANDS, Reply
from consult.call.session import Session
from consult.units import System
from tests.call.calls import TODAY, seating, small, told

DESK = """
tree: little
title: A little tree
version: 1
first: desk
questions:
  desk: {ask: How high?, coach: With a tape., answer: length, unit: cm, sets: desk_height,
         next: kind}
  kind: {ask: What kind?, answer: choice, choices: {fixed: Fixed, adjustable: Adjustable},
         sets: desk_kind, next: end}
"""
AT = datetime(2026, 11, 18, 9, 0, tzinfo=UTC)


def session(system: System = "metric", **more: str) -> Session:
    """A call up to the body measures, in the caller's units."""
    opening = {
        "caller_name": "Ada",
        "who_sits": "caller",
        "reasons": "feet",
        "sex": "female",
        "consent": "no",
        "warning_signs": "none",
    }
    call = replace(told(seating(), **opening, **more).call, system=system)
    return Session(seating(), call, AT)


def enter(desk: Session, said: str) -> Reply:
    return desk.offer(said, AT + timedelta(seconds=len(desk.now.call.answers)))


def last(desk: Session) -> Answer:
    return desk.now.call.answers[-1]


def value(desk: Session, name: str) -> object:
    step = desk.now.step(name)
    assert step is not None
    assert step.understood is not None
    return step.understood.value


@pytest.mark.parametrize("key", ["five two", "", "y", "Yes", "a", "A"])
def test_the_first_reading_is_taken(key: str) -> None:
    """Enter on the same text, an empty line, y and the letter a take what was proposed."""
    desk = session()
    reply = enter(desk, "/stature five two")
    assert not reply.taken
    assert [one.said for one in reply.proposals] == ["5 ft 2 in"]
    assert enter(desk, "/stature five two" if key == "five two" else key).taken
    assert (last(desk).question, last(desk).said) == ("stature", "5 ft 2 in")
    assert value(desk, "stature") == pytest.approx(1574.8)


def test_each_reading_has_its_letter() -> None:
    """Of two readings, b takes the second; the readings are gone once one is taken."""
    desk = session()
    reply = enter(desk, "/stature 5.2")
    assert [one.said for one in reply.proposals] == ["5 ft 2 in", "62.4 in"]
    assert enter(desk, "b").taken
    assert last(desk).said == "62.4 in"
    assert desk.proposed is None


def test_another_answer_leaves_the_readings() -> None:
    """What is typed instead is read by itself, letters that stand for no reading too."""
    desk = session()
    enter(desk, "/stature 5.2")
    assert not enter(desk, "c").taken
    enter(desk, "/stature 5.2")
    assert enter(desk, "/stature 160").taken
    assert (last(desk).said, desk.proposed) == ("160", None)


def test_a_figure_is_an_answer_and_never_a_reading() -> None:
    """A figure is never taken for the number of a reading."""
    desk = session("imperial")
    reply = enter(desk, "/heel 3")
    assert [one.said for one in reply.proposals] == ["3 in", "3 cm"]
    again = enter(desk, "/heel 2")
    assert [one.said for one in again.proposals] == ["2 in", "2 cm"]


def test_an_unusual_length_may_be_in_another_unit() -> None:
    """29 cm for a desk is doubted: 29 in is proposed first, then what was said."""
    desk = session()
    reply = enter(desk, "/desk height 29 cm")
    assert "29 in (73.7 cm)?" in reply.tell
    assert [one.said for one in reply.proposals] == ["29 in", "29 cm"]
    assert enter(desk, "y").taken
    assert (last(desk).said, last(desk).confirmed) == ("29 in", False)
    desk = session()
    enter(desk, "/desk height 29 cm")
    assert enter(desk, "b").taken
    assert (last(desk).said, last(desk).confirmed) == ("29 cm", True)


def test_a_length_in_no_better_unit_is_confirmed_by_entering_it_again() -> None:
    """54 cm for a stature is given back, and may stand."""
    desk = session()
    reply = enter(desk, "/stature 54 cm")
    assert not reply.taken
    assert reply.tell.endswith(STANDS)
    assert not reply.proposals
    assert enter(desk, "/stature 54 cm").taken
    assert last(desk).confirmed


def test_a_reading_that_is_at_odds_with_the_body_can_still_be_confirmed() -> None:
    """Taking a reading may raise a doubt; the same key again confirms that reading."""
    desk = session(stature="157 cm", stature_origin="measured", weight="59 kg")
    enter(desk, "/lower leg 20")
    reply = enter(desk, "y")
    assert not reply.taken
    assert reply.tell.endswith(STANDS)
    assert enter(desk, "/lower leg 20").taken
    assert (last(desk).said, last(desk).confirmed) == ("20 in", True)


@pytest.mark.parametrize(
    ("system", "typed", "recorded"),
    [
        ("metric", "/desk height 73", "73"),
        ("imperial", "/desk height 29", "29 in"),
        ("imperial", "/desk height about 29", "about 29 in"),
        ("imperial", "/desk height twenty-nine and a half", "twenty-nine and a half in"),
        ("imperial", "/desk height 2 ft 5", "2 ft 5"),
        ("imperial", "/desk height 73 cm", "73 cm"),
        ("imperial", "/weight 11", "11 st"),
        ("both", "/desk height 29", "29 in"),
    ],
)
def test_a_figure_is_recorded_with_the_unit_it_was_taken_in(
    system: System, typed: str, recorded: str
) -> None:
    """What a bare number meant does not change when other units are shown later."""
    desk = session(system)
    assert enter(desk, typed).taken
    assert last(desk).said == recorded
    before = desk.now.steps
    desk.turn_units()
    assert [step.understood for step in desk.now.steps] == [step.understood for step in before]


def test_a_bare_weight_in_pounds_is_not_kilograms() -> None:
    """With imperial chosen, 140 is asked: pounds first, kilograms second."""
    desk = session("imperial")
    reply = enter(desk, "/weight 140")
    assert [one.said for one in reply.proposals] == ["140 lb", "140 kg"]
    assert enter(desk, "").taken
    assert value(desk, "weight") == pytest.approx(140 * 0.45359237)


@pytest.mark.parametrize("said", ["no arms, casters for hard floor", "yesterday", "n/a", "no, yes"])
def test_consent_is_never_guessed(said: str) -> None:
    """Anything beside a plain yes or no is asked back, and no key takes it for either."""
    desk = session()
    for text in (f"/consent {said}", f"/consent {said}"):
        reply = enter(desk, text)
        assert not reply.taken
        assert not reply.proposals
        assert "Yes or no" in reply.tell


def test_other_parts_lead_to_the_parts() -> None:
    """Told out of turn that other parts are wanted, the parts are asked at once."""
    desk = session()
    assert enter(desk, "/agreed other").taken
    assert desk.asking is not None
    assert desk.asking.name == "agreed_parts"
    assert enter(desk, "small seat").taken
    assert desk.asking is desk.now.current


def test_a_height_told_for_a_desk_means_a_fixed_one(tmp_path: Path) -> None:
    """One height means that the desk does not move, until something else is said."""
    desk = Session(small(tmp_path, DESK), Call(TODAY), AT)
    kinds = []
    for said in ("/desk 73", "/kind adjustable"):
        enter(desk, said)
        kinds.append(desk.now.workplace.desk.kind)
    assert kinds == ["fixed", "adjustable"]
