"""Which measure is worth asking for next: how much P(fits) of the best chair would gain by it.

For every measure not yet taken, the readings that may be heard are six for each component of the
estimate: the mean of each equally likely sixth of its predictive normal. (The best chair changes
at some reading, so the value has kinks, on which Gauss-Hermite points were much further off.) At
each reading y every body is moved to what it would be had y been heard, x + K(y - x_m - e), with
e its own error of measurement: for a normal that gives draws of the exact posterior. Each
component keeps its own K, and the weights of the components follow the reading, so nothing is
pooled.

The value now is the best chair's P(fits) averaged over the same readings and bodies, so a gain is
never below nought, and just nought for a measure that is known already. Chairs with the same
numbers are compared once; of a range with very many, those most likely to fit now and the best
with each seat height, depth and arms.

Six points are coarse for a step: where a rating stands or falls with the mass, a gain may be some
points off. It says what to ask first, not what will come of it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from statistics import NormalDist
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from consult.body.conditional import weights
from consult.body.estimate import HIGH
from consult.fit.ranking import bits_of, distinct, footrests_of, suited
from consult.fit.request import RATED_FOR, normals, placed
from consult.fit.rules import dimensions_for
from consult.fit.scoring import demands, masks, without_gathering
from consult.fit.workplace import places
from consult.range.chairs import chairs_of

if TYPE_CHECKING:
    from consult.body.estimate import Estimate
    from consult.body.population import Array, Population
    from consult.fit.request import FitRequest
    from consult.fit.scoring import Bits, Demands
    from consult.range.chairs import Chairs, Index

HOME_MEASURES = (
    "stature",
    "popliteal_height",
    "buttock_popliteal_length",
    "elbow_rest_height",
    "thigh_clearance",
    "hip_breadth_sitting",
    "weight",
)
"""What a caller can measure at home with a tape, a book and a scale."""
THRESHOLD = 0.02
_BODIES = 256
"""Shared out over the components in whole words of 64 bits, so that none share a word."""
_SIXTHS = 6
MOST = 512
"""Chairs with distinct numbers that are compared."""
_UNLIKELY = 1e-3
"""A component less likely than this cannot change what to ask."""


@dataclass(frozen=True, slots=True)
class Gain:
    """What hearing one measure is expected to add to the best P(fits)."""

    dimension: str
    gain: float
    se: float
    """Standard error from drawing bodies."""


@dataclass(frozen=True, slots=True)
class AskNext:
    """The measures not yet taken, the most worth asking first."""

    gains: tuple[Gain, ...]
    best: Gain | None
    """None where no measure is left to take."""
    settled: bool
    """No measure would add as much as the threshold: enough is known."""
    threshold: float = THRESHOLD


@dataclass(frozen=True, slots=True, eq=False)
class _Drawn:
    """The components of an estimate in some dimensions, and bodies drawn of each."""

    order: tuple[str, ...]
    prior: Array
    mean: Array
    covariance: Array
    bodies: Array
    """Dimension x component x body."""
    error: Array
    """Component x body: the error of a measurement, in standard deviations."""

    def flat(self) -> Array:
        """Every body, a row each, the components one after the other."""
        return self.bodies.reshape(len(self.order), -1).T


@dataclass(frozen=True, slots=True, eq=False)
class _Heard:
    """The readings of some measures."""

    chance: Array
    """How likely each reading is."""
    weights: Array
    """Measure x reading x component: how likely each component is after the reading."""
    carried: Array
    """Measure x reading x rating: the rating may be offered after the reading."""


def _sixths() -> Array:
    """The mean of each equally likely part of a standard normal."""
    normal = NormalDist()
    ends = [normal.inv_cdf(part / _SIXTHS) for part in range(1, _SIXTHS)]
    density = np.array([0.0, *(normal.pdf(end) for end in ends), 0.0])
    return -_SIXTHS * np.diff(density)


SCORES = _sixths()
"""Where a standard normal is heard."""


@without_gathering
def ask_next(
    request: FitRequest,
    population: Population,
    *,
    threshold: float = THRESHOLD,
    also: Iterable[str] = (),
) -> AskNext:
    """Rank the measures not yet taken by what they would add to the best P(fits).

    ``also`` are dimensions to look at besides those that can be measured at home. Bodies are
    drawn, shared equally over the components (rounded up to a multiple of 64 each);
    ``population`` says how well callers measure. Same inputs, same gains.

    Raises:
        ValueError: the range builds no chair at all; a range that was loaded builds some.
    """
    estimate, workplace = request.estimate, request.workplace
    taken = {one.dimension for one in (*estimate.used, *estimate.set_aside)}
    looked_at = dict.fromkeys((*HOME_MEASURES, *also))
    asked = [name for name in looked_at if name in estimate.dimensions and name not in taken]
    chairs = chairs_of(request.range)
    # A lighter reading may allow what the mass forbids now, so ratings are looked at below.
    rows = np.flatnonzero(suited(request, chairs))
    if not asked or not len(rows):
        return AskNext((), None, True, threshold)
    rows, _ = distinct(chairs, rows)
    drawn = _draw(
        estimate,
        (*dict.fromkeys((*dimensions_for(estimate), *asked)),),
        request.n or _BODIES,
        request.seed,
    )
    means = {name: one.mean for name, one in estimate.dimensions.items()}
    errors = [population.told_sd(name, means[name]) for name in asked]
    used = dimensions_for(estimate)
    # A row a dimension, so that each is one stretch of memory.
    components, n = drawn.bodies.shape[1:]
    every = np.empty((len(used), len(asked), len(SCORES) * components, components, n))
    heard = _hear(drawn, asked, errors, chairs.ratings, request.told_mass, every)
    rests = [part.height for part in footrests_of(request.range) if part.height]
    many = drawn.bodies[0].size
    beside = places(workplace, many, request.seed) if request.open_places else None

    def asked_of(values: Array, order: tuple[str, ...]) -> Demands:
        there = beside and beside.repeated(len(values) // many)
        armless, lowest = request.armless, chairs.lowest
        return demands(
            values, order, workplace, rests, armless=armless, drawn=there, chairs_from=lowest
        )

    if len(rows) > MOST:
        rows = _contenders(chairs, rows, drawn, asked_of(drawn.flat(), drawn.order))
    found = masks(asked_of(every.reshape(len(used), -1).T, used), chairs)
    bits = bits_of(found, chairs, rows)
    # Chair x measure x reading x component x word.
    bits = bits.reshape(-1, *every.shape[1:4], n // 64)
    rating = np.repeat(chairs.rating_of[rows], found.heights.shape[1])
    offered = (chairs.ratings >= request.mass_limit)[rating].astype(np.float64)
    gains = _gains(asked, heard, bits, rating, offered)
    gains.sort(key=lambda each: -each.gain)
    return AskNext(tuple(gains), gains[0], gains[0].gain < threshold, threshold)


def _contenders(chairs: Chairs, rows: Index, drawn: _Drawn, now: Demands) -> Index:
    """Of very many rows those worth comparing, in their order."""
    found = masks(now, chairs)
    parts = []
    for start in range(0, len(rows), 8 * MOST):
        bits = bits_of(found, chairs, rows[start : start + 8 * MOST])
        per_component = bits.reshape(*bits.shape[:2], len(drawn.prior), -1)
        fits = np.bitwise_count(per_component).sum(axis=3, dtype=np.float64)
        parts.append((fits @ drawn.prior).max(axis=1))
    p = np.concatenate(parts)
    ranked = np.argsort(-p, kind="stable")
    leaders = [
        ranked[np.unique(numbers[rows[ranked]], return_index=True)[1]]
        for numbers in (chairs.height_of, chairs.seat_of, chairs.arms_of)
    ]
    # The best of each kind first, then the likeliest, as many as there is room for.
    first = np.array(list(dict.fromkeys(np.concatenate([*leaders, ranked]).tolist())))
    return np.asarray(rows[np.sort(first[:MOST])])


def _gains(
    asked: Sequence[str], heard: _Heard, bits: Bits, rating: NDArray[np.intp], offered: Array
) -> list[Gain]:
    """``offered`` is 1 for the chairs that may be offered before anything more is heard, else 0."""
    measures, readings, components, words = bits.shape[1:]
    n = 64 * words
    # A word after the other, as a sum along so short an axis takes four times as long.
    counts = np.bitwise_count(bits)
    suited_by = sum(counts[..., word].astype(np.uint16) for word in range(words))
    fits = np.asarray(suited_by) / n
    p = sum(fits[..., one] * heard.weights[..., one] for one in range(components))
    # Measure x chair x reading.
    p = np.ascontiguousarray(np.moveaxis(np.asarray(p), 0, 1))
    may = heard.carried[:, :, rating]
    p *= np.moveaxis(may, 1, 2)
    now = np.argmax(p @ heard.chance * offered, axis=1)
    best = np.argmax(p, axis=1)
    # What each body adds: 1 where only the chair chosen on hearing suits it, -1 where only now's.
    at, each = np.arange(measures)[:, None], np.arange(readings)
    suits = may[at, each, best][..., None, None] * _unpacked(bits[best, at, each])
    fitted = _unpacked(bits[now[:, None], at, each])
    suits -= (offered[now][:, None] * may[at, each, now[:, None]])[..., None, None] * fitted
    shares = (suits * (heard.chance[:, None] * heard.weights)[..., None]).sum(axis=1)
    spread = np.sqrt(shares.var(axis=2).sum(axis=1) / n)
    gained = np.maximum(shares.mean(axis=2).sum(axis=1), 0.0)
    return [Gain(*one) for one in zip(asked, gained.tolist(), spread.tolist(), strict=True)]


def _unpacked(bits: Bits) -> Array:
    return np.unpackbits(np.ascontiguousarray(bits).view(np.uint8), axis=-1).astype(np.float64)


def _draw(estimate: Estimate, order: tuple[str, ...], n: int, seed: int) -> _Drawn:
    likely = [one for one in estimate.components if one.weight >= _UNLIKELY]
    known = list(estimate.dimensions)
    at = [known.index(name) for name in order]
    n = -(-n // (64 * len(likely))) * 64
    # One more column of normals: the error of the measurement.
    normal = np.array([normals(n, len(order) + 1, seed + number) for number in range(len(likely))])
    bodies = [placed(one, at, z[:, :-1]) for one, z in zip(likely, normal, strict=True)]
    prior = np.array([one.weight for one in likely])
    return _Drawn(
        order,
        prior / prior.sum(),
        np.array([one.mean[at] for one in likely]),
        np.array([one.covariance.take(at, 0).take(at, 1) for one in likely]),
        np.ascontiguousarray(np.array(bodies).transpose(2, 0, 1)),
        normal[:, :, -1],
    )


def _hear(
    drawn: _Drawn,
    names: Sequence[str],
    error_sds: Sequence[float],
    ratings: Array,
    told_mass: float,
    into: Array,
) -> _Heard:
    """Write what each reading of each measure would make of the bodies into an array: dimension x
    measure x reading x component x body, for the first dimensions."""
    columns, weight = [drawn.order.index(name) for name in names], drawn.order.index("weight")
    prior, mean, covariance = drawn.prior, drawn.mean, drawn.covariance
    error = np.array(error_sds)
    # ``conditional.hear`` of one measure, for all components at once: component x dimension x
    # measure, and from there on with the measure first.
    cross, variance = covariance[:, :, columns], covariance[:, columns, columns] + error**2
    shift, sd = cross / variance[:, None], np.sqrt(variance).T
    middle = mean[:, columns].T
    reading = (middle[:, :, None] + sd[:, :, None] * SCORES).reshape(len(names), -1)
    chance = np.repeat(prior / len(SCORES), len(SCORES))
    beyond = reading[:, :, None] - middle[:, None]
    odds = np.ones(beyond.shape)
    if len(prior) > 1:
        # How likely each component makes each reading.
        log = -((beyond / sd[:, None]) ** 2) / 2 - np.log(sd)[:, None]
        chances = prior.tolist()
        odds = np.array([[weights(chances, each) for each in one] for one in log.tolist()])
    off = reading[:, :, None, None] - drawn.bodies[columns][:, None]
    off -= error[:, None, None, None] * drawn.error
    np.multiply(np.moveaxis(shift, 0, 2)[: len(into), :, None, :, None], off, out=into)
    into += drawn.bodies[: len(into), None, None]
    # The careful end of the mass after the reading; a rating below it may not be offered.
    heavy = mean[:, weight] + shift[:, weight].T[:, None] * beyond
    left = (covariance[:, weight, weight][:, None] - shift[:, weight] * cross[:, weight]).T
    scores = (ratings - heavy[..., None]) / np.sqrt(np.maximum(left, 1e-12))[:, None, :, None]
    carried = (_normal_cdf(scores) * odds[..., None]).sum(axis=2) >= HIGH
    carried &= ratings >= told_mass
    if "weight" in names:
        at = names.index("weight")
        carried[at] &= ratings >= reading[at][:, None] + RATED_FOR * error[at]
    return _Heard(chance, odds, carried.astype(np.float64))


def _normal_cdf(score: Array) -> Array:
    flat = [math.erfc(-one / math.sqrt(2)) / 2 for one in score.ravel().tolist()]
    return np.array(flat).reshape(score.shape)
