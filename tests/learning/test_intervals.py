"""Intervals and tails beside the reference."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats  # type: ignore[import-untyped]
from scipy.special import betainc  # type: ignore[import-untyped]

from consult.learning.intervals import (
    as_often,
    beta_share,
    chi_square_beyond,
    more_than_others,
    share_interval,
    t_beyond,
)
from consult.learning.looks import WRONG, holm, look_at


@settings(deadline=None)
@given(st.floats(0, 1), st.floats(0.5, 5000), st.floats(0.5, 5000))
def test_the_incomplete_beta_function(x: float, a: float, b: float) -> None:
    """As the reference has it."""
    assert beta_share(x, a, b) == pytest.approx(betainc(a, b, x), abs=1e-9)


@settings(deadline=None)
@given(st.integers(0, 3000), st.integers(0, 3000))
def test_the_interval_of_a_share(count: int, more: int) -> None:
    """Exact, also where nothing or everything came true, and where there is nothing."""
    low, high = share_interval(count, count + more)
    assert 0 <= low <= high <= 1
    if count + more:
        known = stats.binomtest(count, count + more).proportion_ci(0.95, "exact")
        assert (low, high) == pytest.approx((known.low, known.high), abs=1e-7)
    else:
        assert (low, high) == (0, 1)


@settings(deadline=None)
@given(st.integers(0, 400), st.integers(0, 400), st.floats(0.001, 0.999))
def test_as_often(count: int, more: int, share: float) -> None:
    """Twice the smaller tail of the binomial law, both with the count itself."""
    law = stats.binom(count + more, share)
    known = min(1.0, 2 * min(law.cdf(count), law.sf(count - 1)))
    assert as_often(count, count + more, share) == pytest.approx(known, abs=1e-9)


@settings(deadline=None)
@given(st.floats(-40, 40), st.floats(1, 3000))
def test_the_tails_of_t(t: float, degrees: float) -> None:
    """Both together."""
    assert t_beyond(t, degrees) == pytest.approx(2 * stats.t.sf(abs(t), degrees), rel=1e-6)


@settings(deadline=None)
@given(st.floats(0.01, 3000), st.integers(1, 2000))
def test_the_tails_of_chi_square(value: float, degrees: int) -> None:
    """Twice the smaller one."""
    law = stats.chi2(degrees)
    known = 2 * min(law.cdf(value), law.sf(value))
    assert chi_square_beyond(value, degrees) == pytest.approx(known, rel=1e-6, abs=1e-12)


@settings(deadline=None)
@given(st.integers(1, 60), st.integers(1, 200), st.data())
def test_more_than_others(of: int, others: int, data: st.DataObject) -> None:
    """Fisher's exact test, one side."""
    count = data.draw(st.integers(0, of))
    other = data.draw(st.integers(0, others))
    known = stats.fisher_exact([[count, of - count], [other, others - other]], "greater").pvalue
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
    assert WRONG * 0.97 < spent < WRONG
    assert [look.number for look in looks if look] == list(range(1, 41))


def test_holm() -> None:
    """By hand: 0.01 <= 0.05/3, 0.024 <= 0.05/2, 0.06 > 0.05."""
    assert holm({"a": 0.01, "b": 0.06, "c": 0.024}, 0.05) == {"a", "c"}
    assert holm({"a": 0.02, "b": 0.06, "c": 0.024}, 0.05) == frozenset()
    assert holm({}, 0.05) == frozenset()
