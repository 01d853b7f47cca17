"""A kind of product that a file declares: its figures, what is chosen, and what an answer adds.

Every quantity is a sum of body dimensions and answers. What is chosen has one part of each kind
declared. It suits a body where its parts meet every quantity; P(fits) is the share of bodies drawn
from the estimate that it suits. Answers count as they were said. Lengths in mm, masses in kg.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from consult.fit.choose import Candidate, ChairChoice, share_error
from consult.fit.notes import heel_notes
from consult.fit.replies import sex_said, told_as
from consult.fit.request import BODIES, SEED, Bodies, draw
from consult.fit.requirements import Fit, Requirement, required
from consult.fit.settings import Picked, Shortfall, missed, nearest_setting
from consult.range.chairs import codes_of
from consult.range.fitting import BODY, HEEL, DeclaredQuantity, Fitting
from consult.range.parts import chair_has
from consult.sentence import Sentence

if TYPE_CHECKING:
    from consult.body.estimate import Estimate
    from consult.body.population import Array, Population
    from consult.fit.replies import DrawShares
    from consult.fit.request import FitRequest, NeedLine
    from consult.fit.workplace import Workplace
    from consult.range.model import Range
    from consult.range.parts import Kind, Part

Answers = Callable[[str], float | None]
"""Question -> its answer in mm, kg or a plain number; None where it is not known."""
Heard = Sequence[tuple[DeclaredQuantity, float]]
"""The quantities that can be worked out, each with what the answers and its fixed part come to."""
Figures = Sequence["tuple[DeclaredQuantity, Array]"]
"""The same for every body."""
Flags = NDArray[np.bool_]
TIED = 0.005
"""P(fits) by which two are alike, as with chairs."""
READINGS = 20
"""Of a measure: the finer, the nearer a product is set."""
PREFERRED = 0.05
"""What a preferred feature counts for, as a share of bodies: a wish, not a fault."""


def heard(fitting: Fitting, answers: Answers, workplace: Workplace) -> tuple[Heard, dict[str, str]]:
    """What can be worked out of the answers, and why the other quantities cannot."""
    found, missing = [], {}
    for quantity in fitting.quantities:
        total, lacking = quantity.figure.fixed, ""
        for factor, name in quantity.figure.terms:
            if name.startswith(BODY):
                continue
            value = workplace.under_feet if name == HEEL else answers(name)
            value = fitting.usual.get(name) if value is None else value
            if value is None:
                lacking = name.replace("_", " ")
                break
            total += factor * value
        if lacking:
            missing[quantity.name] = f"This isn't worked out, because we don't know the {lacking}."
        else:
            found.append((quantity, total))
    return found, missing


def figures_of(known: Heard, bodies: Bodies) -> Figures:
    """The figure of each quantity for each of the bodies."""
    found = []
    for quantity, answered in known:
        factors = np.array([quantity.dimensions.get(name, 0.0) for name in bodies.order])
        found.append((quantity, np.asarray(answered + bodies.values @ factors, np.float64)))
    return found


def declared_fit(
    fitting: Fitting, estimate: Estimate, workplace: Workplace, answers: Answers
) -> Fit:
    """The figures to set, for the best guess of this body; a limit of the parts is none of them."""
    known, missing = heard(fitting, answers, workplace)
    asked: dict[str, Requirement] = {}
    for one, answered in known:
        if one.test != "within":
            continue
        target = answered + sum(
            factor * estimate.dimensions[name].mean for name, factor in one.dimensions.items()
        )
        band = (target - one.below, target, target + one.above)
        asked[one.name] = required(
            estimate, one.name, band, one.dimensions, "floor", one.reason, one.source
        )
    read = {name for one in fitting.quantities for name in one.figure.names}
    return Fit(
        asked,
        tuple(heel_notes(workplace) if HEEL in read else ()),
        missing,
        {name: one.target for name, one in asked.items()},
        {one.name: one.label for one in fitting.quantities},
        {one.name: one.short for one in fitting.quantities},
    )


@dataclass(frozen=True, slots=True, eq=False)
class Products:
    """Everything that the parts on sale make, in the order of the file."""

    fitting: Fitting
    parts: Sequence[Mapping[Kind, Part]]
    prices: Array
    ends: Mapping[str, tuple[Array, Array]]
    """Quantity -> what the parts of each product come to, at the least and at the most."""

    def lead_days(self, at: int) -> int:
        """Of the part that takes longest."""
        return max(part.lead_days for part in self.parts[at].values())

    def made_of(self, codes: Mapping[Kind, str]) -> Flags:
        """Which have the part with this code, of each kind that is named."""
        found = [
            all(codes.get(kind, part.code) == part.code for kind, part in each.items())
            for each in self.parts
        ]
        return np.array(found, np.bool_)

    def having(self, features: Sequence[str]) -> Flags:
        """Which have all of these features."""
        has = [all(chair_has(each.values(), one) for one in features) for each in self.parts]
        return np.array(has, np.bool_)

    def meet(self, quantity: DeclaredQuantity, figure: Array, target: float | None = None) -> Flags:
        """Whether they meet a quantity, product x body: set to the target as near as they go;
        None: set as may be."""
        low, high = self.ends[quantity.name]
        if quantity.test == "at_most":
            return np.asarray(figure <= high)
        if quantity.test == "at_least":
            return np.asarray(figure >= low)
        least, most = figure - quantity.below, figure + quantity.above
        if target is None:
            return np.asarray((least <= high) & (most >= low))
        set_to = np.clip(target, low, high)
        return np.asarray((set_to >= least) & (set_to <= most))

    def suit(self, known: Figures, targets: Mapping[str, float] | None = None) -> Flags:
        """Whether they meet every quantity, product x body; a figure without a target is not set.

        None: set as may be.
        """
        found = np.ones((len(self.parts), 1), np.bool_)
        for quantity, figure in known:
            target = None if targets is None else targets.get(quantity.name, np.nan)
            found = found & self.meet(quantity, figure, target)
        return found


def products_of(range_: Range) -> Products:
    """Every product of the parts on sale; listed once a range."""
    if "products" not in range_.kept:
        fitting = range_.fitting
        assert fitting is not None, "asked of a range that declares what it is"
        parts = list(range_.products())
        ends = {}
        for one in fitting.quantities:
            reach = np.array([fitting.reach(one.parts, each) for each in parts], np.float64)
            low, high = np.hsplit(reach.reshape(-1, 2), 2)
            ends[one.name] = low, high
        prices = np.array([range_.price_of(each) for each in parts], np.float64)
        range_.kept["products"] = Products(fitting, parts, prices, ends)
    products: Products = range_.kept["products"]
    return products


def choose_declared(
    request: FitRequest, answers: Answers, only: Mapping[Kind, str] | None = None
) -> ChairChoice:
    """The product most likely to suit; of equals the one with the features preferred, then the
    cheapest. Same inputs, same product.

    What misses a limit that the answers tell, or lacks a feature that is a must, is not offered.
    ``only`` are codes that were agreed on, by kind.
    """
    products, thing = products_of(request.range), request.range.thing
    known, left_out = heard(products.fitting, answers, request.workplace)
    order = tuple(dict.fromkeys(name for one, _ in known for name in one.dimensions))
    bodies = draw(request.estimate, order) if order else Bodies(np.zeros((1, 0)), ())
    figures = figures_of(known, bodies)
    limits = [(one, at) for one, at in figures if one.test != "within" and not one.dimensions]
    bars = []
    for one, figure in limits:
        what = f"{one.label[:1].lower()}{one.label[1:]}"
        bars.append((f"suits this: {what}", products.meet(one, figure)[:, 0]))
    for feature in request.musts:
        bars.append((f"has this: {feature.replace('_', ' ')}", products.having([feature])))
    offered = np.flatnonzero(products.made_of(only or {}))
    may = offered[np.all([has[offered] for _, has in bars], axis=0)] if bars else offered
    if not len(may):
        said = f"No {thing} can be built of these parts."
        if len(offered):
            bar = next(bar for bar, has in bars if not has[offered[0]])
            said = f"No {thing} in the range {bar}."
        return ChairChoice(None, 0, 0, left_out, BODIES, SEED, Sentence(said))
    odds = products.suit(figures).mean(axis=1)
    alike = may[odds[may] > odds[may].max() - TIED]
    lacking = sum(~products.having([one])[alike] for one in request.preferred) + 0 * alike
    tied = alike[lacking == lacking.min()]
    best = min(tied.tolist(), key=lambda at: (products.prices[at], products.lead_days(at)))
    parts, p = products.parts[best], float(odds[best])
    candidate = Candidate(
        parts=parts,
        p_fits=p,
        se=share_error(p, BODIES),
        compromises=tuple(one for one in request.preferred if not chair_has(parts.values(), one)),
        price=float(products.prices[best]),
        lead_days=products.lead_days(best),
        n=BODIES,
        shares=lambda: {
            one.name: float(products.meet(one, figure)[best].mean()) for one, figure in figures
        },
    )
    return ChairChoice(candidate, len(tied) - 1, len(may), left_out, BODIES, SEED)


def ready(range_: Range, fit: Fit, parts: Mapping[Kind, Part], needs: Sequence[NeedLine]) -> Picked:
    """The product set for a fit, and what it falls short by."""
    fitting = range_.fitting
    assert fitting is not None, "asked of a range that declares what it is"
    settings, short = {}, []
    for quantity in fitting.quantities:
        wanted = fit.requirements.get(quantity.name)
        if wanted is None:
            continue
        span = fitting.reach(quantity.parts, parts)
        settings[quantity.name] = nearest_setting(span, wanted.target)
        if miss := missed(span, wanted.low, wanted.high):
            way = "high at its lowest" if miss > 0 else "low at its highest"
            said = f"{quantity.label}: the {fitting.thing} is <amount> too {way}."
            amount = float(abs(miss))
            short.append(Shortfall(None, quantity.name, amount, Sentence(said, {"amount": amount})))
    return Picked(
        parts=parts,
        settings=settings,
        shortfalls=tuple(short),
        price=range_.price_of(parts),
        lead_days=max(part.lead_days for part in parts.values()),
        met_needs=tuple(need for need in needs if chair_has(parts.values(), need[0])),
    )


# -- what hearing an answer adds


@dataclass(slots=True, eq=False)
class DeclaredWorth:
    """The product chosen now, held against what would be chosen if more were known.

    A product counts by how likely it suits with each figure set as well as it is known. Shares of
    bodies, 0 to 1.
    """

    request: FitRequest
    """With the needs known now."""
    answers: Answers
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
            odds = told_as(true[None], [population.measurement_sd(dimension)], READINGS)[0][0]
        else:
            odds = sex_said(self.request.estimate, BODIES)
        return self._gain((float(row.mean()), self._known, row) for row in odds if row.any())

    def of_answer(self, ways: Iterable[tuple[float, Workplace, Answers]]) -> float:
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

    def _heard(self, workplace: Workplace, answers: Answers) -> Figures:
        return figures_of(heard(self._products.fitting, answers, workplace)[0], self._bodies)

    def _suiting(
        self, known: Figures, targets: Mapping[str, float] | None, odds: DrawShares | None = None
    ) -> Array:
        suits = self._products.suit(known, targets)
        return np.asarray(np.average(suits, axis=1, weights=odds if known else None), np.float64)


def _targets(known: Figures, odds: DrawShares | None = None) -> dict[str, float]:
    return {one.name: float(np.average(figure, weights=odds)) for one, figure in known}


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
    products = products_of(range_)
    known, _ = heard(products.fitting, answers, workplace)
    one = Bodies(np.array([[*body.values()]], np.float64), tuple(body))
    suits = products.suit(figures_of(known, one)).all(axis=1)
    suits &= products.having([feature for feature, strength, _ in needs if strength == "must"])
    return ProductTruth(
        frozenset(codes_of(products.parts[at]) for at in np.flatnonzero(suits).tolist())
    )
