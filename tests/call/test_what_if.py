"""What another answer would change is told whole, and only that."""

from __future__ import annotations

from consult.call.call import Answer
from consult.call.state import State, state
from consult.call.what_if import NOTHING, differences
from consult.units import format_length
from tests.call.calls import seating
from tests.ui.desk import demo


def whole() -> State:
    return state(seating(), demo("01").call)


def tried(question: str, said: str) -> State:
    return state(seating(), demo("01").call.add(Answer(question, said)))


def test_nothing_changes_nothing() -> None:
    """The same call differs in nothing."""
    assert differences(whole(), whole(), "metric") == ()


def test_a_lower_desk_lowers_the_seat() -> None:
    """Seat, footrest and screen are told with their values before and after, as the states have
    them, and what stays is left out."""
    before, after = whole(), tried("desk_height", "70 cm")
    found = {one.topic: one for one in differences(before, after, "metric")}
    assert before.fit is not None
    assert after.fit is not None
    was, now = (s.fit.requirements["seat_height"].target for s in (before, after) if s.fit)
    assert now < was
    assert found["Seat height"].before == format_length(was, "metric")
    assert found["Seat height"].after == format_length(now, "metric")
    assert "Footrest height" in found
    assert "Seat depth" not in found
    assert "Seat width, at least" not in found


def test_a_stop_is_told_first_and_takes_everything_else_away() -> None:
    """Trying a warning sign shows the stop before anything else, and that no chair is left."""
    before, after = whole(), tried("warning_signs", "chest")
    if before.step("warning_signs") is None:
        after = tried("who_sits", "young person")
    found = differences(before, after, "metric")
    assert found[0].topic == "STOP"
    assert found[0].before == NOTHING
    assert {one.after for one in found if one.topic in ("Seat", "Price")} == {NOTHING}


def test_questions_that_come_and_go() -> None:
    """Another kind of desk asks other questions."""
    found = differences(whole(), tried("desk_kind", "adjustable"), "imperial")
    questions = {(one.before, one.after) for one in found if one.topic == "Question"}
    assert (NOTHING, "Desk lowest") in questions
    assert ("Desk height", NOTHING) in questions
