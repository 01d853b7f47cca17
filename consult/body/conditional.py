"""The conditional multivariate normal: what some measured dimensions say about all of them.

Used by the estimate (all measures) and by the plausibility checks (all measures but one), as are
the few distributions that both need: mixtures of normals, and the chi-square tail.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from statistics import NormalDist
from typing import TYPE_CHECKING

import numpy as np

from consult.body.measured import Measured

if TYPE_CHECKING:
    from consult.body.population import Array, Group, Population

_FINEST_SD = 0.01
"""mm or kg; no tape or scale is finer, and a standard deviation of zero would divide by zero."""
LIMIT = 1e9
"""mm or kg; anything larger is read as this, so that squares stay finite."""


@dataclass(frozen=True, slots=True, eq=False)
class Observation:
    """Measures with one value for each dimension; repeats are merged by their precision."""

    index: tuple[int, ...]
    """Places of the measured dimensions in the population's order, rising."""
    value: Array
    variance: Array
    scatter: float
    """Squared disagreement among repeats of a dimension, in standard deviations; 0 if none."""
    count: int
    """Measures before merging."""


@dataclass(frozen=True, eq=False)
class Conditional:
    """One group of the population after hearing the measures."""

    mean: Array
    seen: Observation
    prior: Array
    """The covariance before anything was heard."""
    beyond: Array | None
    """Covariance to add for a weight that the survey cannot speak of."""
    gain: Array
    """Row per dimension, column per measured dimension: mm of shift per mm measured."""
    reading_sd: Array
    """Spread of each measured dimension among people, measurement error included."""
    distance_squared: float
    """Squared Mahalanobis distance of the measures from this group."""
    log_likelihood: float
    """Of the measures, up to a term that is the same in every group."""

    @cached_property
    def covariance(self) -> Array:
        """Worked out when it is first read: to judge a measure takes one row of it."""
        keep = np.eye(len(self.prior))
        keep[:, list(self.seen.index)] -= self.gain
        # Joseph's form: a sum of two positive parts, so rounding cannot make a variance negative.
        covariance = keep @ self.prior @ keep.T + (self.gain * self.seen.variance) @ self.gain.T
        if self.beyond is not None:
            covariance += self.beyond
        return np.asarray((covariance + covariance.T) / 2)

    def variance(self, row: int) -> float:
        """Of one dimension."""
        gain, keep = self.gain[row], np.zeros(len(self.prior))
        keep[row] = 1.0
        keep[list(self.seen.index)] -= gain
        variance = keep @ self.prior @ keep + (gain * self.seen.variance) @ gain
        return float(variance if self.beyond is None else variance + self.beyond[row, row])


def observe(population: Population, measures: Sequence[Measured]) -> Observation:
    """The measures as arrays; ValueError in words for an unknown dimension or no number at all.

    Merging repeats first gives the same posterior as keeping them, and stays solvable however
    exact they claim to be.
    """
    by_index: dict[int, list[tuple[float, float]]] = {}
    for measured in measures:
        at = population.index(measured.dimension)
        by_index.setdefault(at, []).append(reading(population, measured))
    values, variances, scatter = [], [], 0.0
    for index in sorted(by_index):
        # Sorted, so that the order in which the call heard them cannot change the last digit.
        readings = sorted(by_index[index])
        precision = sum(1 / variance for _, variance in readings)
        value = sum(value / variance for value, variance in readings) / precision
        scatter += sum((heard - value) ** 2 / variance for heard, variance in readings)
        values.append(value)
        variances.append(1 / precision)
    places = tuple(sorted(by_index))
    return Observation(places, np.array(values), np.array(variances), scatter, len(measures))


def condition(group: Group, seen: Observation) -> Conditional:
    """Posterior of every dimension, the measured ones too, given measures with error.

    A weight counts no further out than the survey can speak of. Beyond the heaviest measured,
    bodies go on with the logarithm of weight, half as fast at e times it: a line would make giants
    of them, and a stop would deny what they weigh.
    """
    at = group.frame[1] if group.frame is not None else -1
    if at not in seen.index:
        return hear(group.mean, group.spread_at(None), seen)
    value = seen.value.copy()
    place = seen.index.index(at)
    heard = float(value[place])
    if heard <= group.heaviest:
        return hear(group.mean, group.spread_at(heard), seen)
    near = value[place] = group.heaviest * (1 + math.log(heard / group.heaviest))
    beyond = heard - near
    conditional = hear(group.mean, group.spread_at(near + beyond), replace(seen, value=value))
    mean = conditional.mean.copy()
    mean[at] += beyond
    # The doubt whether bodies followed the weight as it was heard, or its logarithm.
    slope = group.covariance[:, at] / group.covariance[at, at]
    slope[at] = 0.0
    extended = np.asarray(np.outer(slope, slope) * (beyond / 2) ** 2)
    return replace(conditional, mean=mean, beyond=extended)


def hear(prior_mean: Array, prior: Array, seen: Observation) -> Conditional:
    """A multivariate normal after hearing some of its dimensions with error."""
    index = list(seen.index)
    cross = prior[:, index]
    spread = cross[index, :] + np.diag(seen.variance)
    root = np.linalg.cholesky(spread)
    difference = seen.value - prior_mean[index]
    gain = np.asarray(np.linalg.solve(spread, cross.T).T, np.float64)
    white = np.linalg.solve(root, difference)
    distance = float(white @ white)
    return Conditional(
        mean=prior_mean + gain @ difference,
        seen=seen,
        prior=prior,
        beyond=None,
        gain=gain,
        reading_sd=np.sqrt(np.diagonal(spread)),
        distance_squared=distance + seen.scatter,
        log_likelihood=-distance / 2 - float(np.log(np.diagonal(root)).sum()),
    )


def weights(shares: Sequence[float], log_likelihoods: Sequence[float]) -> list[float]:
    """Probability of each group: share times likelihood, scaled before exp so none overflows."""
    pairs = zip(shares, log_likelihoods, strict=True)
    logs = [math.log(share) + likelihood for share, likelihood in pairs]
    top = max(logs)
    scaled = [math.exp(log - top) for log in logs]
    return [value / sum(scaled) for value in scaled]


def by_likelihood(
    groups: Collection[tuple[float, Group]], seen: Observation
) -> list[tuple[float, Conditional]]:
    """Groups, each with its share, after hearing the measures: how likely each is now, and what
    it says."""
    heard = [condition(group, seen) for _, group in groups]
    chances = weights(
        [share for share, _ in groups], [conditional.log_likelihood for conditional in heard]
    )
    return list(zip(chances, heard, strict=True))


def reading(population: Population, measured: Measured) -> tuple[float, float]:
    """Value and variance of a measure, kept within what arithmetic can hold."""
    label = population.label(measured.dimension)
    if not math.isfinite(measured.value):
        raise ValueError(f"The {label} was given as {measured.value}, which is not a measure.")
    if not measured.sd >= 0:
        raise ValueError(f"The measurement error of the {label} cannot be {measured.sd}.")
    value = min(max(measured.value, -LIMIT), LIMIT)
    return value, min(max(measured.sd, _FINEST_SD), LIMIT) ** 2


# -- mixtures of normals, and the chi-square tail -------------------------------------------------
# Written out because the statistics library that has them takes longer to import than the rest of
# the program.

_STANDARD = NormalDist()
_ROOT_2 = math.sqrt(2)
_SMALLEST_TAIL = 1e-300
"""Below this a tail probability has lost digits; its logarithm is used instead."""


@dataclass(frozen=True, slots=True)
class MixturePart:
    """One normal of a mixture; the weights of a mixture add up to 1."""

    weight: float
    mean: float
    sd: float


def mixture_quantile(probability: float, parts: Sequence[MixturePart]) -> float:
    """The value that the mixture stays below with this probability (0 to 1, exclusive)."""
    z = _score(probability)
    ends = [part.mean + z * part.sd for part in parts if part.weight > 0]
    low, high = min(ends), max(ends)
    if low == high:
        return low
    # At the lowest end every part has at most this probability below it, at the highest at
    # least, so the answer lies between; Newton's step is taken where it stays inside.
    guess = sum(part.weight * (part.mean + z * part.sd) for part in parts)
    for _ in range(80):
        if not low < guess < high:
            guess = (low + high) / 2
        if high - low <= 1e-9 * max(1.0, abs(guess)):
            break
        over, density = -probability, 0.0
        for part in parts:
            score = (guess - part.mean) / part.sd
            over += part.weight * math.erfc(-score / _ROOT_2) / 2
            density += part.weight * math.exp(-score * score / 2) / part.sd
        density /= math.sqrt(2 * math.pi)
        low, high = (low, guess) if over > 0 else (guess, high)
        step = over / density if density > 0 else math.inf
        if abs(step) < 1e-9 * max(1.0, abs(guess)):
            break
        guess -= step
    return min(max(guess, low), high)


@lru_cache(maxsize=64)
def _score(probability: float) -> float:
    """The standard score that a normal stays below with this probability; few are asked for."""
    return _STANDARD.inv_cdf(probability)


def mixture_z(value: float, parts: Sequence[MixturePart]) -> float:
    """How odd a value is, as the standard score of a normal with the same tail probability.

    Never capped: far out, where the probability underflows, the leading term of its logarithm
    takes over, so that two absurd values can still be told apart.
    """
    scores = [(part.weight, (value - part.mean) / part.sd) for part in parts if part.weight > 0]
    if len(scores) == 1:
        return scores[0][1]
    below = sum(weight * math.erfc(-z / _ROOT_2) / 2 for weight, z in scores)
    above = sum(weight * math.erfc(z / _ROOT_2) / 2 for weight, z in scores)
    side = -1.0 if below < above else 1.0
    tail = min(below, above, 0.5)
    if tail > _SMALLEST_TAIL:
        return -side * _STANDARD.inv_cdf(tail)
    return side * math.sqrt(min(z * z - 2 * math.log(weight) for weight, z in scores))


def two_sided_z(probability: float) -> float:
    """The standard score that is exceeded, on either side, with this probability."""
    return -_STANDARD.inv_cdf(max(probability, _SMALLEST_TAIL) / 2)


def chi_square_tail(value: float, dof: int) -> float:
    """Probability that a chi-square variable with whole ``dof`` >= 1 exceeds ``value``.

    Closed form (Abramowitz and Stegun 26.4.4 and 26.4.5, from memory).
    """
    if value <= 0:
        return 1.0
    half = value / 2
    odd = dof % 2
    start = math.erfc(math.sqrt(half)) if odd else 0.0
    powers = [k + odd / 2 for k in range(dof // 2)]
    rest = sum(math.exp(p * math.log(half) - half - math.lgamma(p + 1)) for p in powers)
    return min(1.0, start + rest)
