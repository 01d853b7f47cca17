"""The measures of a call read as one body: doubted, set aside where absurd, then estimated."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from typing import TYPE_CHECKING

from consult.body.estimate import Estimate, estimate
from consult.body.measured import Measured, Sex
from consult.body.plausibility import Doubt, doubts, trusted

if TYPE_CHECKING:
    from consult.body.population import Population
    from consult.units import System


def read_body(
    population: Population,
    measures: Sequence[Measured],
    sex: Sex | None,
    system: System = "metric",
) -> tuple[Estimate, tuple[Doubt, ...]]:
    """The estimate from every trusted measure, and the doubts to put to the caller.

    ValueError in words for an unknown dimension.
    """
    return _read(population, tuple(measures), sex, system)


@lru_cache(maxsize=256)
def _read(
    population: Population, measures: tuple[Measured, ...], sex: Sex | None, system: System
) -> tuple[Estimate, tuple[Doubt, ...]]:
    """Remembered, because a call is walked through anew with every answer."""
    doubted = doubts(population, measures, sex, system)
    kept = trusted(measures, doubted)
    aside = tuple(one for one in measures if one not in kept)
    return replace(estimate(population, kept, sex), set_aside=aside), doubted
