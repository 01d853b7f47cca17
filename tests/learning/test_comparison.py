"""Stated odds beside what was observed."""

from __future__ import annotations

from itertools import pairwise
from random import Random

import pytest
import scipy  # type: ignore[import-untyped]
from hypothesis import given, settings
from hypothesis import strategies as st

from consult.call.closing_lines import ChairOutcome, MeasuredAgain, PastCall, StatedOdds
from consult.learning.comparison import (
    FEW,
    WRONG_CHAIR,
    as_often,
    bands_of,
    beta_share,
    chi_square_beyond,
    holm,
    look_at,
    more_than_others,
    share_interval,
    t_beyond,
)
from consult.learning.outcomes import MeasuredTwice, outcomes_of
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
    told = {"popliteal_height": MeasuredAgain("told", 400, 410)}
    guess = {"popliteal_height": MeasuredAgain("estimated", 400, 380)}
    past = [
        call(0, again=told, blamed="popliteal_height", off={"seat_height": 10}),
        call(1, again=guess, blamed="popliteal_height", off={"seat_height": -20}),
        call(2, again=guess),
    ]
    found = outcomes_of(past)
    assert found.told == {"popliteal_height": MeasuredTwice(1, 10, 0)}
    assert found.estimated == {"popliteal_height": MeasuredTwice(2, -20, 0)}
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


# -- intervals and tails beside the reference -----------------------------------------------------


@settings(deadline=None)
@given(st.floats(0, 1), st.floats(0.5, 5000), st.floats(0.5, 5000))
def test_the_incomplete_beta_function(x: float, a: float, b: float) -> None:
    """As the reference has it."""
    assert beta_share(x, a, b) == pytest.approx(scipy.special.betainc(a, b, x), abs=1e-9)


@settings(deadline=None)
@given(st.integers(0, 3000), st.integers(0, 3000))
def test_the_interval_of_a_share(count: int, more: int) -> None:
    """Exact, also where nothing or everything came true, and where there is nothing."""
    low, high = share_interval(count, count + more)
    assert 0 <= low <= high <= 1
    if count + more:
        known = scipy.stats.binomtest(count, count + more).proportion_ci(0.95, "exact")
        assert (low, high) == pytest.approx((known.low, known.high), abs=1e-7)
    else:
        assert (low, high) == (0, 1)


@settings(deadline=None)
@given(st.integers(0, 400), st.integers(0, 400), st.floats(0.001, 0.999))
def test_as_often(count: int, more: int, share: float) -> None:
    """Twice the smaller tail of the binomial law, both with the count itself."""
    law = scipy.stats.binom(count + more, share)
    known = min(1.0, 2 * min(law.cdf(count), law.sf(count - 1)))
    assert as_often(count, count + more, share) == pytest.approx(known, abs=1e-9)


@settings(deadline=None)
@given(st.floats(-40, 40), st.floats(1, 3000))
def test_the_tails_of_t(t: float, degrees: float) -> None:
    """Both together."""
    assert t_beyond(t, degrees) == pytest.approx(2 * scipy.stats.t.sf(abs(t), degrees), rel=1e-6)


@settings(deadline=None)
@given(st.floats(0.01, 3000), st.integers(1, 2000))
def test_the_tails_of_chi_square(value: float, degrees: int) -> None:
    """Twice the smaller one."""
    law = scipy.stats.chi2(degrees)
    known = 2 * min(law.cdf(value), law.sf(value))
    assert chi_square_beyond(value, degrees) == pytest.approx(known, rel=1e-6, abs=1e-12)


@settings(deadline=None)
@given(st.integers(1, 60), st.integers(1, 200), st.data())
def test_more_than_others(of: int, others: int, data: st.DataObject) -> None:
    """Fisher's exact test, one side."""
    count = data.draw(st.integers(0, of))
    other = data.draw(st.integers(0, others))
    known = scipy.stats.fisher_exact(
        [[count, of - count], [other, others - other]], "greater"
    ).pvalue
    assert more_than_others(count, of, other, others) == pytest.approx(known, abs=1e-9)


@pytest.mark.parametrize(
    ("calls", "looks_at"),
    [(49, None), (50, 50), (99, 50), (100, 100), (399, 200), (100_000, 51_200)],
)
def test_when_calls_are_looked_at(calls: int, looks_at: int | None) -> None:
    """At 50, 100, 200, 400 and so on, the first so many."""
    look = look_at(calls)
    assert (look.calls if look else None) == looks_at


def test_all_looks_together_spend_what_may_be_spent() -> None:
    """However long calls go on."""
    looks = [look_at(50 << k) for k in range(40)]
    spent = sum(look.alpha for look in looks if look)
    assert WRONG_CHAIR * 0.97 < spent < WRONG_CHAIR
    assert [look.number for look in looks if look] == list(range(1, 41))


def test_holm() -> None:
    """By hand: 0.01 <= 0.05/3, 0.024 <= 0.05/2, 0.06 > 0.05."""
    assert holm({"a": 0.01, "b": 0.06, "c": 0.024}, 0.05) == {"a", "c"}
    assert holm({"a": 0.02, "b": 0.06, "c": 0.024}, 0.05) == frozenset()
    assert holm({}, 0.05) == frozenset()
