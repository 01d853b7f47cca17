"""Bodies the caller may well have, drawn from the estimate: same inputs, same bodies.

The normals come in antithetic pairs, and every component of the mixture gets its share of the
bodies exactly, so neither sampling the sex nor the centre of a normal adds noise.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from consult.body.estimate import Component, Estimate

Array = NDArray[np.float64]

BODIES = 2000
SEED = 20261125


@dataclass(frozen=True, slots=True, eq=False)
class Bodies:
    """Equally likely bodies, one a row; mm and kg."""

    values: Array
    order: tuple[str, ...]
    """The dimension in each column."""


def draw(estimate: Estimate, order: Sequence[str], n: int = BODIES, seed: int = SEED) -> Bodies:
    """``n`` bodies with the dimensions in ``order``; ValueError for a dimension not estimated."""
    known = list(estimate.dimensions)
    unknown = [name for name in order if name not in estimate.dimensions]
    if unknown:
        raise ValueError(f"The estimate has no body dimension called '{unknown[0]}'.")
    at = [known.index(name) for name in order]
    normal = normals(n, len(at), seed)
    counts = _shares([one.weight for one in estimate.components], n)
    blocks, start = [], 0
    for component, count in zip(estimate.components, counts, strict=True):
        blocks.append(placed(component, at, normal[start : start + count]))
        start += count
    return Bodies(np.concatenate(blocks), tuple(order))


def placed(component: Component, at: Sequence[int], normal: Array) -> Array:
    """Standard normals moved to where a component has its bodies, in the dimensions ``at``."""
    # The symmetric root moves smoothly with the covariance, so one more answer does not
    # reshuffle the bodies; and unlike a triangular one it exists when a measure is exact.
    spread, axes = np.linalg.eigh(component.covariance[np.ix_(at, at)])
    root = (axes * np.sqrt(np.maximum(spread, 0.0))) @ axes.T
    return np.asarray(component.mean[list(at)] + normal @ root, np.float64)


@lru_cache(maxsize=16)
def normals(n: int, dims: int, seed: int) -> Array:
    """Standard normals, each followed by its mirror image; read-only, drawn once."""
    half = np.random.Generator(np.random.PCG64(seed)).standard_normal(((n + 1) // 2, dims))
    pairs = np.stack([half, -half], axis=1).reshape(-1, dims)[:n]
    pairs.setflags(write=False)
    return pairs


def _shares(weights: Sequence[float], n: int) -> list[int]:
    """``n`` split by weight, the largest remainders rounded up."""
    exact = np.array(weights) * n
    counts = np.floor(exact).astype(int)
    short = n - int(counts.sum())
    for index in np.argsort(counts - exact, kind="stable")[:short]:
        counts[index] += 1
    return [int(count) for count in counts]
