"""What hearing an answer adds to the choice of a product that a file declares."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np

from consult.fit.declared import (
    TIED,
    AnswerLookup,
    Figures,
    Products,
    figures_of,
    heard,
    products_of,
)
from consult.fit.replies import sex_said, told_as
from consult.fit.request import BODIES, Bodies, draw

if TYPE_CHECKING:
    from consult.body.population import Array, Population
    from consult.fit.replies import DrawShares
    from consult.fit.request import FitRequest, NeedLine
    from consult.fit.workplace import Workplace

_READINGS = 20
"""Of a measure: the finer, the nearer a product is set."""
PREFERRED = 0.05
"""What a preferred feature counts for, as a share of bodies: a wish, not a fault."""


@dataclass(slots=True, eq=False)
class DeclaredWorth:
    """The product chosen now, held against what would be chosen if more were known.

    A product counts by how likely it suits with each figure set as well as it is known. Shares of
    bodies, 0 to 1.
    """

    request: FitRequest
    """With the needs known now."""
    answers: AnswerLookup
    _products: Products = field(init=False)
    _bodies: Bodies = field(init=False)
    _known: Figures = field(init=False)
    _targets: dict[str, float] = field(init=False)
    """What each figure would be set to now."""
    _odds: Array = field(init=False)
    """How likely each product suits by what is known now."""
    _chosen: int = field(init=False)

    def __post_init__(self) -> None:
        estimate = self.request.estimate
        self._products = products_of(self.request.range)
        self._bodies = draw(estimate, tuple(estimate.dimensions))
        self._known = self._heard(self.request.workplace, self.answers)
        self._targets = _targets(self._known)
        self._odds = self._suiting(self._known, self._targets)
        # Chosen is what can be set to suit; of those that are alike the cheapest.
        value = self._valued(self._suiting(self._known, None), self.request.needs)
        prices = np.where(value > value.max(initial=0.0) - TIED, self._products.prices, np.inf)
        self._chosen = int(np.argmin(prices)) if len(prices) else -1

    @property
    def best(self) -> float:
        """How likely the best product suits by what is known."""
        return self._most(self._odds)

    def of_measure(self, dimension: str, population: Population) -> float:
        """What a body dimension adds, measured as callers do; the sex where it is ''."""
        if dimension:
            true = self._bodies.values[:, self._bodies.order.index(dimension)]
            odds = told_as(true[None], [population.measurement_sd(dimension)], _READINGS)[0][0]
        else:
            odds = sex_said(self.request.estimate, BODIES)
        return self._gain((float(row.mean()), self._known, row) for row in odds if row.any())

    def of_answer(self, ways: Iterable[tuple[float, Workplace, AnswerLookup]]) -> float:
        """What an answer adds: each with its share, the workplace and the answers after it."""
        return self._gain(
            (share, self._heard(workplace, answers), None) for share, workplace, answers in ways
        )

    def rise(self, needs: Sequence[NeedLine]) -> float:
        """How much better the best product for these needs is than the one chosen now, 0 to 1."""
        if self._chosen < 0:
            return 0.0
        then = self._valued(self._odds, needs)
        return max(0.0, float(then.max() - then[self._chosen]) - self._slack)

    def _gain(self, ways: Iterable[tuple[float, Figures, DrawShares | None]]) -> float:
        """What the product chosen now, set as now, lacks of the best of each way.

        A way has a share, what is known then, and how likely each body is then; None: alike.
        """
        lost = total = 0.0
        for share, known, odds in ways:
            after = self._most(self._suiting(known, _targets(known, odds), odds))
            lost += share * (after - float(self._suiting(known, self._targets, odds)[self._chosen]))
            total += share
        return max(0.0, lost / max(total, 1.0) - self._slack) if self._chosen >= 0 else 0.0

    @property
    def _slack(self) -> float:
        """What the one chosen lacks of the best already, being cheaper."""
        return self._most(self._odds) - float(self._odds[self._chosen])

    def _valued(self, odds: Array, needs: Sequence[NeedLine]) -> Array:
        needed = replace(self.request, needs=needs)
        value = odds * self._products.having(needed.musts)
        for feature in needed.preferred:
            value = value - PREFERRED * ~self._products.having([feature])
        return np.asarray(np.maximum(value, 0.0), np.float64)

    def _most(self, odds: Array) -> float:
        return float((odds * self._products.having(self.request.musts)).max(initial=0.0))

    def _heard(self, workplace: Workplace, answers: AnswerLookup) -> Figures:
        return figures_of(heard(self._products.fitting, answers, workplace)[0], self._bodies)

    def _suiting(
        self, known: Figures, targets: Mapping[str, float] | None, odds: DrawShares | None = None
    ) -> Array:
        suits = self._products.suit(known, targets)
        return np.asarray(np.average(suits, axis=1, weights=odds if known else None), np.float64)


def _targets(known: Figures, odds: DrawShares | None = None) -> dict[str, float]:
    return {quantity.name: float(np.average(figure, weights=odds)) for quantity, figure in known}
