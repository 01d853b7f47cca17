"""The whole body from a few measures: mean, spread and origin of every dimension."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from consult.body.conditional import condition, observe, weights
from consult.body.distribution import Part, mixture_quantile
from consult.body.measured import Measured, Sex

if TYPE_CHECKING:
    from consult.body.population import Array, Population

LOW, HIGH = 0.05, 0.95
"""The interval shown holds nine people in ten."""


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
    heard = [condition(group, seen) for _, group in groups.values()]
    weighted = weights(
        [share for share, _ in groups.values()], [one.log_likelihood for one in heard]
    )
    components = tuple(
        Component(name, weight, one.mean, one.covariance)
        for name, weight, one in zip(groups, weighted, heard, strict=True)
    )
    measured = {one.dimension for one in measures}
    origin = _origin(population, measured)
    dimensions = {
        name: _dimension(components, at, "measured" if name in measured else origin)
        for at, name in enumerate(population.order)
    }
    return Estimate(population.name, dimensions, components, tuple(measures))


def parts_at(components: Sequence[Component], at: int) -> list[Part]:
    """The distribution of one dimension, by its place in the population's order."""
    return [
        Part(one.weight, float(one.mean[at]), float(np.sqrt(one.covariance[at, at])))
        for one in components
    ]


def _dimension(components: Sequence[Component], at: int, origin: str) -> Dimension:
    parts = parts_at(components, at)
    mean = sum(part.weight * part.mean for part in parts)
    variance = sum(part.weight * (part.sd**2 + (part.mean - mean) ** 2) for part in parts)
    return Dimension(
        mean=mean,
        sd=float(np.sqrt(variance)),
        low=mixture_quantile(LOW, parts),
        high=mixture_quantile(HIGH, parts),
        origin=origin,
    )


def _origin(population: Population, measured: set[str]) -> str:
    labels = [population.label(name) for name in population.order if name in measured]
    if not labels:
        return "estimated from the population alone"
    together = " and ".join([", ".join(labels[:-1]), labels[-1]] if labels[1:] else labels)
    return f"estimated from {together}"
