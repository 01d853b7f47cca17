"""Stated odds beside what was observed."""

from __future__ import annotations

from itertools import pairwise
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from consult.call.chair_outcome import Again, ChairOutcome, PastCall
from consult.call.stated_odds import StatedOdds
from consult.learning.calibration import FEW, bands_of
from consult.learning.outcomes import Measured, outcomes_of
from tests.learning.histories import history, reference

CALLS = st.lists(
    st.tuples(st.floats(0, 1), st.integers(0, 30), st.integers(0, 12)), max_size=12
).map(
    lambda lots: [
        (stated, came) for stated, true, false in lots for came in [True] * true + [False] * false
    ]
)


@settings(deadline=None)
@given(CALLS)
def test_no_band_points_at_people(calls: list[tuple[float, bool]]) -> None:
    """Each has five that came true or more, and none or five that did not; all calls are in one."""
    bands = bands_of(calls)
    for one in bands:
        missed = one.calls - one.came_true
        assert one.came_true >= FEW
        assert missed == 0 or missed >= FEW
        assert one.low - 1e-9 <= one.stated <= one.high + 1e-9
    if bands:
        assert sum(one.calls for one in bands) == len(calls)
        assert bands[-1].high == 1
        assert all(a.high == b.low for a, b in pairwise(bands))
    else:
        true = sum(came for _, came in calls)
        assert true < FEW or 0 < len(calls) - true < FEW


def test_by_hand() -> None:
    """Twenty at 92 of 100, of which fifteen came true; a hundred at 98, of which all did."""
    calls = [(0.92, at >= 5) for at in range(20)] + [(0.98, True)] * 100
    low, high = bands_of(calls)
    assert (low.low, low.high, low.calls, low.came_true) == (0.9, 0.95, 20, 15)
    assert low.stated == pytest.approx(0.92)
    assert low.observed == 0.75
    # Clopper-Pearson of 15 of 20, from a table.
    assert low.interval == pytest.approx((0.509, 0.913), abs=1e-3)
    assert low.off
    assert (high.low, high.observed, high.off) == (0.95, 1, False)


def test_true_odds_are_seldom_called_wrong() -> None:
    """Of bands whose odds are right, about one in twenty or fewer lies outside its interval."""
    bands = [one for seed in range(60) for one in bands_of(_true(seed))]
    assert len(bands) > 100
    assert sum(one.off for one in bands) <= 0.07 * len(bands)


def _true(seed: int) -> list[tuple[float, bool]]:
    chance = Random(seed)
    stated = [1 - 0.5 * chance.random() for _ in range(400)]
    return [(one, chance.random() < one) for one in stated]


def test_odds_that_are_too_high_are_found() -> None:
    """Where a third more chairs fail than was stated, the band is off at some hundred calls."""
    found = outcomes_of(history(400, 3, true=lambda odds: odds.fits - 0.15))
    assert any(one.off and one.stated > one.observed for one in found.bands)


# -- the other figures ------------------------------------------------------------------------


def call(number: int, outcome: str = "kept", **more: object) -> PastCall:
    """A past call."""
    odds = StatedOdds(0.9, 20, ("SEAT-M",), 540)
    came = ChairOutcome(reference(number), outcome, **more)  # type: ignore[arg-type]
    return PastCall(odds, came, "Ann" if number % 2 else "Bo")


def test_measures_and_the_question_that_would_have_helped() -> None:
    """Told and estimated apart; a blamed measure that was estimated was not asked."""
    told = {"popliteal_height": Again("told", 400, 410)}
    guess = {"popliteal_height": Again("estimated", 400, 380)}
    past = [
        call(0, again=told, blamed="popliteal_height", off={"seat_height": 10}),
        call(1, again=guess, blamed="popliteal_height", off={"seat_height": -20}),
        call(2, again=guess),
    ]
    found = outcomes_of(past)
    assert found.told == {"popliteal_height": Measured(1, 10, 0)}
    assert found.estimated == {"popliteal_height": Measured(2, -20, 0)}
    assert found.would_have_helped == {"popliteal_height": 1}
    assert found.told_wrong == {"popliteal_height": 1}


def test_what_says_nothing_about_the_odds_is_left_out_of_them() -> None:
    """A chair returned for another reason, or nobody who answers."""
    past = [call(at) for at in range(10)]
    others = [call(10, "returned", because="other"), call(11, "no_answer")]
    found = outcomes_of([*past, *others])
    assert sum(one.calls for one in found.bands) == 10
    assert found.came == {"kept": 10, "returned": 1, "no_answer": 1}
    assert found.parts["SEAT-M"].calls == 10
    assert found.minutes == (*[0] * 9, 12)


def test_advisers_only_who_agreed_and_from_five_calls_on() -> None:
    """Nobody is shown without having agreed."""
    past = [call(at) for at in range(12)]
    assert outcomes_of(past).advisers == {}
    assert outcomes_of(past, {"Ann"}).advisers.keys() == {"Ann"}
    assert outcomes_of(past[:9], {"Ann", "Bo"}).advisers.keys() == {"Bo"}
