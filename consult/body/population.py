"""The people a body is estimated from: survey statistics, and how well each measure can be taken.

The survey is data, replaceable by another file of the same form; nothing here knows its numbers. It
may be corrected by the maker's own callers.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from importlib import resources
from typing import Any, Literal, cast

import numpy as np
from numpy.typing import NDArray

from consult.body.measured import Measured, Sex
from consult.body.population_file import read_population
from consult.problems import nearest
from consult.units import System, format_length, format_mass, format_stature

Array = NDArray[np.float64]
Unit = Literal["mm", "kg"]
_Cited = tuple[str, ...]

STATURE = "stature"
"""The dimension that people know in feet and inches."""
HEAVIEST = 3.0
"""Standard deviations above the mean weight; 5 of 6068 in the survey stand higher."""
LIGHTEST = 0.5
"""Of the mean weight; below it no spread shrinks further."""
DEFAULT_FILE = "us_army_2012.json"


@dataclass(frozen=True, slots=True, eq=False)
class Group:
    """One sex of the survey; dimensions in the population's order, mm and kg."""

    mean: Array
    covariance: Array
    n: int | None
    """People measured; None where the file does not say."""
    growth: Array
    """Power of weight that the spread of each dimension, given stature and weight, grows with."""
    transfer: Array
    """Standard deviation between the means of populations, mm; see the file."""
    frame: tuple[int, int] | None
    """Places of stature and weight; None where the population lacks one."""

    @property
    def heaviest(self) -> float:
        """kg; beyond it hardly anybody was measured."""
        at = self.frame[1] if self.frame else 0
        return float(self.mean[at] + HEAVIEST * math.sqrt(self.covariance[at, at]))

    def spread_at(self, weight: float | None) -> Array:
        """The covariance among people of about this weight (kg), other populations included.

        Not to be written to: it is given again to whoever asks for the same.
        """
        return _spread_at(self, weight)


@lru_cache(maxsize=16)
def _spread_at(group: Group, weight: float | None) -> Array:
    """Worked out once a person: every measure is judged with the same weight."""
    transfer = np.diag(group.transfer**2)
    if weight is None or group.frame is None:
        return np.asarray(group.covariance + transfer)
    explained, left = _explained(group)
    times = max(weight / float(group.mean[group.frame[1]]), LIGHTEST) ** group.growth
    return np.asarray(explained + np.outer(times, times) * left + transfer)


@lru_cache(maxsize=16)
def _explained(group: Group) -> tuple[Array, Array]:
    """Of the covariance, what stature and weight explain, and what is left; once a group."""
    at = list(group.frame or ())
    cross = group.covariance[:, at]
    explained = cross @ np.linalg.solve(group.covariance[np.ix_(at, at)], cross.T)
    return explained, group.covariance - explained


@dataclass(frozen=True, slots=True)
class Trait:
    """What the program says about one dimension, and how well callers measure it."""

    label: str
    """Plain words for a caller: 'lower leg'."""
    unit: Unit
    measurement_sd: float
    more: str
    """The word for a great deal of it: 'long', 'wide', 'high'."""
    less: str
    someone: str
    """How a person is described by it, after 'someone': '<value> tall'."""


@dataclass(frozen=True, slots=True, eq=False)
class Population:
    """Survey statistics of a body, by sex, with the words and errors of each dimension."""

    id: str
    name: str
    version: str
    source: _Cited
    """What the numbers of bodies come from: names of ``sources.yaml``."""
    compiled: str
    """How they were put together; '' where the file does not say."""
    caution: str
    """Whom the survey does not speak for."""
    order: tuple[str, ...]
    """Dimension names, in the order of every mean and covariance."""
    traits: Mapping[str, Trait]
    groups: Mapping[Sex, Group]
    share: Mapping[Sex, float]
    """How likely each sex is before anything is measured."""
    remembered_bias: float | None
    """mm that people overstate a stature they remember; None where the file does not say."""
    remembered_sd: float | None
    understated: float
    """Share by which people weigh more than they say."""
    weight_sd: float
    """Standard deviation of that share."""
    cites: frozenset[str]
    """Every name of ``sources.yaml`` in the file."""
    base: Population | None = None
    """As it is in its file, where this one is corrected."""

    def index(self, dimension: str) -> int:
        """Place of a dimension in ``order``; ValueError in words where there is none."""
        self.trait(dimension)
        return self.order.index(dimension)

    def trait(self, dimension: str) -> Trait:
        """Words and error of a dimension; ValueError in words where there is none."""
        if dimension not in self.traits:
            hint = nearest(dimension, self.order) or f"It knows {', '.join(self.order)}."
            raise ValueError(
                f"The population '{self.name}' has no body dimension called '{dimension}'. {hint}"
            )
        return self.traits[dimension]

    def label(self, dimension: str) -> str:
        return self.trait(dimension).label

    def unit(self, dimension: str) -> Unit:
        """'mm' or 'kg'."""
        return self.trait(dimension).unit

    def words(self, dimension: str, value: float, system: System) -> str:
        """A value of the dimension as people read it: stature in feet, the rest in inches."""
        if self.unit(dimension) == "kg":
            return format_mass(value, system)
        write = format_stature if dimension == STATURE else format_length
        return write(value, system)

    def measurement_sd(self, dimension: str) -> float:
        """Standard deviation of a caller's own measurement, mm or kg."""
        return self.trait(dimension).measurement_sd

    def measure(
        self, dimension: str, value: float, spread: float = 0.0, confirmed: bool = False
    ) -> Measured:
        """A measure as the caller took it, mm or kg.

        ``spread`` is the caller's own doubt ("about 40 cm"), as a standard deviation; it adds to
        the error that every such measurement has.
        """
        sd = math.hypot(self.measurement_sd(dimension), spread)
        return Measured(dimension, value, sd, confirmed)

    def stature_remembered(
        self, value: float, spread: float = 0.0, confirmed: bool = False
    ) -> Measured:
        """A stature the caller remembers rather than measured, mm: what people overstate is off."""
        if self.remembered_bias is None or self.remembered_sd is None:
            raise ValueError(f"The population '{self.name}' says nothing of remembered statures.")
        self.trait("stature")
        sd = math.hypot(self.remembered_sd, spread)
        return Measured("stature", value - self.remembered_bias, sd, confirmed, value)

    def weight_told(self, value: float, spread: float = 0.0, confirmed: bool = False) -> Measured:
        """A weight as the caller said it, kg: people weigh a little more than they say, and how
        much more differs from one to the next."""
        sd = math.hypot(self.told_sd("weight", value), spread)
        return Measured("weight", value * (1 + self.understated), sd, confirmed, value)

    def told_sd(self, dimension: str, value: float) -> float:
        """Standard deviation of a dimension as callers tell it, about this value."""
        sd = self.measurement_sd(dimension)
        return math.hypot(sd, self.weight_sd * value) if dimension == "weight" else sd

    def groups_of(self, sex: Sex | None) -> dict[Sex, tuple[float, Group]]:
        """Share and statistics of the groups a caller may belong to; both where sex is None."""
        if sex is None:
            return {name: (self.share[name], group) for name, group in self.groups.items()}
        if sex not in self.groups:
            raise ValueError(f"The population '{self.name}' has no group called '{sex}'.")
        return {sex: (1.0, self.groups[sex])}


def load_population() -> Population:
    """The population that callers are estimated from where nobody says which."""
    return load_shipped(DEFAULT_FILE)


@cache
def load_shipped(file_name: str) -> Population:
    """A population that comes with the program, by the name of its file; read once."""
    file = resources.files("consult.body") / "data" / file_name
    return population_of(file.read_text(encoding="utf-8"), file_name)


def population_of(text: str, file: str) -> Population:
    """The population that a file holds; PopulationError names the file and what is wrong."""
    data = read_population(text, file)
    remembered = data.get("remembered_stature") or {}
    weight = data.get("told_weight") or {}
    order = tuple(data["order"])
    return Population(
        id=data["id"],
        name=data["name"],
        version=data["version"],
        source=_cited(data["source"]),
        compiled=data.get("compiled", ""),
        caution=data["caution"],
        order=order,
        traits={name: trait_of(data["dimensions"][name], data["units"][name]) for name in order},
        groups={
            cast("Sex", name): _group(group, order, data.get("spread") or {})
            for name, group in data["groups"].items()
        },
        share={cast("Sex", name): float(share) for name, share in data["group_share"].items()},
        remembered_bias=remembered.get("bias"),
        remembered_sd=remembered.get("sd"),
        understated=float(weight.get("more", 0.0)),
        weight_sd=float(weight.get("sd", 0.0)),
        cites=frozenset(_all_cited(data)),
    )


def _cited(value: str | list[str]) -> _Cited:
    return (value,) if isinstance(value, str) else tuple(value)


def _all_cited(data: Mapping[str, Any]) -> Iterator[str]:
    """Everything that a checked file cites, wherever in it."""
    for name, value in data.items():
        if name in ("source", "from") or name.endswith("_source"):
            yield from _cited(value)
        elif isinstance(value, dict):
            yield from _all_cited(value)


def trait_of(data: Mapping[str, Any], unit: Unit) -> Trait:
    """A dimension as a file describes it, checked."""
    return Trait(
        label=data["label"],
        unit=unit,
        measurement_sd=float(data["measurement_sd"]),
        more=data["more"],
        less=data["less"],
        someone=data["someone"],
    )


def _group(
    data: dict[str, Any], order: tuple[str, ...], spread: Mapping[str, Mapping[str, float]]
) -> Group:
    mean, sd = np.array(data["mean"], float), np.array(data["sd"], float)
    correlation = np.array(data["correlation"], float)
    # The file is symmetric to rounding only; the mean of both halves is exactly so.
    covariance = np.outer(sd, sd) * (correlation + correlation.T) / 2
    growth, transfer = (
        np.array([(spread.get(key) or {}).get(name, 0.0) for name in order], float)
        for key in ("growth", "transfer")
    )
    for array in (mean, covariance, growth, transfer):
        array.setflags(write=False)
    frame = None
    if "stature" in order and "weight" in order:
        frame = (order.index("stature"), order.index("weight"))
    return Group(mean, covariance, data.get("n"), growth, transfer, frame)


def corrected(
    population: Population, means: Mapping[str, float], errors: Mapping[str, float]
) -> Population:
    """The population with other means and other errors of callers' measurements.

    ``means`` are mm to add to the mean of a dimension in every group, ``errors`` standard
    deviations in mm in place of those of the file. Dimensions that it does not have are left out.
    A population that was corrected before is corrected anew from its file.
    """
    base = population.base or population
    known = [
        tuple(sorted((name, by) for name, by in values.items() if name in base.traits))
        for values in (means, errors)
    ]
    return _corrected(base, *known) if any(known) else base


@lru_cache(maxsize=8)
def _corrected(
    base: Population, means: tuple[tuple[str, float], ...], errors: tuple[tuple[str, float], ...]
) -> Population:
    by = np.zeros(len(base.order))
    for name, amount in means:
        by[base.order.index(name)] = amount
    traits = dict(base.traits)
    for name, error in errors:
        traits[name] = replace(traits[name], measurement_sd=error)
    changes = [f"{name} {amount:+g} mm" for name, amount in means]
    changes += [f"{name} within {error:g} mm" for name, error in errors]
    return replace(
        base,
        version=f"{base.version} ({', '.join(changes)})",
        groups={sex: _moved(group, by) for sex, group in base.groups.items()},
        traits=traits,
        base=base,
    )


def _moved(group: Group, by: np.ndarray) -> Group:
    mean = group.mean + by
    mean.setflags(write=False)
    return replace(group, mean=mean)
