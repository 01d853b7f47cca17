"""Doubt about sums of dimensions."""

from __future__ import annotations

import numpy as np
import pytest

from consult.body.estimate import Component, Dimension, Estimate
from consult.body.population import load_population
from consult.fit.sitter import added, spread_of

PAIR = {"stature": Dimension(0, 0, 0, 0, ""), "sitting_height": Dimension(0, 0, 0, 0, "")}


def pair(*components: Component) -> Estimate:
    return Estimate("two dimensions", PAIR, components, ())


def one(weight: float, mean: list[float], correlation: float) -> Component:
    covariance = np.array([[100.0, 100 * correlation], [100 * correlation, 100.0]])
    return Component("female", weight, np.array(mean), covariance)


@pytest.mark.parametrize(("correlation", "sd"), [(0.0, 200**0.5), (1.0, 0.0), (-1.0, 20.0)])
def test_dimensions_that_go_together(correlation: float, sd: float) -> None:
    """Doubt shared by two dimensions cancels in their difference."""
    body = pair(one(1.0, [0, 0], correlation))
    assert spread_of(body, {"stature": 1, "sitting_height": -1}) == pytest.approx(sd, abs=1e-6)


def test_sex_not_stated_is_doubt() -> None:
    """Two groups with means 60 mm apart spread wider than either."""
    body = pair(one(0.5, [0, 0], 0), one(0.5, [60, 0], 0))
    assert spread_of(body, {"stature": 1}) == pytest.approx((100 + 900) ** 0.5)
    assert spread_of(body, {"sitting_height": 1}) == pytest.approx(10)


def test_agrees_with_drawn_bodies() -> None:
    """The spread of a sum over the survey's own groups is that of bodies drawn from them."""
    population = load_population()
    rng = np.random.default_rng(7)
    groups = population.groups_of(None)
    components = tuple(
        Component(name, share, group.mean, group.covariance)
        for name, (share, group) in groups.items()
    )
    body = Estimate(
        population.name,
        {name: Dimension(0, 0, 0, 0, "") for name in population.order},
        components,
        (),
    )
    weights = {"stature": 1.0, "sitting_height": -1.0, "elbow_rest_height": 1.0}
    drawn = np.concatenate(
        [
            rng.multivariate_normal(one.mean, one.covariance, round(40_000 * one.weight))
            for one in components
        ]
    )
    sums = sum(drawn[:, population.index(name)] * w for name, w in weights.items())
    assert spread_of(body, weights) == pytest.approx(float(np.std(sums)), rel=0.02)


def test_no_weights_no_doubt() -> None:
    """A number that does not come from the body is certain."""
    assert spread_of(pair(one(1.0, [0, 0], 0)), {}) == 0


def test_added() -> None:
    """Sums of weights keep every dimension of either side."""
    assert added({"stature": 1, "weight": 2}, {"stature": 1}, -1) == {"stature": 0, "weight": 2}
