"""A true body drawn from the survey, within the bands that a caller's file gives."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from consult.content.callers.chance import normal_within

if TYPE_CHECKING:
    from consult.body.measured import Sex
    from consult.body.population import Population
    from consult.content.callers.chance import Key

REACH = 4.0
"""Standard deviations from the mean that a body may lie: one in 30,000 lies further out."""
_UNUSUAL = 2.5
"""Standard deviations within which what no band names is drawn."""
_DIGITS = 1
"""Tenths of a mm or kg: coarser than what arithmetic differs by from machine to machine."""


@dataclass(frozen=True, slots=True)
class Band:
    """Where a dimension lies, mm or kg; both ends the same for one value."""

    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Usual:
    """What a dimension is, given others: mm or kg."""

    mean: float
    sd: float

    def reached(self, band: Band) -> bool:
        """Whether somebody of the survey could lie within the band."""
        far = REACH * self.sd
        return band.low <= self.mean + far and band.high >= self.mean - far


def usual(population: Population, sex: Sex, dimension: str, known: Mapping[str, float]) -> Usual:
    """Mean and spread of a dimension for people of whom others are known exactly."""
    group = population.groups[sex]
    at = population.index(dimension)
    others = [population.index(name) for name in known]
    mean, variance = float(group.mean[at]), float(group.covariance[at, at])
    if others:
        apart = np.array(list(known.values())) - group.mean[others]
        gain = np.linalg.solve(
            group.covariance[np.ix_(others, others)], group.covariance[others, at]
        )
        mean += float(gain @ apart)
        variance -= float(gain @ group.covariance[others, at])
    return Usual(mean, math.sqrt(max(variance, 1e-6)))


def drawn_body(
    population: Population, sex: Sex, bands: Mapping[str, Band], key: Key
) -> dict[str, float]:
    """Every dimension of one body: those with a band first, each as likely given those before.

    Of a band the survey hardly reaches, its nearer end is drawn. Same key, same body.
    """
    known: dict[str, float] = {}
    for name in _banded_first(population, bands):
        now = usual(population, sex, name, known)
        band = bands.get(name)
        low = band.low if band else now.mean - _UNUSUAL * now.sd
        high = band.high if band else now.mean + _UNUSUAL * now.sd
        value = low if low == high else normal_within(now.mean, now.sd, low, high, *key, name)
        known[name] = round(max(value, now.mean / 4), _DIGITS)
    return {name: known[name] for name in population.order}


def _banded_first(population: Population, bands: Mapping[str, Band]) -> Sequence[str]:
    return [
        *(name for name in population.order if name in bands),
        *(name for name in population.order if name not in bands),
    ]
