"""Real people of the survey, and what the program states of chairs for them beside the truth.

Only stature and sex are told to the program; whether a chair fits the person is then worked out
from that person's own recorded dimensions, by the same demands.
"""

from __future__ import annotations

import csv
import math
import os
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from consult.body.estimate import Estimate, estimate
from consult.body.measured import Measured, Sex
from consult.body.population import load_population
from consult.fit.ranking import Weighed, bits_of, weigh
from consult.fit.request import BODIES, SEED, FitRequest
from consult.fit.rules import DIMENSIONS
from consult.fit.scoring import demands, masks
from consult.fit.workplace import Workplace
from consult.range.file import load_range
from consult.range.model import Range
from tests.body.bodies import without_transfer

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

SURVEY = without_transfer(load_population())
SEXES: tuple[Sex, ...] = ("female", "male")
STEP = 5.0
"""mm; people whose stature is heard as the same multiple of this share one estimate."""
# Not the seed of the drawn bodies, which would give errors and bodies the same normals.
_SEED_ERROR, _SEED_ROUNDING = SEED + 100, SEED + 200
_ROOT = Path(__file__).parents[2]
_BESIDE_THE_REPOSITORY = _ROOT.parent / "shared" / "reference" / "ansur2_seated.csv"


@dataclass(frozen=True, slots=True, eq=False)
class Pairs:
    """Every person with every chair the program may offer them; one entry a pair."""

    person: NDArray[np.intp]
    stated: Array
    """P(fits) from stature and sex."""
    fits: Flags
    """Whether it does."""
    best: Flags
    """Whether it is the chair the program puts first."""


@dataclass(frozen=True, slots=True)
class Bin:
    """The pairs of one tenth of stated probability, every person in it counting once."""

    tenth: int
    people: int
    stated: float
    observed: float

    @property
    def gap(self) -> float:
        return self.observed - self.stated


@cache
def rows(sex: Sex) -> Array:
    """One row per person in the population's order, mm and kg; skips where the rows are absent."""
    path = Path(os.environ.get("CONSULT_SURVEY_CSV", _BESIDE_THE_REPOSITORY))
    if not path.is_file():
        pytest.skip(f"the survey's rows are not here: set CONSULT_SURVEY_CSV (looked at {path})")
    columns = [f"{name}_{SURVEY.unit(name)}" for name in SURVEY.order]
    with path.open(newline="", encoding="utf-8") as file:
        found = [row for row in csv.DictReader(file) if row["sex"] == sex]
    return np.array([[float(row[column]) for column in columns] for row in found])


@cache
def unrounded(sex: Sex) -> Array:
    """The people as long as they may be, not as recorded: uniform over half a unit either way.

    The survey records whole millimetres and tenths of a kilogram. A span of 40 mm holds 41 whole
    millimetres with both its ends, so recorded elbows meet the arms 2.5 % too often: more than a
    point where half of the people do, several where a chair has to meet more than one span.
    """
    people = rows(sex)
    unit = np.array([1.0 if SURVEY.unit(name) == "mm" else 0.1 for name in SURVEY.order])
    spread = np.random.Generator(np.random.PCG64(_SEED_ROUNDING)).uniform(-0.5, 0.5, people.shape)
    return people + unit * spread


@cache
def demo_range() -> Range:
    """The range that comes with the program."""
    loaded, problems = load_range(_ROOT / "trees" / "range.yaml")
    assert loaded is not None, problems
    return loaded


def pairs(
    workplace: Workplace, error: float, altered: Callable[[Estimate], Estimate] = lambda one: one
) -> Pairs:
    """All people of the survey, their stature heard with this error (standard deviation, mm).

    The error is drawn with a fixed seed. ``altered`` may spoil the estimate.
    """
    noise = np.random.Generator(np.random.PCG64(_SEED_ERROR))
    found: list[tuple[NDArray[np.intp], Array, Flags, Flags]] = []
    first = 0
    for sex in SEXES:
        people = unrounded(sex)
        told = people[:, SURVEY.index("stature")] + error * noise.standard_normal(len(people))
        told = np.round(told / STEP) * STEP
        # What rounding adds to the error is uniform over one step.
        sd = math.hypot(error, STEP / math.sqrt(12))
        for stature in np.unique(told).tolist():
            heard = altered(estimate(SURVEY, [Measured("stature", stature, sd)], sex))
            weighed = weigh(FitRequest(demo_range(), heard, workplace, n=BODIES, seed=SEED))
            who = np.flatnonzero(told == stature)
            found.append(_paired(weighed, workplace, people[who], who + first))
        first += len(people)
    person, stated, fits, best = (np.concatenate(column) for column in zip(*found, strict=True))
    return Pairs(person, stated, fits, best)


def _paired(
    weighed: Weighed, workplace: Workplace, people: Array, who: NDArray[np.intp]
) -> tuple[NDArray[np.intp], Array, Flags, Flags]:
    """These people with all chairs weighed for them; chairs alike in all numbers count as one."""
    true = people[:, [SURVEY.index(name) for name in DIMENSIONS]]
    rests = [part.height for part in weighed.rests if part.height is not None]
    met = masks(demands(true, DIMENSIONS, workplace, rests), weighed.chairs)
    each = np.arange(len(weighed.sets))
    bits = bits_of(met, weighed.chairs, weighed.sets)[each, weighed.rest]
    fits = np.unpackbits(bits.view(np.uint8), axis=1)[:, : len(who)].astype(np.bool_)
    best = each == weighed.set_of[weighed.ranking()[0][0]]
    return (
        np.tile(who, len(each)),
        np.repeat(weighed.fits / weighed.n, len(who)),
        fits.reshape(-1),
        np.repeat(best, len(who)),
    )


def bins(of: Pairs, only: Flags | None = None) -> list[Bin]:
    """The ten bins of stated probability that hold anybody."""
    keep = np.ones(len(of.person), np.bool_) if only is None else only
    tenth = np.minimum((of.stated[keep] * 10).astype(np.intp), 9)
    most = int(of.person.max()) + 1
    each, at, count = np.unique(
        tenth * most + of.person[keep], return_inverse=True, return_counts=True
    )
    stated = np.bincount(at, of.stated[keep]) / count
    observed = np.bincount(at, of.fits[keep].astype(np.float64)) / count
    found = []
    for number in range(10):
        inside = each // most == number
        if inside.any():
            means = float(stated[inside].mean()), float(observed[inside].mean())
            found.append(Bin(number, int(inside.sum()), *means))
    return found
