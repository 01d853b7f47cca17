"""Whom the chairs on sale can carry: the figures that a tree reads as ``range.<name>``."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import TYPE_CHECKING

from consult.fit.chairs import chairs_of
from consult.fit.request import RATED_FOR

if TYPE_CHECKING:
    from consult.body.population import Population
    from consult.fit.range_model import Range

_CLOSE = 0.001
"""kg; two weights nearer than this are one."""


def limits_of(range_: Range | None, population: Population) -> Mapping[str, float | bool]:
    """``range.<name>`` to its figure, kg, or yes or no; empty where there is no range."""
    if range_ is None:
        return {}
    chairs = chairs_of(range_)
    rated = chairs.ratings[~(chairs.ratings == math.inf)]
    found: dict[str, float | bool] = {
        "range.heavy_duty": bool(chairs.having("heavy_duty").any()),
    }
    if len(rated):
        highest = float(rated[-1])
        found["range.highest_rating"] = highest
        found["range.heaviest_caller"] = heaviest_caller(highest, population)
    return found


def heaviest_caller(rating: float, population: Population) -> float:
    """The highest weight, kg, that a caller may say and still be offered a chair of this rating.

    A chair is offered where its rating covers 95 in 100 of those who say such a weight
    (``FitRequest.told_mass``), which grows with the weight said.
    """
    low, high = 0.0, rating
    while high - low > _CLOSE:
        middle = (low + high) / 2
        told = population.weight_told(middle)
        if told.value + RATED_FOR * told.sd <= rating:
            low = middle
        else:
            high = middle
    return low
