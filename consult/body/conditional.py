"""The conditional multivariate normal: what some measured dimensions say about all of them.

Used by the estimate (all measures) and by the plausibility checks (all measures but one).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
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


@dataclass(frozen=True, slots=True, eq=False)
class Conditional:
    """One group of the population after hearing the measures."""

    mean: Array
    covariance: Array
    gain: Array
    """Row per dimension, column per measured dimension: mm of shift per mm measured."""
    reading_sd: Array
    """Spread of each measured dimension among people, measurement error included."""
    distance_squared: float
    """Squared Mahalanobis distance of the measures from this group."""
    log_likelihood: float
    """Of the measures, up to a term that is the same in every group."""


def observe(population: Population, measures: Sequence[Measured]) -> Observation:
    """The measures as arrays; ValueError in words for an unknown dimension or no number at all.

    Merging repeats first gives the same posterior as keeping them, and stays solvable however
    exact they claim to be.
    """
    by_index: dict[int, list[tuple[float, float]]] = {}
    for measured in measures:
        by_index.setdefault(population.index(measured.dimension), []).append(
            _reading(population, measured)
        )
    values, variances, scatter = [], [], 0.0
    for index in sorted(by_index):
        # Sorted, so that the order in which the call heard them cannot change the last digit.
        readings = sorted(by_index[index])
        precision = sum(1 / variance for _, variance in readings)
        value = sum(value / variance for value, variance in readings) / precision
        scatter += sum((one - value) ** 2 / variance for one, variance in readings)
        values.append(value)
        variances.append(1 / precision)
    return Observation(
        tuple(sorted(by_index)), np.array(values), np.array(variances), scatter, len(measures)
    )


def one_reading(at: int, value: float, sd: float) -> Observation:
    """One dimension, by its place, read with an error."""
    return Observation((at,), np.array([value]), np.array([sd**2]), 0.0, 1)


def condition(group: Group, seen: Observation) -> Conditional:
    """Posterior of every dimension, the measured ones too, given measures with error."""
    seen, beyond = _within_reach(group, seen)
    heard = _weight(group, seen)
    found = hear(group.mean, group.spread_at(None if heard is None else heard + beyond), seen)
    if not beyond or group.frame is None:
        return found
    mean, covariance = _extended(group, found.mean, found.covariance, beyond)
    return replace(found, mean=mean, covariance=covariance)


def hear(prior_mean: Array, prior: Array, seen: Observation) -> Conditional:
    """A multivariate normal after hearing some of its dimensions with error."""
    index = list(seen.index)
    cross = prior[:, index]
    spread = cross[index, :] + np.diag(seen.variance)
    root = np.linalg.cholesky(spread)
    difference = seen.value - prior_mean[index]
    gain = np.asarray(np.linalg.solve(spread, cross.T).T, np.float64)
    # Joseph's form: a sum of two positive parts, so rounding cannot make a variance negative.
    keep = np.eye(len(prior))
    keep[:, index] -= gain
    covariance = keep @ prior @ keep.T + (gain * seen.variance) @ gain.T
    white = np.linalg.solve(root, difference)
    distance = float(white @ white)
    return Conditional(
        mean=prior_mean + gain @ difference,
        covariance=(covariance + covariance.T) / 2,
        gain=gain,
        reading_sd=np.sqrt(np.diagonal(spread)),
        distance_squared=distance + seen.scatter,
        log_likelihood=-distance / 2 - float(np.log(np.diagonal(root)).sum()),
    )


def _weight(group: Group, seen: Observation) -> float | None:
    """The weight heard, kg."""
    if group.frame is None or group.frame[1] not in seen.index:
        return None
    return float(seen.value[seen.index.index(group.frame[1])])


def _within_reach(group: Group, seen: Observation) -> tuple[Observation, float]:
    """The measures with a weight no further out than the survey can speak of, and the kg left.

    Beyond the heaviest measured, bodies go on with the logarithm of weight, half as fast at e
    times it: a line would make giants of them, and a stop would deny what they weigh.
    """
    heard = _weight(group, seen)
    if heard is None or heard <= group.heaviest or group.frame is None:
        return seen, 0.0
    near = group.heaviest * (1 + math.log(heard / group.heaviest))
    value = seen.value.copy()
    value[seen.index.index(group.frame[1])] = near
    return replace(seen, value=value), heard - near


def _extended(group: Group, mean: Array, covariance: Array, beyond: float) -> tuple[Array, Array]:
    """The weight as it was heard, and the doubt whether bodies followed it or the logarithm."""
    assert group.frame is not None
    at = group.frame[1]
    slope = group.covariance[:, at] / group.covariance[at, at]
    slope[at] = 0.0
    mean = mean.copy()
    mean[at] += beyond
    return mean, covariance + np.outer(slope, slope) * (beyond / 2) ** 2


def weights(shares: Sequence[float], log_likelihoods: Sequence[float]) -> list[float]:
    """Probability of each group: share times likelihood, scaled before exp so none overflows."""
    logs = [
        math.log(share) + likelihood
        for share, likelihood in zip(shares, log_likelihoods, strict=True)
    ]
    top = max(logs)
    scaled = [math.exp(log - top) for log in logs]
    return [one / sum(scaled) for one in scaled]


def _reading(population: Population, measured: Measured) -> tuple[float, float]:
    """Value and variance of a measure, kept within what arithmetic can hold."""
    if not math.isfinite(measured.value):
        label = population.label(measured.dimension)
        raise ValueError(f"The {label} was given as {measured.value}, which is not a measure.")
    if not measured.sd >= 0:
        label = population.label(measured.dimension)
        raise ValueError(f"The measurement error of the {label} cannot be {measured.sd}.")
    value = min(max(measured.value, -LIMIT), LIMIT)
    return value, min(max(measured.sd, _FINEST_SD), LIMIT) ** 2
