"""The populations that come with the program, each by its id.

The person who runs the program says which one a caller is estimated from; nothing here reads a
setting. Naming them loads no numpy, so a list of choices costs little.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import TYPE_CHECKING

from consult.body.population_file import read_population
from consult.problems import listed, nearest

if TYPE_CHECKING:
    from consult.body.population import Population

DEFAULT_ID = "us_army_2012"
_SUFFIX = ".json"


@cache
def available() -> Mapping[str, str]:
    """Id and name of every population that comes with the program; the default first.

    The id is also the name of its file. Raises PopulationError for a file that cannot be used.
    """
    files = (
        file
        for file in (resources.files("consult.body") / "data").iterdir()
        if file.name.endswith(_SUFFIX)
    )
    names = {
        file.name.removesuffix(_SUFFIX): str(
            read_population(file.read_text(encoding="utf-8"), file.name)["name"]
        )
        for file in files
    }
    ids = sorted(names, key=lambda population_id: (population_id != DEFAULT_ID, population_id))
    return MappingProxyType({population_id: names[population_id] for population_id in ids})


def load_named(population_id: str = DEFAULT_ID) -> Population:
    """The population of that id, read once; ValueError in words where there is none."""
    ids = available()
    if population_id not in ids:
        hint = nearest(population_id, ids) or f"Choose {listed(ids)}."
        raise ValueError(f"There is no population called '{population_id}'. {hint}")
    from consult.body.population import load_shipped

    return load_shipped(population_id + _SUFFIX)
