"""Bodies of simulated callers against the survey they are drawn from."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

import consult.body
from consult.body.measured import Sex
from consult.content.callers.says import Person
from consult.tree.shares import Shares
from tests.content.callers.people import caller, near, survey

MANY = 6000
SURVEY = Path(consult.body.__file__).parent / "data" / "us_army_2012.json"
"""ANSUR II, the public US Army survey of 2012 (Gordon et al. 2014): means, SDs, correlations."""


@cache
def crowd() -> tuple[Person, ...]:
    """As many as the survey measured."""
    return tuple(caller(number, seed=5) for number in range(1, MANY + 1))


def bodies(sex: Sex) -> NDArray[np.float64]:
    """Everybody of one sex, a row each."""
    order = survey().order
    return np.array([[one.body[name] for name in order] for one in crowd() if one.sex == sex])


@pytest.mark.parametrize("sex", ["female", "male"])
def test_bodies_match_the_survey(sex: Sex) -> None:
    """Means, SDs and correlations of the drawn lie within four standard errors of the file's."""
    stated = json.loads(SURVEY.read_text("utf-8"))["groups"][sex]
    mean, sd, together = (np.array(stated[key]) for key in ("mean", "sd", "correlation"))
    drawn = bodies(sex)
    n = len(drawn)
    assert np.all(np.abs(drawn.mean(axis=0) - mean) <= 4 * sd / np.sqrt(n))
    assert np.all(np.abs(drawn.std(axis=0, ddof=1) - sd) <= 4 * sd / np.sqrt(2 * n))
    error = (1 - together**2) / np.sqrt(n)
    assert np.all(np.abs(np.corrcoef(drawn.T) - together) <= 4 * error + 1e-4)


def test_sexes_come_by_the_population_or_by_the_file() -> None:
    """Half and half as the survey file weighs them; 20 of 100 where the callers file says so."""
    assert near(sum(one.sex == "female" for one in crowd()), 0.5, MANY)
    shares = Shares(sex={"female": 20.0, "male": 80.0})
    women = sum(caller(number, shares).sex == "female" for number in range(1, 1001))
    assert near(women, 0.2, 1000)


def test_those_who_remember_their_stature() -> None:
    """As many as stated."""
    shares = Shares(remembered=30.0)
    assert near(sum(caller(n, shares).remembers for n in range(1, 1001)), 0.3, 1000)


def test_a_caller_is_known_by_seed_and_number() -> None:
    """The same again, another with another number or seed."""
    assert caller(7) == caller(7)
    assert caller(7).body != caller(8).body
    assert caller(7).body != caller(7, seed=2).body
