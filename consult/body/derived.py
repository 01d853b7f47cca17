"""Body dimensions that the survey at hand lists no row of, made of those it has.

What each needs, and which rows of the survey would replace it, is in ``derived.json``.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import cache, lru_cache
from importlib import resources
from typing import TYPE_CHECKING, Any

import numpy as np

from consult.body.population import trait_of

if TYPE_CHECKING:
    from consult.body.population import Group, Population


@cache
def derivable() -> Mapping[str, Any]:
    """Dimension -> what it is made of, its own spread, and its words."""
    file = resources.files("consult.body") / "derived.json"
    derived: Mapping[str, Any] = json.loads(file.read_text(encoding="utf-8"))
    return derived


@lru_cache(maxsize=16)
def with_derived(population: Population, names: tuple[str, ...]) -> Population:
    """The population with dimensions added; itself where it has them, or cannot make them."""
    made = population
    for name in names:
        makings = derivable().get(name)
        if makings and name not in made.order and set(makings["from"]) <= set(made.order):
            made = _with(made, name, makings)
    return made


def derived_from(body: Mapping[str, float], noise: Callable[[str], float]) -> dict[str, float]:
    """The derived dimensions of a true body; ``noise`` gives a standard normal for each name."""
    return {
        name: sum(factor * body[part] for part, factor in makings["from"].items())
        + makings["sd"] * noise(name)
        for name, makings in derivable().items()
        if name not in body and set(makings["from"]) <= body.keys()
    }


def _with(population: Population, name: str, makings: Mapping[str, Any]) -> Population:
    factor = np.array([makings["from"].get(part, 0.0) for part in population.order])
    trait = trait_of(makings, "mm")
    sd, groups = float(makings["sd"]), population.groups.items()
    return replace(
        population,
        order=(*population.order, name),
        traits={**population.traits, name: trait},
        groups={sex: _grown(group, factor, sd) for sex, group in groups},
        cites=population.cites | set(makings["source"]),
        base=None,
    )


def _grown(group: Group, factor: np.ndarray, sd: float) -> Group:
    """One more dimension: a sum of the others, and what people differ from it by."""
    along, carried = group.covariance @ factor, factor * group.transfer
    variance = float(factor @ along) + sd**2
    arrays: dict[str, Any] = {
        "mean": np.append(group.mean, float(factor @ group.mean)),
        "covariance": np.block([[group.covariance, along[:, None]], [along[None, :], variance]]),
        "growth": np.append(group.growth, 0.0),
        "transfer": np.append(group.transfer, float(np.sqrt(carried @ carried))),
    }
    for array in arrays.values():
        array.setflags(write=False)
    return replace(group, **arrays)
