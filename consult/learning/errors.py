"""How well a maker's own callers measure: what they told beside what was measured later."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from consult.learning.intervals import chi_square_beyond
from consult.learning.proposals import Comparison, shrunk

if TYPE_CHECKING:
    from consult.body.population import Population
    from consult.call.chair_outcome import PastCall

LEAST_MEASURED = 20
"""Measures taken twice, below which a dimension is not looked at."""
MATTERS = 0.2
"""Part of the error in use that a difference must be."""


def compare_errors(
    population: Population, shipped: Population, past: Iterable[PastCall]
) -> Iterator[Comparison]:
    """The error of every dimension that callers told, and that was measured again later.

    Both were measured in the same way, so their difference has twice the variance of either. What
    is measured again is often what did not fit; so the error may come out a little too large.
    """
    found: dict[str, list[float]] = {}
    for one in past:
        for name, again in one.outcome.again.items() if one.outcome else ():
            if again.origin == "told" and name in population.traits:
                found.setdefault(name, []).append(again.later - again.first)
    for name, off in sorted(found.items()):
        count = len(off)
        if count < LEAST_MEASURED:
            continue
        now, was = population.measurement_sd(name), shipped.measurement_sd(name)
        squares = sum(one * one for one in off) / 2
        chance = chi_square_beyond(squares / now**2, count)
        value = round(math.sqrt(shrunk(was**2, squares / count, count)), 1)
        matters = abs(value - now) >= MATTERS * now
        yield Comparison(f"error.{name}", chance, was, now, value, count, matters)
