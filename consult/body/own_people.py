"""A population corrected by the maker's own callers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from consult.body.population import Group, Population


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
    said = [f"{name} {amount:+g} mm" for name, amount in means]
    said += [f"{name} within {error:g} mm" for name, error in errors]
    return replace(
        base,
        version=f"{base.version} ({', '.join(said)})",
        groups={sex: _moved(group, by) for sex, group in base.groups.items()},
        traits=traits,
        base=base,
    )


def _moved(group: Group, by: np.ndarray) -> Group:
    mean = group.mean + by
    mean.setflags(write=False)
    return replace(group, mean=mean)
