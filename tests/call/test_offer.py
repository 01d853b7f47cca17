"""Offering an answer: odd ones come back once, and what the caller stands by is taken."""

from __future__ import annotations

import pytest

from consult.call.call import Answer
from consult.call.offer import NO_CHANGE, STANDS, Offered, differences, offer
from consult.call.state import State, state
from consult.units import format_length
from tests.call.calls import TODAY, seating, told
from tests.ui.desk import demo


def begun(**more: str) -> State:
    """A call up to the body measures."""
    return told(
        seating(),
        caller_name="Ada",
        who_sits="caller",
        reasons="feet",
        sex="female",
        consent="no",
        warning_signs="none",
        **more,
    )


def offered(now: State, name: str, said: str, *, stands: bool = False, note: str = "") -> Offered:
    return offer(seating(), now, seating().tree.questions[name], said, stands=stands, note=note)


def taken(result: Offered) -> State:
    assert result.state is not None, result.trouble
    return result.state


def test_a_plain_answer_is_taken() -> None:
    """An ordinary answer becomes part of the call, with its note, not confirmed."""
    now = taken(offered(begun(), "stature", "157 cm", note="by the door"))
    last = now.call.answers[-1]
    assert (last.question, last.said, last.note, last.confirmed) == (
        "stature",
        "157 cm",
        "by the door",
        False,
    )
    assert now.current is not None
    assert now.current.name not in now.call.latest()


def test_an_unreadable_answer_comes_back() -> None:
    """What cannot be read is given back with a question, and cannot be insisted on."""
    for stands in (False, True):
        result = offered(begun(), "stature", "tall", stands=stands)
        assert result == Offered(None, result.trouble)
        assert "no number" in result.trouble


def test_nothing_is_changed_by_an_answer_given_back() -> None:
    """The call at hand stays as it was; the adviser's line is theirs to mend."""
    now = begun()
    before = now.call
    offered(now, "stature", "250 cm")
    assert now.call is before


def test_outside_the_usual_comes_back_once() -> None:
    """A value outside the usual comes back, may stand, and when it does is marked as stood by."""
    result = offered(begun(), "stature", "120 cm")
    assert result.state is None
    assert result.may_stand
    assert "120 cm is outside the usual 140 cm to 205 cm" in result.trouble
    assert result.trouble.endswith(STANDS)
    now = taken(offered(begun(), "stature", "120 cm", stands=True))
    assert now.call.answers[-1].confirmed
    step = now.step("stature")
    assert step is not None
    assert step.trouble == ""


def test_at_odds_with_the_other_measures_comes_back_once() -> None:
    """A usual lower leg on a body it does not suit is doubted, and used once it is stood by."""
    now = begun(stature="157 cm", stature_origin="measured", weight="59 kg")
    result = offered(now, "lower_leg", "50 cm")
    assert result.state is None
    assert result.may_stand
    assert "lower leg" in result.trouble
    after = taken(offered(now, "lower_leg", "50 cm", stands=True))
    assert after.call.answers[-1].confirmed
    assert [(d.dimension, d.confirmed) for d in after.doubts] == [("popliteal_height", True)]
    assert {one.dimension for one in after.estimate.used} >= {"popliteal_height"}
    assert after.estimate.dimensions["popliteal_height"].mean > 430


def test_far_out_is_not_used_until_stood_by() -> None:
    """A measure in a call file that nobody stood by is set aside where it is absurd."""
    now = begun(
        stature="157 cm", stature_origin="measured", weight="59 kg", lower_leg="52 cm", heel="1 cm"
    )
    assert [(d.dimension, d.level) for d in now.doubts] == [("popliteal_height", "set aside")]
    assert [one.dimension for one in now.estimate.set_aside] == ["popliteal_height"]


def test_standing_by_an_ordinary_answer_marks_nothing() -> None:
    """Insisting where nothing was odd leaves no mark, so a later oddity is still noticed."""
    now = taken(offered(begun(), "stature", "157 cm", stands=True))
    assert not now.call.answers[-1].confirmed


def test_a_doubt_already_stood_by_is_not_raised_at_the_next_answer() -> None:
    """One odd measure does not make the ordinary ones after it come back."""
    now = begun(stature="157 cm", stature_origin="measured", weight="59 kg")
    now = taken(offered(now, "lower_leg", "50 cm", stands=True))
    assert offered(now, "thigh_length", "46 cm").state is not None


@pytest.mark.parametrize("said", ["?", "don't know"])
def test_not_known_is_taken(said: str) -> None:
    """Not knowing is never odd."""
    now = taken(offered(begun(), "stature", said))
    assert now.call.answers[-1].said == said


def test_the_day_of_the_call_is_what_dates_count_from() -> None:
    """A date in a call is read by the call's own day, not by the clock."""
    now = taken(offered(begun(), "follow_up", "tomorrow"))
    assert now.call.today == TODAY
    assert now.call.answers[-1].at is None


# -- what another answer would change is told whole, and only that --------------------------------


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
    assert found[0].before == NO_CHANGE
    assert {one.after for one in found if one.topic in ("Seat", "Price")} == {NO_CHANGE}


def test_questions_that_come_and_go() -> None:
    """Another kind of desk asks other questions."""
    found = differences(whole(), tried("desk_kind", "adjustable"), "imperial")
    questions = {(one.before, one.after) for one in found if one.topic == "Question"}
    assert (NO_CHANGE, "Desk lowest") in questions
    assert ("Desk height", NO_CHANGE) in questions
