"""Mixtures of normals and the chi-square tail, against scipy."""

from __future__ import annotations

import pytest
import scipy  # type: ignore[import-untyped]
from hypothesis import given
from hypothesis import strategies as st

from consult.body.conditional import (
    MixturePart,
    chi_square_tail,
    mixture_quantile,
    mixture_z,
    two_sided_z,
)


@pytest.mark.parametrize("dof", [1, 2, 3, 4, 7, 12, 13, 20])
@pytest.mark.parametrize("value", [1e-9, 0.1, 1.0, 5.0, 20.0, 60.0, 300.0])
def test_chi_square_tail_agrees_with_scipy(value: float, dof: int) -> None:
    """The closed form is scipy's survival function, far tails included."""
    assert chi_square_tail(value, dof) == pytest.approx(scipy.stats.chi2.sf(value, dof), rel=1e-10)


def test_chi_square_tail_ends() -> None:
    """Nothing is more likely than a distance of zero; an absurd one has no probability left."""
    assert chi_square_tail(0.0, 3) == 1.0
    assert chi_square_tail(1e300, 3) == 0.0


@given(
    st.floats(0.001, 0.999),
    st.floats(300, 500),
    st.floats(300, 500),
    st.floats(0.01, 40),
    st.floats(0.01, 40),
    st.floats(0.001, 0.999),
)
def test_mixture_quantile_undoes_the_mixture(
    share: float, first: float, second: float, sd_1: float, sd_2: float, chance: float
) -> None:
    """The mixture's own distribution function, by scipy, gives back the probability."""
    parts = [MixturePart(share, first, sd_1), MixturePart(1 - share, second, sd_2)]
    found = mixture_quantile(chance, parts)

    def below(value: float) -> float:
        return float(
            share * scipy.stats.norm.cdf(value, first, sd_1)
            + (1 - share) * scipy.stats.norm.cdf(value, second, sd_2)
        )

    # Between the humps the function is flat, so the check is on both sides of the answer.
    assert below(found - 1e-4) <= chance + 1e-9
    assert below(found + 1e-4) >= chance - 1e-9


def test_mixture_quantile_agrees_with_a_root_finder() -> None:
    """A worked mixture gives the root that scipy's own finder gives."""
    parts = [MixturePart(0.3, 388.0, 24.0), MixturePart(0.7, 430.0, 25.0)]
    root = scipy.optimize.brentq(
        lambda x: (
            0.3 * scipy.stats.norm.cdf(x, 388, 24) + 0.7 * scipy.stats.norm.cdf(x, 430, 25) - 0.05
        ),
        200,
        600,
    )
    assert mixture_quantile(0.05, parts) == pytest.approx(root, abs=1e-6)


def test_mixture_z_has_the_same_tail() -> None:
    """The score's normal tail is the mixture's tail, on both sides."""
    parts = [MixturePart(0.4, 388.0, 24.0), MixturePart(0.6, 430.0, 25.0)]
    for value in (300.0, 400.0, 520.0, 600.0):
        z = mixture_z(value, parts)
        cdf = 0.4 * scipy.stats.norm.cdf(value, 388, 24) + 0.6 * scipy.stats.norm.cdf(
            value, 430, 25
        )
        assert scipy.stats.norm.cdf(z) == pytest.approx(cdf, rel=1e-6)


def test_mixture_z_goes_on_rising_where_probability_ends() -> None:
    """Scores keep their order and sign beyond the smallest number, without a jump."""
    parts = [
        MixturePart(0.4, 388.0, 24.0),
        MixturePart(0.6, 430.0, 25.0),
        MixturePart(0.0, 1e9, 1.0),
    ]
    scores = [mixture_z(430.0 + 25 * k, parts) for k in (30, 36, 37, 38, 50, 1e4, 1e8)]
    assert scores == sorted(scores)
    assert scores[1:4] == pytest.approx([36, 37, 38], abs=0.05)
    assert mixture_z(-1e9, parts) < -1e7


def test_two_sided_z() -> None:
    """A chance of one in twenty on both sides is 1.96; none at all is still finite."""
    assert two_sided_z(0.05) == pytest.approx(1.959964, abs=1e-6)
    assert 36 < two_sided_z(0.0) < 38
