"""What hearing an answer adds to the chance that a declared product suits, and what truly suits.

A product suits a body where the parts meet every quantity, each figure set as well as it is known.
An answer counts with what the best product then is better than the best one chosen without it.
Shares of bodies, 0 to 1.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from consult.fit.declared import TIED, figures_of, heard, product_of
from consult.fit.request import BODIES, SEED, Bodies, components_of, draw, normals
from consult.range.parts import chair_has

if TYPE_CHECKING:
    from consult.body.population import Array, Population
    from consult.fit.declared import Answers, DeclaredFigure
    from consult.fit.request import FitRequest, NeedLine
    from consult.fit.workplace import Workplace
    from consult.range.fitting import Fitting
    from consult.range.model import Range
    from consult.range.parts import Kind, Part

Known = Sequence["tuple[DeclaredFigure, Array]"]
"""The figures that can be worked out, each for every body."""
GROUPS = 20
"""Into how many equally likely groups a measure sorts the bodies."""
PREFERRED = 0.05
"""What a preferred feature counts for, as a share of bodies: a wish, not a fault."""


@dataclass(slots=True, eq=False)
class DeclaredWorth:
    """The product chosen now, held against what would be chosen if more were known."""

    request: FitRequest
    """With the needs known now."""
    answers: Answers
    _parts: list[dict[Kind, Part]] = field(init=False)
    """Everything that can be built, the cheapest first."""
    _bodies: Bodies = field(init=False)
    _known: Known = field(init=False)
    _targets: dict[str, float] = field(init=False)
    """What each figure would be set to now."""
    _odds: Array = field(init=False)
    """How likely each product suits by what is known now."""
    _chosen: int = field(init=False)

    def __post_init__(self) -> None:
        range_, estimate = self.request.range, self.request.estimate
        built = range_.products()
        self._parts = sorted(built, key=lambda parts: range_.price_of(parts))
        self._bodies = draw(estimate, tuple(estimate.dimensions), BODIES, SEED)
        self._known = self._heard(self.request.workplace, self.answers)
        self._targets = _targets(self._known)
        self._odds = self._suiting(self._known, self._targets)
        # Chosen is what can be set to suit; of those that are alike the cheapest.
        value = self._valued(self._suiting(self._known, None), self.request.needs)
        self._chosen = int(np.argmax(value > value.max(initial=0.0) - TIED)) if self._parts else -1

    @property
    def _fitting(self) -> Fitting:
        assert self.request.range.fitting is not None, "asked of what declares what it is"
        return self.request.range.fitting

    @property
    def best(self) -> float:
        """How likely the best product suits by what is known."""
        return self._most(self._odds)

    def of_measure(self, dimension: str, population: Population) -> float:
        """What a body dimension adds, measured as callers do; the sex where it is ''."""
        if dimension:
            true = self._bodies.values[:, self._bodies.order.index(dimension)]
            error = normals(BODIES, 1, SEED + 1)[:, 0]
            told = true + population.measurement_sd(dimension) * error
            group = np.argsort(np.argsort(told)) * GROUPS // BODIES
        else:
            group = components_of(self.request.estimate, BODIES)
        rows = [group == each for each in np.unique(group)]
        return self._gain(
            (float(those.mean()), [(one, figure[those]) for one, figure in self._known])
            for those in rows
        )

    def of_answer(self, ways: Iterable[tuple[float, Workplace, Answers]]) -> float:
        """What an answer adds: each with its share, the workplace and the answers after it."""
        return self._gain(
            (share, self._heard(workplace, answers)) for share, workplace, answers in ways
        )

    def rise(self, needs: Sequence[NeedLine]) -> float:
        """How much better the best product for these needs is than the one chosen now, 0 to 1."""
        if self._chosen < 0:
            return 0.0
        then = self._valued(self._odds, needs)
        return max(0.0, float(then.max() - then[self._chosen]) - self._slack)

    def _gain(self, ways: Iterable[tuple[float, Known]]) -> float:
        """What the product chosen now, set as now, lacks of the best of each way."""
        lost = total = 0.0
        for share, known in ways:
            after = self._most(self._suiting(known, _targets(known)))
            lost += share * (after - float(self._suiting(known, self._targets)[self._chosen]))
            total += share
        return max(0.0, lost / max(total, 1.0) - self._slack) if self._parts else 0.0

    @property
    def _slack(self) -> float:
        """What the one chosen lacks of the best already, being cheaper."""
        return self._most(self._odds) - float(self._odds[self._chosen])

    def _valued(self, odds: Array, needs: Sequence[NeedLine]) -> Array:
        musts = [name for name, strength, _ in needs if strength == "must"]
        value = odds * self._having(musts)
        for feature in dict.fromkeys(name for name, *_ in needs if name not in musts):
            value = value - PREFERRED * (1 - self._having([feature]))
        return np.asarray(np.maximum(value, 0.0), np.float64)

    def _having(self, features: Sequence[str]) -> Array:
        has = [all(chair_has(each.values(), one) for one in features) for each in self._parts]
        return np.array(has, np.float64)

    def _most(self, odds: Array) -> float:
        return float((odds * self._having(self.request.musts)).max(initial=0.0))

    def _heard(self, workplace: Workplace, answers: Answers) -> Known:
        known, _ = heard(self._fitting, answers, workplace)
        figures = figures_of(known, self._bodies)
        return [(one, figures[one.quantity.name]) for one in known]

    def _suiting(self, known: Known, targets: Mapping[str, float] | None) -> Array:
        """How likely each product suits, set to the targets; a figure without one is not set.

        None: set as may be.
        """
        found = np.ones((len(self._parts), 1), np.bool_)
        for one, figure in known:
            quantity = one.quantity
            ends = [self._fitting.reach(quantity.parts, each) for each in self._parts]
            low, high = np.hsplit(np.reshape(np.array(ends, np.float64), (-1, 2)), 2)
            if quantity.test == "at_most":
                met = figure <= high
            elif quantity.test == "at_least":
                met = figure >= low
            elif targets is None:
                met = (figure - quantity.below <= high) & (figure + quantity.above >= low)
            elif quantity.name in targets:
                set_to = np.clip(targets[quantity.name], low, high)
                met = (set_to >= figure - quantity.below) & (set_to <= figure + quantity.above)
            else:
                met = np.zeros((1, 1), np.bool_)
            found = found & met
        return np.asarray(found.mean(axis=1), np.float64)


def _targets(known: Known) -> dict[str, float]:
    return {one.quantity.name: float(figure.mean()) for one, figure in known}


# -- a body whose every dimension is known, as practice and trials have it


@dataclass(frozen=True, slots=True, eq=False)
class ProductTruth:
    """Every product of a range held against a true body and its answers."""

    suited: frozenset[frozenset[str]]
    """The codes of each that suits."""

    @property
    def best(self) -> float:
        """1 where something suits, else 0."""
        return 1.0 if self.suited else 0.0

    def fits(self, codes: Sequence[str]) -> bool:
        """Whether the product of these parts suits."""
        return frozenset(codes) in self.suited

    def p_fits(self, codes: Sequence[str]) -> float:
        """1 where it does, else 0: the body is known."""
        return 1.0 if self.fits(codes) else 0.0


def product_truth(
    range_: Range,
    body: Mapping[str, float],
    workplace: Workplace,
    answers: Answers,
    needs: Sequence[NeedLine] = (),
) -> ProductTruth:
    """What suits a body whose every dimension is known, with the features that are a must."""
    fitting = range_.fitting
    assert fitting is not None, "asked of a range that declares what it is"
    known, _ = heard(fitting, answers, workplace)
    figures = {
        one.quantity.name: np.array(
            [one.answered + sum(f * body[name] for name, f in one.quantity.dimensions.items())]
        )
        for one in known
    }
    musts = [feature for feature, strength, _ in needs if strength == "must"]
    found = []
    for parts in range_.products():
        if not all(chair_has(parts.values(), one) for one in musts):
            continue
        if product_of(range_, fitting, known, figures, parts, ()).p_fits == 1:
            found.append(frozenset(part.code for part in parts.values()))
    return ProductTruth(frozenset(found))
