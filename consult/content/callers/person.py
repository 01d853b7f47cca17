"""The person behind a simulated caller: a sex and a true body, drawn from the survey."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from consult.content.callers.chance import normal, one_of, uniform

if TYPE_CHECKING:
    from consult.body.measured import Sex
    from consult.body.population import Array, Group, Population
    from consult.tree.shares import Shares


@dataclass(frozen=True, slots=True)
class Person:
    """One simulated caller before anything is asked."""

    seed: int
    number: int
    sex: Sex
    body: Mapping[str, float]
    """True value of every dimension of the population, mm or kg."""
    remembers: bool
    """Says the stature from memory rather than measuring it."""


def person(population: Population, shares: Shares, seed: int, number: int) -> Person:
    """Caller ``number``: the same for the same seed, whatever tree is asked."""
    stated = {sex: share for sex, share in (shares.sex or {}).items() if sex in population.groups}
    weights = stated if any(stated.values()) else dict(population.share)
    # one_of gives back one of the names it was given.
    drawn = one_of({str(sex): share for sex, share in weights.items()}, seed, number, "sex drawn")
    sex = next(one for one in weights if one == drawn)
    group = population.groups[sex]
    normals = [normal(seed, number, "body", name) for name in population.order]
    body = group.mean + _root(group) @ np.array(normals)
    # Nobody is of no size at all, whatever spread a population file states.
    body = np.maximum(body, group.mean / 4)
    return Person(
        seed=seed,
        number=number,
        sex=sex,
        body={name: float(value) for name, value in zip(population.order, body, strict=True)},
        remembers=uniform(seed, number, "stature remembered") < shares.remembered / 100,
    )


@lru_cache(maxsize=8)
def _root(group: Group) -> Array:
    """What standard normals are turned into the covariance of a group with."""
    spread, axes = np.linalg.eigh(group.covariance)
    return np.asarray((axes * np.sqrt(np.maximum(spread, 0.0))) @ axes.T, np.float64)
