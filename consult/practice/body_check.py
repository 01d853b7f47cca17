"""The bands of a caller's body held against what bodies of the population there are."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from consult.practice import caller_file
from consult.practice.bodies import REACH, usual
from consult.problems import Problem, listed, nearest

if TYPE_CHECKING:
    from consult.body.measured import Sex
    from consult.body.population import Population
    from consult.marked.marks import Marked


def body_problems(marked: Marked, population: Population) -> Iterator[Problem]:
    """Dimensions nobody knows, wrong units, and bodies nobody in the survey has.

    Each band is judged by those before it: of short people, long legs are out of reach.
    """
    said_sex = marked.data["sex"]
    if said_sex == "either":
        for each in population.groups:
            yield from _of_sex(marked, population, each)
    elif said_sex in population.groups:
        yield from _of_sex(marked, population, said_sex)
    else:
        said = f"The population '{population.name}' has no group called '{said_sex}'."
        yield Problem(marked.value("sex"), said, f"It has {listed(population.groups)}.", "no-sex")


def _of_sex(marked: Marked, population: Population, sex: Sex) -> Iterator[Problem]:
    """The same for the bodies of one sex."""
    middle: dict[str, float] = {}
    bands = caller_file.bands(marked)
    for name, band in bands.items():
        if name not in population.traits:
            said = f"The population has no body dimension called '{name}'."
            fix = nearest(name, population.order) or f"It knows {listed(population.order)}."
            yield Problem(marked.key("body", name), said, fix, "unknown-dimension")
            continue
        where, trait = marked.value("body", name), population.trait(name)
        if (trait.unit == "kg") != _is_mass(marked.raw("body", name) or ""):
            said = (
                f"'{name}' is measured in {'kilograms' if trait.unit == 'kg' else 'millimetres'}."
            )
            fix = (
                "Write it with such a unit, as in 75 kg." if trait.unit == "kg" else "Write 41 cm."
            )
            yield Problem(where, said, fix, "wrong-unit")
            continue
        if band.low > band.high:
            yield Problem(
                where,
                "The numbers are the wrong way round.",
                "Put the smaller figure first.",
                "backwards",
            )
            continue
        now = usual(population, sex, name, middle)
        if not now.reached(band):
            low, high = now.mean - REACH * now.sd, now.mean + REACH * now.sd
            beside = (
                f" with the {listed(population.label(n) for n in middle)} above" if middle else ""
            )
            said = f"Nobody in the survey has such a {trait.label}{beside}."
            ends = [population.words(name, end, "metric") for end in (low, high)]
            fix = f"Write something from {ends[0]} to {ends[1]}."
            yield Problem(where, said, fix, "out-of-reach")
            continue
        middle[name] = min(max(now.mean, band.low), band.high)


def _is_mass(raw: str) -> bool:
    return raw.rpartition(" ")[2] in ("kg", "st", "lb")
