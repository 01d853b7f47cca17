"""The body as it would be estimated had one more dimension been measured nearly exactly."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from consult.body.conditional import weights
from consult.body.distribution import mixture_quantile
from consult.body.estimate import HIGH, LOW, Component, Dimension, Estimate, parts_at

NEARLY_EXACT = 0.5
"""mm, the error of the measure that would tell."""


def as_if(estimate: Estimate, dimension: str, value: float) -> Estimate:
    """The estimate had a nearly exact measure of one dimension (mm) been heard as well.

    The measure itself is not listed among those used.

    Raises:
        ValueError: the estimate has no such dimension.
    """
    components = _components_if(estimate, dimension, value)
    dimensions = {
        name: _dimension(components, place, one.origin)
        for place, (name, one) in enumerate(estimate.dimensions.items())
    }
    return replace(estimate, components=components, dimensions=dimensions)


def weighed_if(estimate: Estimate, dimension: str, value: float) -> Estimate:
    """``as_if`` as far as weighing chairs goes: of the dimensions only the weight is new."""
    components = _components_if(estimate, dimension, value)
    at = list(estimate.dimensions).index("weight")
    weight = _dimension(components, at, estimate.dimensions["weight"].origin)
    dimensions = {**estimate.dimensions, "weight": weight}
    return replace(estimate, components=components, dimensions=dimensions)


def _components_if(estimate: Estimate, dimension: str, value: float) -> tuple[Component, ...]:
    names = list(estimate.dimensions)
    if dimension not in names:
        raise ValueError(f"The estimate has no body dimension called '{dimension}'.")
    at = names.index(dimension)
    heard, likelihoods = [], []
    for one in estimate.components:
        spread = float(one.covariance[at, at]) + NEARLY_EXACT**2
        gain = one.covariance[:, at] / spread
        off = value - float(one.mean[at])
        # Joseph's form, as in the estimate: a variance stays positive.
        keep = np.eye(len(names))
        keep[:, at] -= gain
        left = keep @ one.covariance @ keep.T + NEARLY_EXACT**2 * np.outer(gain, gain)
        heard.append(replace(one, mean=one.mean + gain * off, covariance=(left + left.T) / 2))
        likelihoods.append(-(off**2) / spread / 2 - float(np.log(spread)) / 2)
    likely = [number for number, one in enumerate(estimate.components) if one.weight > 0]
    after = weights(
        [estimate.components[number].weight for number in likely],
        [likelihoods[number] for number in likely],
    )
    return tuple(
        replace(heard[number], weight=weight) for number, weight in zip(likely, after, strict=True)
    )


def _dimension(components: Sequence[Component], at: int, origin: str) -> Dimension:
    parts = parts_at(components, at)
    mean = sum(part.weight * part.mean for part in parts)
    variance = sum(part.weight * (part.sd**2 + (part.mean - mean) ** 2) for part in parts)
    low, high = (mixture_quantile(end, parts) for end in (LOW, HIGH))
    return Dimension(mean, float(np.sqrt(variance)), low, high, origin)
