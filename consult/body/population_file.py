"""The population files that come with the program, each by its id: read and checked.

Nothing is computed from a file before. Says what is wrong to the person who wrote it. The numbers
are checked as plain Python, so that a file nobody can estimate from never reaches the estimate, and
naming the files loads no numpy: a list of choices costs little.
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, NoReturn, get_args

from consult.body.measured import Sex
from consult.problems import listed, nearest

if TYPE_CHECKING:
    from consult.body.population import Population

SEXES: tuple[str, ...] = get_args(Sex)
_UNITS = ("mm", "kg")
MARKS = ("looked up", "from memory", "computed")
"""How a number came into the file: seen in the source, recalled, or worked out from others."""
_ROUNDING = 1e-6
"""Correlations are printed with five or six decimals; a larger difference is a slip."""


class PopulationError(ValueError):
    """A population file that cannot be used: which file, and what is wrong with it."""

    def __init__(self, file: str, message: str) -> None:
        super().__init__(f"{file}: {message}")
        self.file = file


def read_population(text: str, file: str) -> dict[str, Any]:
    """The checked content of a population file; raises PopulationError."""
    try:
        data = json.loads(text)
    except ValueError as error:
        raise PopulationError(file, f"this is not valid JSON ({error}).") from error
    except RecursionError as error:
        raise PopulationError(file, "this is nested too deeply to be a population.") from error
    check = _Check(file)
    whole = check.mapping(data, "the file")
    for key in ("id", "name", "version", "caution"):
        check.text(whole.get(key), f"'{key}'")
    check.cited(whole.get("source"), "'source'")
    order = check.names(whole.get("order"))
    check.units(whole.get("units"), order)
    check.dimensions(whole.get("dimensions"), order)
    for name, key in (("remembered_stature", "bias"), ("told_weight", "more")):
        if whole.get(name) is not None:
            spread = check.mapping(whole[name], f"'{name}'")
            check.number(spread.get(key), f"'{key}' of '{name}'")
            check.positive(spread.get("sd"), f"'sd' of '{name}'")
    if whole.get("spread") is not None:
        check.spread(check.mapping(whole["spread"], "'spread'"), order)
    groups = check.mapping(whole.get("groups"), "'groups'")
    if not groups or not set(groups) <= set(SEXES):
        check.fail(f"'groups' must hold {listed(SEXES)} and nothing else.")
    for name, group in groups.items():
        check.group(check.mapping(group, f"group '{name}'"), name, len(order))
    check.shares(whole.get("group_share"), groups)
    if whole.get("sources") is not None:
        check.sources(whole["sources"], order, groups)
    return whole


class _Check:
    """The checks of one file; each raises at the first thing wrong."""

    def __init__(self, file: str) -> None:
        self.file = file

    def fail(self, message: str) -> NoReturn:
        raise PopulationError(self.file, message)

    def mapping(self, value: Any, what: str) -> dict[str, Any]:
        if not isinstance(value, dict):
            self.fail(f"{what} must be a list of names with values.")
        return value

    def text(self, value: Any, what: str) -> None:
        if not isinstance(value, str) or not value.strip():
            self.fail(f"{what} must be a text.")

    def cited(self, value: Any, what: str) -> None:
        """Where numbers come from: a name of ``sources.yaml``, several, or a text."""
        for source in value if isinstance(value, list) and value else [value]:
            self.text(source, what)

    def number(self, value: Any, what: str) -> float:
        # A whole number may be too long for a float, and JSON as Python reads it allows NaN.
        good = isinstance(value, int | float) and not isinstance(value, bool)
        if not good or not abs(value) < 1e6 or not math.isfinite(value):
            self.fail(f"{what} must be a number.")
        return float(value)

    def positive(self, value: Any, what: str) -> None:
        if self.number(value, what) <= 0:
            self.fail(f"{what} must be more than zero.")

    def names(self, value: Any) -> list[str]:
        good = isinstance(value, list) and value and all(isinstance(name, str) for name in value)
        if not good or len(set(value)) != len(value):
            self.fail("'order' must list the dimension names, each once.")
        return list(value)

    def units(self, value: Any, order: list[str]) -> None:
        units = self.mapping(value, "'units'")
        for name in order:
            if units.get(name) not in _UNITS:
                self.fail(f"the unit of '{name}' must be {listed(_UNITS)}.")

    def dimensions(self, value: Any, order: list[str]) -> None:
        dimensions = self.mapping(value, "'dimensions'")
        for name in order:
            entry = self.mapping(dimensions.get(name), f"dimension '{name}'")
            for key in ("label", "more", "less", "someone"):
                self.text(entry.get(key), f"'{key}' of '{name}'")
            self.cited(entry.get("measurement_sd_source"), f"'measurement_sd_source' of '{name}'")
            self.positive(entry.get("measurement_sd"), f"'measurement_sd' of '{name}'")
            if "<value>" not in entry["someone"]:
                self.fail(f"'someone' of '{name}' must say where the number goes: <value>.")
        unknown = [name for name in dimensions if name not in order]
        if unknown:
            self.fail(f"'dimensions' describes '{unknown[0]}', which 'order' does not list.")

    def shares(self, value: Any, groups: dict[str, Any]) -> None:
        shares = self.mapping(value, "'group_share'")
        if set(shares) != set(groups):
            self.fail("'group_share' must name the same groups as 'groups'.")
        for name in groups:
            self.positive(shares[name], f"the share of '{name}'")
        if abs(sum(shares.values()) - 1) > _ROUNDING:
            self.fail("the shares in 'group_share' must add up to 1.")

    def sources(self, value: Any, order: list[str], groups: dict[str, Any]) -> None:
        sources = self.mapping(value, "'sources'")
        if set(sources) != set(order):
            self.fail("'sources' must name the same dimensions as 'order'.")
        for name in order:
            source = self.mapping(sources[name], f"the source of '{name}'")
            self.cited(source.get("from"), f"'from' in the source of '{name}'")
            for group in groups:
                what = f"'{group}' in the source of '{name}'"
                marks = self.mapping(source.get(group), what)
                if any(marks.get(key) not in MARKS for key in ("mean", "sd")):
                    self.fail(f"{what} must say of 'mean' and of 'sd': {listed(MARKS)}.")

    def spread(self, spread: dict[str, Any], order: list[str]) -> None:
        for key in ("growth", "transfer"):
            figures = self.mapping(spread.get(key), f"'{key}' of 'spread'")
            for name, value in figures.items():
                if name not in order:
                    self.fail(f"'{key}' of 'spread' names '{name}', which 'order' does not list.")
                if self.number(value, f"'{name}' in '{key}' of 'spread'") < 0:
                    self.fail(f"'{name}' in '{key}' of 'spread' must not be below zero.")
            self.cited(spread.get(f"{key}_source"), f"'{key}_source' of 'spread'")

    def row(self, value: Any, what: str, length: int) -> list[float]:
        if not isinstance(value, list) or len(value) != length:
            self.fail(f"{what} must hold {length} numbers, one for each name in 'order'.")
        return [self.number(item, f"every number in {what}") for item in value]

    def group(self, group: dict[str, Any], name: str, size: int) -> None:
        people = group.get("n")
        if people is not None and (not isinstance(people, int) or people < 2):
            self.fail(f"'n' of group '{name}' must be the number of people, two or more.")
        for key in ("mean", "sd"):
            if min(self.row(group.get(key), f"'{key}' of group '{name}'", size)) <= 0:
                self.fail(f"every number in '{key}' of group '{name}' must be more than zero.")
        what = f"'correlation' of group '{name}'"
        table = group.get("correlation")
        if not isinstance(table, list) or len(table) != size:
            self.fail(f"{what} must have {size} rows.")
        rows = [self.row(row, f"row {at} of {what}", size) for at, row in enumerate(table, 1)]
        for i, row in enumerate(rows):
            if abs(row[i] - 1) > _ROUNDING:
                self.fail(f"{what} must have 1 along its diagonal; row {i + 1} has {row[i]}.")
            for j in range(i):
                if abs(row[j] - rows[j][i]) > _ROUNDING:
                    self.fail(f"{what} is not symmetric: rows {i + 1} and {j + 1} disagree.")
        if not _positive_definite(rows):
            self.fail(f"{what} is not possible for real bodies (it is not positive definite).")


def _positive_definite(rows: list[list[float]]) -> bool:
    """Cholesky by hand: fails where a dimension is a copy, or a contradiction, of the others."""
    lower: list[list[float]] = []
    for i, row in enumerate(rows):
        made: list[float] = []
        for j in range(i):
            rest = row[j] - sum(a * b for a, b in zip(made, lower[j], strict=False))
            made.append(rest / lower[j][j])
        left = row[i] - sum(a * a for a in made)
        if left < _ROUNDING:
            return False
        lower.append([*made, math.sqrt(left)])
    return True


# -- those that come with the program -------------------------------------------------------------
# The person who runs the program says which one a caller is estimated from; nothing here reads a
# setting.

DEFAULT_ID = "us_army_2012"
_SUFFIX = ".json"


@cache
def available() -> Mapping[str, str]:
    """Id and name of every population that comes with the program; the default first.

    The id is also the name of its file. Raises PopulationError for a file that cannot be used.
    """
    names = {
        file.name.removesuffix(_SUFFIX): str(
            read_population(file.read_text("utf-8"), file.name)["name"]
        )
        for file in (resources.files("consult.body") / "data").iterdir()
        if file.name.endswith(_SUFFIX)
    }
    ids = sorted(names, key=lambda name: (name != DEFAULT_ID, name))
    return MappingProxyType({name: names[name] for name in ids})


def load_named(population_id: str = DEFAULT_ID) -> Population:
    """The population of that id, read once; ValueError in words where there is none."""
    ids = available()
    if population_id not in ids:
        hint = nearest(population_id, ids) or f"Choose {listed(ids)}."
        raise ValueError(f"There is no population called '{population_id}'. {hint}")
    from consult.body.population import load_shipped

    return load_shipped(population_id + _SUFFIX)
