"""What a chair is chosen for: range, body, workplace and needs as one value; bodies drawn of it.

Bodies the caller may well have are drawn from the estimate: same inputs, same bodies. Every
component of the mixture gets its share of the bodies exactly, and the normals have mean 0,
variance 1 and no correlation in the sample itself, not only in the long run. On the demo range
that narrows the scatter of P(fits) to 0.6 to 0.8 of what independent bodies give, as much as
twice the bodies would; mirrored pairs and a lattice of points were tried and did not.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import TYPE_CHECKING, Any, Literal

import numpy as np
from numpy.typing import NDArray

from consult.range.chairs import chairs_of

if TYPE_CHECKING:
    from consult.body.estimate import Component, Estimate
    from consult.body.population import Array, Population
    from consult.fit.workplace import Workplace
    from consult.range.model import Range


NeedLine = tuple[str, Literal["must", "prefer"], str]
"""A feature, how much it matters, and why."""

BODIES = 2000
SEED = 20261125
RATED_FOR = 1.645
"""Standard deviations of a told weight that a rating covers: 95 of 100 weigh less (a normal)."""
NO_ARMS_WANTED = "no_arms"
"""The feature of a chair without armrests, for a caller who never rests on them."""
_FEW = 8
"""Times the dimensions; fewer normals say too little of their own covariance to correct it."""


@dataclass(frozen=True, slots=True, eq=False)
class FitRequest:
    """Same request, same chair."""

    range: Range
    estimate: Estimate
    workplace: Workplace
    needs: Sequence[NeedLine] = ()
    mass: float | None = None
    """kg that a chair must carry besides, as where it is shared."""
    lowest: float | None = None
    """mm that a chair must go up to besides, as where it is shared."""
    n: int = BODIES
    """Bodies drawn from the estimate."""
    seed: int = SEED
    open_places: bool = False
    """What is not known of the workplace is drawn as workplaces are, and what was told within the
    error of a tape; else the known is exact, and the unknown not tested."""
    kept: dict[str, Any] = field(default_factory=dict, repr=False)
    """What was worked out of it already."""

    @property
    def told_mass(self) -> float:
        """The most that the caller may well weigh by what was said, kg, however odd it was."""
        measures = (*self.estimate.used, *self.estimate.set_aside)
        masses = (
            measure.value + RATED_FOR * measure.sd
            for measure in measures
            if measure.dimension == "weight"
        )
        return max((self.mass or 0.0, *masses))

    @property
    def mass_limit(self) -> float:
        """kg a chair must be rated for before it may be offered at all."""
        return max(self.estimate.dimensions["weight"].high, self.told_mass)

    @property
    def lowest_seat(self) -> float | None:
        """mm that a chair must go up to before it may be offered; None where nobody said."""
        seats = [value for value in (self.workplace.lowest_seat, self.lowest) if value is not None]
        return max(seats, default=None)

    @property
    def musts(self) -> list[str]:
        """The features a chair may not lack, each once."""
        return list(dict.fromkeys(name for name, strength, _ in self.needs if strength == "must"))

    @property
    def preferred(self) -> list[str]:
        """The features a chair had better have, each once."""
        must = self.musts
        return list(dict.fromkeys(name for name, *_ in self.needs if name not in must))

    @property
    def armless(self) -> bool:
        """Whether the caller wants no armrests."""
        return any(feature == NO_ARMS_WANTED for feature, *_ in self.needs)


@dataclass(frozen=True, slots=True, eq=False)
class Bodies:
    """Equally likely bodies, one a row; mm and kg; not to be written to."""

    values: Array
    order: tuple[str, ...]
    """The dimension in each column."""


@lru_cache(maxsize=16)
def draw(estimate: Estimate, order: tuple[str, ...], n: int = BODIES, seed: int = SEED) -> Bodies:
    """``n`` bodies with the dimensions in ``order``; ValueError for a dimension not estimated."""
    known = list(estimate.dimensions)
    unknown = [name for name in order if name not in estimate.dimensions]
    if unknown:
        raise ValueError(f"The estimate has no body dimension called '{unknown[0]}'.")
    at = [known.index(name) for name in order]
    counts = _shares([component.weight for component in estimate.components], n)
    blocks = [
        placed(component, at, normals(count, len(at), seed + number))
        for number, (component, count) in enumerate(zip(estimate.components, counts, strict=True))
    ]
    return Bodies(np.concatenate(blocks), order)


def components_of(estimate: Estimate, n: int) -> NDArray[np.intp]:
    """Which component of the estimate each of ``n`` bodies drawn from it comes of."""
    counts = _shares([component.weight for component in estimate.components], n)
    return np.repeat(np.arange(len(counts)), counts)


def placed(component: Component, at: Sequence[int], normal: Array) -> Array:
    """Standard normals moved to where a component has its bodies, in the dimensions ``at``."""
    # The symmetric root moves smoothly with the covariance, so one more answer does not
    # reshuffle the bodies; and unlike a triangular one it exists when a measure is exact.
    spread, axes = np.linalg.eigh(component.covariance.take(at, 0).take(at, 1))
    root = (axes * np.sqrt(np.maximum(spread, 0.0))) @ axes.T
    return np.asarray(component.mean[list(at)] + normal @ root, np.float64)


@lru_cache(maxsize=16)
def normals(n: int, dims: int, seed: int) -> Array:
    """Standard normals, read-only and drawn once; few of them are left as they fell."""
    drawn = np.random.Generator(np.random.PCG64(seed)).standard_normal((n, dims))
    if n >= _FEW * dims:
        drawn -= drawn.mean(axis=0)
        root = np.linalg.cholesky(drawn.T @ drawn / n)
        drawn = np.linalg.solve(root, drawn.T).T.copy()
    drawn.setflags(write=False)
    return drawn


def _shares(weights: Sequence[float], n: int) -> list[int]:
    """``n`` split by weight, the largest remainders rounded up."""
    exact = np.array(weights) * n
    counts = np.floor(exact).astype(int)
    short = n - int(counts.sum())
    for index in np.argsort(counts - exact, kind="stable")[:short]:
        counts[index] += 1
    return [int(count) for count in counts]


_CLOSE = 0.001
"""kg; two weights nearer than this are one."""


def limits_of(range_: Range | None, population: Population) -> Mapping[str, float | bool]:
    """``range.<name>`` to its figure, kg, or yes or no; empty where there is no range of chairs."""
    if range_ is None or range_.fitting is not None:
        return {}
    chairs = chairs_of(range_)
    rated = chairs.ratings[~(chairs.ratings == math.inf)]
    limits: dict[str, float | bool] = {
        "range.heavy_duty": bool(chairs.having("heavy_duty").any()),
        "range.headrest": bool(range_.on_sale("headrest")),
    }
    if len(rated):
        highest = float(rated[-1])
        limits["range.highest_rating"] = highest
        limits["range.heaviest_caller"] = heaviest_caller(highest, population)
    return limits


def heaviest_caller(rating: float, population: Population) -> float:
    """The highest weight, kg, that a caller may say and still be offered a chair of this rating.

    A chair is offered where its rating covers 95 in 100 of those who say such a weight
    (``FitRequest.told_mass``), which grows with the weight said.
    """
    low, high = 0.0, rating
    while high - low > _CLOSE:
        middle = (low + high) / 2
        weight = population.weight_told(middle)
        if weight.value + RATED_FOR * weight.sd <= rating:
            low = middle
        else:
            high = middle
    return low
