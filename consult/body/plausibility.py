"""Measures that cannot all be true of one body, found before they spoil the estimate.

Each measure is judged by what the others, with their errors, say about it. The survey is data, so
"usual" always means usual in its population. ``read_body`` sets the absurd aside and estimates from
the rest.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING, Literal

import numpy as np

from consult.body.conditional import (
    LIMIT,
    Conditional,
    MixturePart,
    by_likelihood,
    chi_square_tail,
    condition,
    mixture_quantile,
    mixture_z,
    observe,
    reading,
    two_sided_z,
)
from consult.body.estimate import Estimate, estimate
from consult.body.measured import Measured, Sex
from consult.problems import listed

if TYPE_CHECKING:
    from consult.body.population import Group, Population
    from consult.units import System


DoubtLevel = Literal["re-measure", "set aside"]

RE_MEASURE, SET_ASIDE = 3.0, 5.0
"""Standard scores beyond which a measure is doubted, or not used until confirmed."""
TOGETHER = "together"
"""The dimension of a doubt about all measures at once."""
UNLIKELY_TOGETHER = 0.001
_NEAR_TIE = 0.5
"""Two measures that contradict each other look about equally odd; within this, see ``_blamed``."""
_CAP = 37.0
"""A normal tail this far out is the smallest that still has a probability."""
_STANDING = ("stature", "weight")
HEAVIER, LIGHTER = 0.25, 0.18
"""Weights spread by this much of their logarithm about what the other measures say, to the heavy
and to the light side: among US civilians of 1960 to 1962 the 95th percentile stood 0.37 (women)
and 0.27 (men) above the middle, the 5th 0.28 below (Stoudt and others 1965, from memory), which is
0.23 and 0.17 of a standard deviation, and people have become heavier since (common knowledge, no
source). The survey's soldiers spread less, and are no measure of who may be heavy."""
_BEYOND = 2.5
"""Standard deviations from the survey's mean weight: beyond it says nothing of how long somebody
is, for the survey has hardly anybody there."""
_LEAST_TIE = 0.6
"""Correlation with weight below which a dimension is not judged by a weight so far out."""


@dataclass(frozen=True, slots=True)
class Doubt:
    """A measure, or all of them together, that the adviser should ask about again."""

    dimension: str
    """Dimension name, or 'together'."""
    z: float
    """Standard score given the other measures, within -37 to 37."""
    level: DoubtLevel
    message: str
    low: float | None
    """A new reading would usually lie between low and high (5 to 95 %), mm or kg."""
    high: float | None
    confirmed: bool
    """The caller stands by it: it is used all the same."""
    measured: Measured | None = None
    """The measure in doubt; None where it is all of them together."""


@dataclass(frozen=True, slots=True)
class _Judged:
    """One measure against the others still trusted."""

    measured: Measured
    z: float
    parts: tuple[MixturePart, ...]
    """What a reading of this dimension would be, given the others."""
    others: tuple[Measured, ...]
    likeliest: Conditional
    """What the others say of the group that the caller most likely belongs to."""


def doubts(
    population: Population, measures: Sequence[Measured], sex: Sex | None, system: System = "metric"
) -> tuple[Doubt, ...]:
    """The measures to ask about again, worst first; lengths in words of the given system.

    The worst is flagged and left out before looking again, so that one wrong measure is not
    reported as two. Where no single one stands out but they are unlikely together, one doubt says
    that. ValueError in words for an unknown dimension.
    """
    if _unremarkable(population, measures, sex):
        return ()
    doubted: list[Doubt] = []
    left = list(measures)
    while left:
        judged = [_judge(population, left, at, sex) for at in range(len(left))]
        odd = [measure for measure in judged if abs(measure.z) > RE_MEASURE]
        if not odd:
            break
        blamed = _blamed(odd)
        doubted.append(_doubt(population, blamed, sex, system))
        left.remove(blamed.measured)
    if doubted or len(measures) < 2:
        return tuple(doubted)
    _, tail = lengths_together(population, measures, sex)
    if tail >= UNLIKELY_TOGETHER:
        return ()
    z = min(two_sided_z(tail), _CAP)
    confirmed = all(measure.confirmed for measure in measures)
    message = _all_together(population, measures, confirmed)
    return (Doubt(TOGETHER, z, "re-measure", message, None, None, confirmed),)


def _unremarkable(population: Population, measures: Sequence[Measured], sex: Sex | None) -> bool:
    """Whether certainly nothing is odd: each length against the others by one inverse.

    What one measure is off by, given the others, over its spread then, is its share of the
    precision times all that is off, over the root of its own precision. False also where this does
    not hold: two groups, a reading repeated, a weight that says nothing of some lengths.
    """
    groups = [group for _, group in population.groups_of(sex).values()]
    seen = observe(population, measures)
    if len(groups) > 1 or len(seen.index) != seen.count or seen.count < 2:
        return False
    group, index = groups[0], list(seen.index)
    at = population.index("weight") if "weight" in population.order else -1
    heavy = index.index(at) if at in index else None
    weight = None if heavy is None else float(seen.value[heavy])
    if weight is not None and _beyond(group, at, weight):
        return False
    spread = group.spread_at(weight).take(index, 0).take(index, 1) + np.diag(seen.variance)
    off = seen.value - group.mean[index]
    precision = np.linalg.inv(spread)
    shares = precision @ off
    scores = np.abs(shares) / np.sqrt(np.diagonal(precision))
    far = float(off @ shares)
    if heavy is not None:
        # Whether it is odd the lengths tell, which spread otherwise without it.
        lengths = [n for n in range(len(index)) if n != heavy]
        among = group.spread_at(None).take(index, 0).take(index, 1)
        alone = among.take(lengths, 0).take(lengths, 1) + np.diag(seen.variance[lengths])
        middle = among[heavy, lengths] @ np.linalg.solve(alone, off[lengths]) + group.mean[at]
        scores[heavy] = abs(_weight_z(seen.value[heavy], (MixturePart(1.0, float(middle), 1.0),)))
        far -= float(off[heavy] ** 2 / spread[heavy, heavy])
    count = seen.count - (heavy is not None)
    whole = 1.0 if count < 2 else chi_square_tail(max(far, 0.0), count)
    # Near either limit the exact way decides.
    return bool(scores.max() < RE_MEASURE - _NEAR_TIE and whole > 2 * UNLIKELY_TOGETHER)


def _beyond(group: Group, at: int, weight: float) -> bool:
    """Whether a weight lies further out than the survey can speak of lengths by."""
    return abs(weight - float(group.mean[at])) > _BEYOND * math.sqrt(group.covariance[at, at])


def lengths_together(
    population: Population, measures: Sequence[Measured], sex: Sex | None
) -> tuple[float, float]:
    """Squared distance of the lengths from the population, given the weight, and how likely they
    are to lie as far out together.

    A weight is judged by itself, and for being heavy nobody is odd as a whole. Measurement error
    counts as part of the spread. Where sex is not stated, the nearer group answers, which errs
    towards believing the caller.
    """
    weights_ = [measure for measure in measures if measure.dimension == "weight"]
    lengths = len(measures) - len(weights_)
    if lengths < 2:
        return 0.0, 1.0
    whole, weight = observe(population, measures), observe(population, weights_)
    distance = min(
        condition(group, whole).distance_squared - condition(group, weight).distance_squared
        for _, group in population.groups_of(sex).values()
    )
    return distance, chi_square_tail(max(distance, 0.0), lengths)


def trusted(measures: Sequence[Measured], doubted: Sequence[Doubt]) -> tuple[Measured, ...]:
    """The measures to estimate from: all but those set aside and not confirmed."""
    aside = [
        doubt.measured for doubt in doubted if doubt.level == "set aside" and not doubt.confirmed
    ]
    return tuple(measure for measure in measures if measure not in aside)


def _judge(
    population: Population, measures: Sequence[Measured], at: int, sex: Sex | None
) -> _Judged:
    """The measure at a place, against all the others."""
    measured = measures[at]
    others = [*measures[:at], *measures[at + 1 :]]
    # Kept within bounds here as everywhere.
    value, error = reading(population, measured)
    row, groups = population.index(measured.dimension), population.groups_of(sex)
    others = _telling(population, row, others, [group for _, group in groups.values()])
    seen = observe(population, others)
    heard = by_likelihood(groups.values(), seen)
    parts = tuple(
        MixturePart(
            chance, float(conditional.mean[row]), math.sqrt(conditional.variance(row) + error)
        )
        for chance, conditional in heard
    )
    _, likeliest = max(heard, key=lambda pair: pair[0])
    z = _weight_z(value, parts) if measured.dimension == "weight" else mixture_z(value, parts)
    return _Judged(measured, z, parts, tuple(others), likeliest)


def _weight_z(value: float, parts: Sequence[MixturePart]) -> float:
    """How odd a weight is, on the scale of its logarithm.

    The heavy side stops short of what is set aside: a weight said is believed, and a rating must
    cover it.
    """
    middle = math.log(max(sum(part.weight * part.mean for part in parts), 1.0))
    off = math.log(max(value, 1e-3)) - middle
    return off / LIGHTER if off < 0 else min(off / HEAVIER, SET_ASIDE)


def _telling(
    population: Population, row: int, others: Sequence[Measured], groups: Iterable[Group]
) -> list[Measured]:
    """The other measures that may judge one dimension: a weight far out says nothing of lengths."""
    at = population.index("weight") if "weight" in population.order else row

    def beyond(weight: float) -> bool:
        return all(
            _beyond(group, at, weight)
            and abs(group.covariance[row, at])
            < _LEAST_TIE * math.sqrt(group.covariance[row, row] * group.covariance[at, at])
            for group in groups
        )

    return [
        measure for measure in others if measure.dimension != "weight" or not beyond(measure.value)
    ]


def _beside(population: Population, judged: _Judged) -> tuple[Measured, ...]:
    """The one or two other measures that say most: no more can be read in one breath."""
    row, heard = population.index(judged.measured.dimension), judged.likeliest
    informs = {
        index: abs(float(heard.gain[row, column])) * float(heard.reading_sd[column])
        for column, index in enumerate(heard.seen.index)
    }
    if not informs:
        return ()
    most = sorted(informs, key=lambda index: (-informs[index], index))[:2]
    # A second that says little beside the first would only be noise in the sentence.
    named = sorted(index for index in most if informs[index] > informs[most[0]] / 3)
    first = {population.index(measure.dimension): measure for measure in reversed(judged.others)}
    return tuple(first[index] for index in named)


def _blamed(odd: Sequence[_Judged]) -> _Judged:
    """The worst; among near-ties one not confirmed, then a seated measure, takes the blame.

    People measure their own stature and weight better than what they measure sitting.
    """
    worst = max(abs(judged.z) for judged in odd)
    tied = [judged for judged in odd if abs(judged.z) >= worst - _NEAR_TIE]

    def rank(judged: _Judged) -> tuple[bool, bool, float, str, float]:
        is_standing = judged.measured.dimension in _STANDING
        name, value = judged.measured.dimension, judged.measured.value
        return judged.measured.confirmed, is_standing, -abs(judged.z), name, value

    return min(tied, key=rank)


def _doubt(population: Population, blamed: _Judged, sex: Sex | None, system: System) -> Doubt:
    measured, z = blamed.measured, min(max(blamed.z, -_CAP), _CAP)
    low, high = (mixture_quantile(chance, blamed.parts) for chance in (0.05, 0.95))
    level: DoubtLevel = "set aside" if abs(z) > SET_ASIDE else "re-measure"
    doubt = Doubt(measured.dimension, z, level, "", low, high, measured.confirmed, measured)
    beside = _beside(population, blamed)
    message = _one_measure(population, doubt, measured, beside, sex, system)
    return replace(doubt, message=message)


def read_body(
    population: Population, measures: Sequence[Measured], sex: Sex | None, system: System = "metric"
) -> tuple[Estimate, tuple[Doubt, ...]]:
    """The estimate from every trusted measure, and the doubts to put to the caller.

    ValueError in words for an unknown dimension.
    """
    return _read(population, tuple(measures), sex, system)


@lru_cache(maxsize=256)
def _read(
    population: Population, measures: tuple[Measured, ...], sex: Sex | None, system: System
) -> tuple[Estimate, tuple[Doubt, ...]]:
    """Remembered, because a call is walked through anew with every answer."""
    doubted = doubts(population, measures, sex, system)
    kept = trusted(measures, doubted)
    aside = tuple(measure for measure in measures if measure not in kept)
    return replace(estimate(population, kept, sex), set_aside=aside), doubted


# -- how a doubt is said to the adviser: what is odd, beside what, what to do ----------------------

_WHO: dict[Sex | None, str] = {None: "someone", "female": "a woman", "male": "a man"}
_ALONE: dict[Sex | None, str] = {None: "an adult", "female": "a woman", "male": "a man"}
_STEP = {"mm": 5.0, "kg": 1.0}
"""A usual range said more finely than this would sound surer than it is."""


def _one_measure(
    population: Population,
    doubt: Doubt,
    measured: Measured,
    beside: Sequence[Measured],
    sex: Sex | None,
    system: System,
) -> str:
    """Why one measure is doubted, beside those that it sits badly with, and what to ask for."""
    trait = population.trait(measured.dimension)
    value = _said(population, measured, system)
    if measured.dimension == "weight":
        # Nobody is told that they are heavy: a slip of the unit is looked for, and why it matters.
        ask = "Please ask, kindly, whether I have that right, and in which unit: the chair must be"
        then = "It was confirmed, so it is used." if doubt.confirmed else f"{ask} rated for it."
        return f"Weight {value}. {then}"
    step, far = _STEP[trait.unit], doubt.level == "set aside"
    low, high = (
        population.words(measured.dimension, round(end / step) * step, system)
        for end in (doubt.low or 0.0, doubt.high or 0.0)
    )
    degree = f"{'extremely' if far else 'very'} {trait.more if doubt.z > 0 else trait.less}"
    odd = f"{trait.label} {value} is {degree} for {_person(population, beside, sex, system)}."
    about = f"about {low} to {high} would be usual"
    if doubt.confirmed:
        return f"{odd} It was confirmed, so it is used; {about}."
    ask = f"{odd} Please have it measured again: {about}."
    return f"{ask} It is not used until confirmed." if far else ask


def _all_together(population: Population, measures: Sequence[Measured], confirmed: bool) -> str:
    """Why measures that are each possible are doubted as a whole."""
    named = {measure.dimension for measure in measures}
    labels = [population.label(name) for name in population.order if name in named]
    odd = "Each measure alone is possible, but together they are unusual for one body:"
    odd = f"{odd} {listed(labels, 'and')}."
    if confirmed:
        return f"{odd} They were confirmed, so they are used."
    return f"{odd} Please have the one that was hardest to take measured again."


def _person(
    population: Population, beside: Sequence[Measured], sex: Sex | None, system: System
) -> str:
    if not beside:
        return _ALONE[sex]
    traits = [
        population.trait(measure.dimension).someone.replace(
            "<value>", _said(population, measure, system)
        )
        for measure in beside
    ]
    return f"{_WHO[sex]} {' and '.join(traits)}"


def _said(population: Population, measured: Measured, system: System) -> str:
    # As the estimate reads it: nobody wants three hundred digits read out.
    value = min(max(measured.heard, -LIMIT), LIMIT)
    return population.words(measured.dimension, value, system)
