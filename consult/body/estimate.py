"""The whole body from a few measures: mean, spread and origin of every dimension."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from consult.body.conditional import (
    MixturePart,
    Observation,
    by_likelihood,
    hear,
    mixture_quantile,
    observe,
    weights,
)
from consult.body.measured import Measured, Sex
from consult.problems import listed

if TYPE_CHECKING:
    from consult.body.population import Array, Population

LOW, HIGH = 0.05, 0.95
"""The interval shown holds nine people in ten."""
NEARLY_EXACT = 0.5
"""mm, the error of a measure that would tell."""


@dataclass(frozen=True, slots=True)
class Dimension:
    """What is known of one body dimension, mm or kg."""

    mean: float
    sd: float
    low: float
    """5 % of such people have less."""
    high: float
    """5 % of such people have more."""
    origin: str
    """'measured', or what it was estimated from."""


@dataclass(frozen=True, slots=True, eq=False)
class Component:
    """One sex the caller may be of, for drawing bodies: a multivariate normal and its weight."""

    group: Sex
    weight: float
    mean: Array
    """In the population's order, mm and kg."""
    covariance: Array


@dataclass(frozen=True, slots=True, eq=False)
class Estimate:
    """A body as far as the measures tell it, and from whom the rest was taken."""

    population: str
    """Name of the survey; the caller is not one of them."""
    dimensions: Mapping[str, Dimension]
    components: tuple[Component, ...]
    used: tuple[Measured, ...]
    set_aside: tuple[Measured, ...] = ()
    """Measures too odd to use until the caller confirms them."""


def estimate(population: Population, measures: Sequence[Measured], sex: Sex | None) -> Estimate:
    """The posterior of every dimension given the measures and their errors.

    A conditional multivariate normal; where sex is not stated, a mixture of both groups weighted
    by share and by how likely each makes the measures. Every number is finite. ValueError in
    words for a dimension the population does not have.
    """
    seen = observe(population, measures)
    groups = population.groups_of(sex)
    components = tuple(
        Component(name, weight, conditional.mean, conditional.covariance)
        for name, (weight, conditional) in zip(
            groups, by_likelihood(groups.values(), seen), strict=True
        )
    )
    measured = {measure.dimension for measure in measures}
    labels = [population.label(name) for name in population.order if name in measured]
    origin = f"estimated from {listed(labels, 'and') or 'the population alone'}"
    dimensions = {
        name: dimension_at(components, at, "measured" if name in measured else origin)
        for at, name in enumerate(population.order)
    }
    return Estimate(population.name, dimensions, components, tuple(measures))


def as_if(
    known: Estimate, dimension: str, value: float, renewed: Collection[str] | None = None
) -> Estimate:
    """The estimate had a nearly exact measure of one dimension (mm) been heard as well.

    The measure itself is not listed among those used. ``renewed`` are the dimensions told anew;
    None: all. The components always are.
    """
    at = list(known.dimensions).index(dimension)
    seen = Observation((at,), np.array([value]), np.array([NEARLY_EXACT**2]), 0.0, 1)
    likely = [component for component in known.components if component.weight > 0]
    heard = [hear(component.mean, component.covariance, seen) for component in likely]
    after = weights(
        [component.weight for component in likely],
        [conditional.log_likelihood for conditional in heard],
    )
    components = tuple(
        Component(component.group, weight, now.mean, now.covariance)
        for component, weight, now in zip(likely, after, heard, strict=True)
    )
    dimensions = {
        name: dimension_at(components, at, earlier.origin)
        if renewed is None or name in renewed
        else earlier
        for at, (name, earlier) in enumerate(known.dimensions.items())
    }
    return replace(known, components=components, dimensions=dimensions)


def dimension_at(components: Sequence[Component], at: int, origin: str) -> Dimension:
    """One dimension of a mixture, by its place in the population's order."""
    parts = [
        MixturePart(
            component.weight, float(component.mean[at]), math.sqrt(component.covariance[at, at])
        )
        for component in components
    ]
    mean = sum(part.weight * part.mean for part in parts)
    variance = sum(part.weight * (part.sd**2 + (part.mean - mean) ** 2) for part in parts)
    return Dimension(
        mean=mean,
        sd=math.sqrt(variance),
        low=mixture_quantile(LOW, parts),
        high=mixture_quantile(HIGH, parts),
        origin=origin,
    )
