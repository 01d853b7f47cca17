"""What came of a chair, worked out from two calls, and the lines in which it is stored."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from consult.call.call import CAME, ODDS, Answer, Call
from consult.call.closing_lines import (
    BECAUSE,
    ChairOutcome,
    MeasuredAgain,
    StatedOdds,
    read_odds,
    read_outcome,
    stated_odds,
)
from consult.call.closing_lines import (
    CAME_IN_WORDS as EVERY,
)
from consult.call.follow_up import again, came_of_it
from consult.call.state import State, state
from consult.records.desk_calls import ended
from consult.tree.learned import AcceptedValue, Learned
from tests.call.calls import TODAY, derived, seating
from tests.call.test_follow_up import first, second
from tests.ui.desk import demo

REFERENCE = "7K3-M2Q"
NOON = datetime(2026, 11, 25, 12, tzinfo=UTC)
NAMES = st.sampled_from(["seat", "gas_lift", "arms"])
OUTCOMES = st.builds(
    ChairOutcome,
    st.just(REFERENCE),
    st.sampled_from(EVERY),
    st.lists(NAMES, max_size=2).map(tuple),
    st.sampled_from([None, *BECAUSE]),
    st.dictionaries(NAMES, st.integers(-200, 200).map(float), max_size=2),
    st.dictionaries(
        NAMES,
        st.builds(
            MeasuredAgain,
            st.sampled_from(["told", "estimated"]),
            st.integers(0, 900).map(float),
            st.integers(0, 900).map(float),
        ),
        max_size=2,
    ),
    st.sampled_from(["", "popliteal_height"]),
)


@settings(deadline=None)
@given(OUTCOMES)
def test_an_outcome_is_read_as_it_was_stored(outcome: ChairOutcome) -> None:
    """Every line that is written says the same when it is read."""
    assert read_outcome(outcome.text) == outcome


@settings(deadline=None)
@given(
    st.integers(0, 1000),
    st.integers(0, 99),
    st.lists(st.sampled_from(["S-1", "L/2.B"])).map(tuple),
    st.none() | st.integers(0, 9999),
)
def test_odds_are_read_as_they_were_stored(
    mille: int, questions: int, parts: tuple[str, ...], seconds: int | None
) -> None:
    """To a tenth of a hundredth, which is finer than bodies are drawn."""
    odds = StatedOdds(mille / 1000, questions, parts, seconds)
    found = read_odds(odds.text)
    assert found is not None
    assert found.fits == pytest.approx(odds.fits)
    assert replace(found, fits=odds.fits) == odds


@pytest.mark.parametrize(
    "text",
    ["", "kept", f"of {REFERENCE}: gone", f"of {REFERENCE}: kept; and more", "of 7K3: kept"],
)
def test_another_line_is_no_outcome(text: str) -> None:
    """A line of another program, or one that was changed, is not guessed at."""
    assert read_outcome(text) is None
    assert read_odds(text) is None
    assert read_odds("101.0 of 100 fit; 3 questions") is None


# -- worked out from the second call ----------------------------------------------------------


def came(**more: str) -> ChairOutcome | None:
    """What came of the chair of the first call, with these answers to the second."""
    one, two = first(), second(**more)
    return came_of_it(REFERENCE, one, two, again(seating(), one, two))


def test_kept_as_it_is() -> None:
    """Set by the card, and nothing bothers them: no further question is needed."""
    found = came(card_set="as_card", still_disturbs="none", worse_now="none", better_now="none")
    assert found == ChairOutcome(REFERENCE, "kept")
    assert found.held is True


def test_adjusted_exchanged_and_returned() -> None:
    """Each by its answer, with the part or the reason."""
    assert came(keeps="keep") == ChairOutcome(REFERENCE, "adjusted")
    part = came(keeps="exchange", exchange_part="gas_lift")
    assert part == ChairOutcome(REFERENCE, "exchanged", ("gas_lift",), "fit")
    back = came(keeps="send_back", return_because="something_else")
    assert back == ChairOutcome(REFERENCE, "returned", (), "other")
    assert [one.held if one else None for one in (part, back)] == [False, None]
    broken = came(keeps="send_back", return_because="is_faulty")
    assert broken is not None
    assert broken.because == "fault"
    assert came(keeps="send_back", return_because="?") == replace(back, because="other")


def test_an_exchange_for_a_faulty_part() -> None:
    """The fault was said before."""
    found = came(
        still_disturbs="part_faulty",
        faulty_part="seat_sinks",
        fault_words="it sinks",
        keeps="exchange",
        exchange_part="gas_lift",
    )
    assert found is not None
    assert (found.because, found.parts) == ("fault", ("gas_lift",))


def test_nothing_is_known_yet() -> None:
    """The chair has not come, nobody said whether it stays, or a call was stopped."""
    assert came(chair_came="not_yet") is None
    assert came(chair_came="kept_old", keeps="keep") is None
    assert came() is None
    assert came(warning_signs="saddle_numb", keeps="keep") is None


def test_the_figure_that_was_off_and_its_measure() -> None:
    """The elbow was estimated; measured 5 cm lower, the armrests were advised too high by it."""
    bare = first()
    guess = bare.estimate.dimensions["elbow_rest_height"].mean
    elbow = round(guess - 50)
    found = came(keeps="keep", elbow_height=f"{elbow} mm")
    assert found is not None
    assert found.again == {"elbow_rest_height": MeasuredAgain("estimated", round(guess), elbow)}
    assert -50 < found.off["armrest_height"] < -25
    assert found.blamed == "elbow_rest_height"


def test_a_measure_told_wrong() -> None:
    """The lower leg was told as 40 cm; what was told stands beside what was measured."""
    found = came(still_disturbs="feet_hang", keeps="keep", lower_leg="37 cm")
    assert found is not None
    assert found.again == {"popliteal_height": MeasuredAgain("told", 400, 370)}
    assert -30 < found.off["seat_height"] < -10
    assert found.blamed == "popliteal_height"


# -- the end of a call ------------------------------------------------------------------------


@cache
def finished(*more: tuple[str, str]) -> State:
    """A demo call to its end, with these answers otherwise."""
    call = demo("01").call
    for question, said in more:
        call = call.add(Answer(question, said))
    return state(seating(), call)


def ordered(now: State) -> tuple[str, ...]:
    """The parts of the chair to order."""
    assert now.chosen is not None
    assert now.chosen.ordered is not None
    return tuple(part.code for part in now.chosen.ordered.parts.values())


def test_the_odds_of_the_chair_agreed_on() -> None:
    """Its chance to fit, how many questions were answered, and its parts."""
    now = finished()
    assert now.finished
    assert now.chosen is not None
    assert now.chosen.ordered is not None
    odds = stated_odds(seating(), now)
    asked = [one for one in now.steps if one.status == "answered"]
    plain = sum(one.question.private != "health" for one in asked)
    assert odds == StatedOdds(now.chosen.ordered.p_fits, plain, ordered(now))
    assert 0 < plain < len(asked)


def test_no_chair_no_odds() -> None:
    """Nothing is stated of a chair that nobody agreed on, and of a call that was stopped."""
    assert stated_odds(seating(), finished(("agreed", "none"))) is None
    assert stated_odds(seating(), finished(("warning_signs", "saddle_numb"))) is None
    assert stated_odds(seating(), state(seating(), Call(TODAY))) is None


def test_parts_that_would_tell_of_health_are_left_out() -> None:
    """A chair with another support for an aching lower back is not named."""
    now = finished(("pain_sites", "lower_back"))
    assert ordered(now) != ordered(finished())
    odds = stated_odds(seating(), now)
    assert odds is not None
    assert odds.parts == ()


def test_the_lines_are_added_once() -> None:
    """A call that is finished again, nothing changed, stays as it was; its way is the same."""
    now = finished()
    outcome = ChairOutcome("222-222", "kept")
    then = ended(seating(), now, outcome, NOON)
    latest = then.call.latest()
    odds = stated_odds(seating(), now)
    assert odds is not None
    assert (latest[ODDS].said, latest[CAME].said) == (odds.text, outcome.text)
    assert ended(seating(), then, outcome, NOON) is then
    again_worked_out = state(seating(), then.call)
    assert derived(again_worked_out) == derived(now)


def test_the_odds_count_a_part_that_is_known_to_fail() -> None:
    """A fifth of the chairs with this lift came back: four fifths of the odds are left."""
    now = finished()
    before = stated_odds(seating(), now)
    entry = AcceptedValue("fault.LIFT-HIGH", 20.0, 0.0, 200, "2026-11-29")
    after = stated_odds(replace(seating(), learned=Learned((entry,))), now)
    assert before is not None
    assert after is not None
    assert "LIFT-HIGH" in before.parts
    assert after.fits == pytest.approx(0.8 * before.fits)
