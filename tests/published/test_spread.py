"""The spreads of the population file come out again from the rows they were taken from.

Growth: the rows of ANSUR II (Gordon et al. 2014, NATICK/TR-15/007). Transfer: the rows of the US
Air Force men of 1967, and the means of the British handbook, which estimated most of them and
counts a quarter. How each number came about: ``consult/body/data/README.md``.
"""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from numpy.typing import NDArray

from consult.body.measured import Sex
from consult.body.population import Group, load_population
from consult.body.population_file import load_named
from tests.long import every_case
from tests.published.people import SEXES, rows
from tests.published.test_coverage import SEATED, air_force

Array = NDArray[np.float64]

PEOPLE = load_population()
FRAME = [PEOPLE.index("stature"), PEOPLE.index("weight")]
OTHERS = [name for name in PEOPLE.order if name not in ("stature", "weight")]
MEASURED_IN_1967 = (
    *SEATED,
    *("eye_height_sitting", "knee_height_sitting", "sitting_height"),
)
HANDBOOK = 0.25
"""What the handbook counts beside a survey whose people were measured."""


def left_over(group: Group, values: Array) -> Array:
    """What stature and weight leave unexplained of some people, or of their means."""
    cross = group.covariance[:, FRAME]
    slope = np.linalg.solve(group.covariance[np.ix_(FRAME, FRAME)], cross.T)
    return np.asarray(values - group.mean - (values - group.mean)[..., FRAME] @ slope)


@cache
def survey(sex: Sex) -> tuple[Array, Array]:
    """Weight against the mean of the group, and what is left of every dimension."""
    people = rows(sex)
    weight = people[:, FRAME[1]] / PEOPLE.groups[sex].mean[FRAME[1]]
    return np.log(weight), left_over(PEOPLE.groups[sex], people)


@every_case(OTHERS)
def test_growth(name: str) -> None:
    """The likeliest power of weight, one normal a person, the mean of both sexes."""
    at, found = PEOPLE.index(name), []
    powers = np.arange(-0.5, 1.5, 0.005)
    for sex in SEXES:
        log_weight, left = survey(sex)
        scaled = left[:, at, None] / np.exp(np.outer(log_weight, powers))
        # With the spread at its best, what is left of the likelihood.
        loss = len(left) * np.log(np.sqrt((scaled**2).mean(axis=0))) + log_weight.sum() * powers
        found.append(powers[np.argmin(loss)])
    assert PEOPLE.groups["male"].growth[at] == pytest.approx(np.mean(found), abs=0.02)


@pytest.mark.parametrize("name", MEASURED_IN_1967)
def test_transfer(name: str) -> None:
    """Root mean square of the difference of the means and of the spread that is more."""
    at, group = PEOPLE.index(name), PEOPLE.groups["male"]
    men = np.array([[man.get(one, np.nan) for one in PEOPLE.order] for man in air_force()])
    left = left_over(group, men)[:, at]
    _, own = survey("male")
    more = max(0.0, float(left.var() - own[:, at].var()))
    handbook = load_named("british_adults")
    means = [left_over(PEOPLE.groups[s], handbook.groups[s].mean)[at] for s in SEXES]
    square = left.mean() ** 2 + more + HANDBOOK * np.mean(np.square(means))
    assert group.transfer[at] == pytest.approx(np.sqrt(square / (1 + HANDBOOK)), abs=0.25)
