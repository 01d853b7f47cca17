"""How a doubted measure is said to the adviser: what is odd about it, beside what, what to do."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from consult.body.conditional import LIMIT
from consult.body.measured import Measured, Sex
from consult.problems import listed

if TYPE_CHECKING:
    from consult.body.population import Population
    from consult.units import System

_WHO: dict[Sex | None, str] = {None: "someone", "female": "a woman", "male": "a man"}
_ALONE: dict[Sex | None, str] = {None: "an adult", "female": "a woman", "male": "a man"}
_STEP = {"mm": 5.0, "kg": 1.0}
"""A usual range said more finely than this would sound surer than it is."""


def one_measure(
    population: Population,
    measured: Measured,
    beside: Sequence[Measured],
    *,
    sex: Sex | None,
    system: System,
    usual: tuple[float, float],
    high: bool,
    far: bool,
) -> str:
    """Why one measure is doubted and what to ask for.

    ``beside`` are the measures it sits badly with, ``usual`` the readings expected (mm or kg),
    ``high`` says on which side it lies, ``far`` that it is not used as it stands.
    """
    trait = population.trait(measured.dimension)
    said = _said(population, measured, system)
    if measured.dimension == "weight":
        return _weight(said, measured.confirmed)
    degree = f"{'extremely' if far else 'very'} {trait.more if high else trait.less}"
    step = _STEP[trait.unit]
    ends = [population.words(measured.dimension, round(end / step) * step, system) for end in usual]
    odd = f"{trait.label} {said} is {degree} for {_person(population, beside, sex, system)}."
    about = f"about {ends[0]} to {ends[1]} would be usual"
    if measured.confirmed:
        return f"{odd} It was confirmed, so it is used; {about}."
    ask = f"{odd} Please have it measured again: {about}."
    return f"{ask} It is not used until confirmed." if far else ask


def _weight(said: str, confirmed: bool) -> str:
    """Nobody is told that they are heavy: a slip of the unit is looked for, and why it matters."""
    if confirmed:
        return f"Weight {said}. It was confirmed, so it is used."
    ask = "Please ask, kindly, whether I have that right, and in which unit"
    return f"Weight {said}. {ask}: the chair must be rated for it."


def all_together(population: Population, measures: Sequence[Measured], confirmed: bool) -> str:
    """Why measures that are each possible are doubted as a whole."""
    named = {one.dimension for one in measures}
    labels = [population.label(name) for name in population.order if name in named]
    odd = "Each measure alone is possible, but together they are unusual for one body:"
    odd = f"{odd} {listed(labels, 'and')}."
    if confirmed:
        return f"{odd} They were confirmed, so they are used."
    return f"{odd} Please have the one that was hardest to take measured again."


def _person(
    population: Population, beside: Sequence[Measured], sex: Sex | None, system: System
) -> str:
    if not beside:
        return _ALONE[sex]
    traits = [
        population.trait(one.dimension).someone.replace("<value>", _said(population, one, system))
        for one in beside
    ]
    return f"{_WHO[sex]} {' and '.join(traits)}"


def _said(population: Population, measured: Measured, system: System) -> str:
    # As the estimate reads it: nobody wants three hundred digits read out.
    value = min(max(measured.heard, -LIMIT), LIMIT)
    return population.words(measured.dimension, value, system)
