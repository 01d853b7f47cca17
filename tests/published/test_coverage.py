"""Nine people in ten lie in the interval: light, heavy, short, tall, and of another survey.

Within the survey (Gordon et al. 2014, NATICK/TR-15/007) the statistics are taken from one half of
the people and held against the other, the variance of transfer left out. The 1,210 men of the 1967
US Air Force survey (government data, from the open R package Anthropometry; some columns were
identified by their means) are other people of another time, measured by others; there it is left
in.
"""

from __future__ import annotations

import csv
import os
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from consult.body.estimate import estimate
from consult.body.measured import Measured, Sex
from consult.body.population import Population, load_population
from tests.long import in_a_long_run
from tests.published.people import SEXES, SURVEY, unrounded

Flags = NDArray[np.bool_]

SEATED = (
    "popliteal_height",
    "buttock_popliteal_length",
    "elbow_rest_height",
    "thigh_clearance",
    "hip_breadth_sitting",
)
TESTED = 700
"""People of each sex; nine in ten of a tenth of them are known to three points."""
_FILE = Path(__file__).parents[3] / "shared" / "reference" / "usaf1967_men.csv"


@cache
def halves(sex: Sex, seed: int = 11) -> tuple[Population, NDArray[np.float64]]:
    """The survey's statistics from every other person, and the others, measured at home."""
    people = unrounded(sex)
    mixed = people[np.random.Generator(np.random.PCG64(seed)).permutation(len(people))]
    fitted, tested = mixed[::2], mixed[1::2][:TESTED]
    group = replace(
        SURVEY.groups[sex], mean=fitted.mean(axis=0), covariance=np.cov(fitted, rowvar=False)
    )
    return replace(SURVEY, groups={**SURVEY.groups, sex: group}), tested


@cache
def inside(sex: Sex, seed: int = 11) -> Flags:
    """Person x seated dimension: the interval from stature and weight, told with error, holds."""
    population, people = halves(sex, seed)
    noise = np.random.Generator(np.random.PCG64(seed + 1)).standard_normal((len(people), 2))
    at = [population.index(name) for name in ("stature", "weight")]
    sds = np.array([population.measurement_sd("stature"), population.measurement_sd("weight")])
    found = []
    for person, error in zip(people, noise * sds, strict=True):
        stature, weight = person[at] + error
        told = [Measured("stature", stature, sds[0]), Measured("weight", weight, sds[1])]
        made = estimate(population, told, sex).dimensions
        found.append([made[d].low <= person[population.index(d)] <= made[d].high for d in SEATED])
    return np.array(found)


def groups(sex: Sex, seed: int = 11) -> dict[str, Flags]:
    """Who of the people tested is heavy, light, tall or short."""
    population, people = halves(sex, seed)
    weight, stature = (people[:, population.index(name)] for name in ("weight", "stature"))
    return {
        "heaviest tenth": weight >= np.quantile(weight, 0.9),
        "lightest tenth": weight <= np.quantile(weight, 0.1),
        "tallest twentieth": stature >= np.quantile(stature, 0.95),
        "shortest twentieth": stature <= np.quantile(stature, 0.05),
    }


def test_nine_in_ten_of_everybody() -> None:
    """Of all dimensions and both sexes together, and of each dimension, 88 to 93 in a hundred."""
    both = np.concatenate([inside(sex) for sex in SEXES])
    assert 0.88 <= both.mean() <= 0.93
    for share in both.mean(axis=0):
        assert 0.87 <= share <= 0.93


UNUSUAL = ("heaviest tenth", "lightest tenth", "tallest twentieth", "shortest twentieth")


@pytest.mark.parametrize("name", UNUSUAL)
def test_nine_in_ten_of_unusual_people(name: str) -> None:
    """Of the heaviest, the lightest, the tallest and the shortest at least 86 in a hundred."""
    found = np.concatenate([inside(sex)[groups(sex)[name]] for sex in SEXES])
    assert found.mean() >= 0.86


@in_a_long_run
@pytest.mark.parametrize("name", UNUSUAL)
def test_nine_in_ten_of_each_dimension_of_unusual_people(name: str) -> None:
    """The same of each dimension: four ways to halve the survey, as one leaves a group 140 people.

    A single cell of one halving scatters by 3 points, and so came to 84.7 to 85.3 at worst.
    """
    halvings = [(sex, seed) for sex in SEXES for seed in (11, 31, 51, 71)]
    found = np.concatenate([inside(*one)[groups(*one)[name]] for one in halvings])
    assert found.mean(axis=0).min() >= 0.86


@pytest.mark.parametrize("dimension", ["hip_breadth_sitting", "thigh_clearance"])
def test_hips_and_thighs_of_the_heaviest(dimension: str) -> None:
    """What grows with weight is held for the heaviest tenth, who were held to 78 and 81 before."""
    at = SEATED.index(dimension)
    share = np.concatenate([inside(s)[groups(s)["heaviest tenth"], at] for s in SEXES]).mean()
    assert share >= 0.85


def test_a_constant_spread_would_be_noticed() -> None:
    """Without growth fewer of the heaviest men's hips are held: the test can fail."""
    sex: Sex = "male"
    population, people = halves(sex)
    flat = replace(population.groups[sex], growth=0 * population.groups[sex].growth)
    alone = replace(population, groups={**population.groups, sex: flat})
    heavy = people[groups(sex)["heaviest tenth"]]
    hip, at = population.index("hip_breadth_sitting"), population.index("weight")
    shares = []
    for one in (population, alone):
        made = [
            estimate(
                one,
                [Measured("stature", float(p[0]), 12.0), Measured("weight", float(p[at]), 2.0)],
                sex,
            ).dimensions["hip_breadth_sitting"]
            for p in heavy
        ]
        held = [m.low <= p[hip] <= m.high for m, p in zip(made, heavy, strict=True)]
        shares.append(np.mean(held))
    assert shares[1] < shares[0] - 0.03


@cache
def air_force() -> list[dict[str, float]]:
    path = Path(os.environ.get("CONSULT_USAF_CSV", _FILE))
    if not path.is_file():
        pytest.skip(f"the rows of 1967 are not here: set CONSULT_USAF_CSV (looked at {path})")
    with path.open(newline="", encoding="utf-8") as file:
        return [{name: float(value) for name, value in row.items()} for row in csv.DictReader(file)]


@pytest.mark.parametrize(
    "dimension", [*SEATED, "eye_height_sitting", "knee_height_sitting", "sitting_height"]
)
@pytest.mark.parametrize("more", [(), ("popliteal_height", "elbow_rest_height")])
def test_men_of_1967(dimension: str, more: tuple[str, ...]) -> None:
    """From stature and weight, and with two measures more, 86 to 97 of a hundred are held."""
    if dimension in more:
        return
    population = load_population()
    held = []
    for man in air_force()[::3]:
        told = [Measured("stature", man["stature"], 1.0), Measured("weight", man["weight"], 0.1)]
        told += [Measured(name, man[name], 1.0) for name in more]
        made = estimate(population, told, "male").dimensions[dimension]
        held.append(made.low <= man[dimension] <= made.high)
    assert 0.86 <= np.mean(held) <= 0.97
