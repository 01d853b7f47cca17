"""A kind of product that a file declares: its figures, and what is chosen.

Every quantity is a sum of body dimensions and answers. What is chosen has one part of each kind
declared. It suits a body where its parts meet every quantity; P(fits) is the share of bodies drawn
from the estimate that it suits. Answers count as they were said. Lengths in mm, masses in kg.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from consult.fit.choose import Candidate, ChairChoice, share_error
from consult.fit.notes import heel_notes
from consult.fit.request import BODIES, SEED, Bodies, draw
from consult.fit.requirements import Fit, Requirement, required
from consult.fit.settings import Picked, Shortfall, missed, nearest_setting
from consult.range.chairs import codes_of
from consult.range.fitting import BODY, HEEL, DeclaredQuantity, Fitting
from consult.range.parts import chair_has
from consult.sentence import Sentence

if TYPE_CHECKING:
    from consult.body.estimate import Estimate
    from consult.body.population import Array
    from consult.fit.request import FitRequest, NeedLine
    from consult.fit.workplace import Workplace
    from consult.range.model import Range
    from consult.range.parts import Kind, Part

AnswerLookup = Callable[[str], float | None]
"""Question -> its answer in mm, kg or a plain number; None where it is not known."""
KnownQuantities = Sequence[tuple[DeclaredQuantity, float]]
"""The quantities that can be worked out, each with what the answers and its fixed part come to."""
Figures = Sequence["tuple[DeclaredQuantity, Array]"]
"""The same for every body."""
Flags = NDArray[np.bool_]
TIED = 0.005
"""P(fits) by which two are alike, as with chairs."""


def heard(
    fitting: Fitting, answers: AnswerLookup, workplace: Workplace
) -> tuple[KnownQuantities, dict[str, str]]:
    """What can be worked out of the answers, and why the other quantities cannot."""
    totals, missing = [], {}
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
            totals.append((quantity, total))
    return totals, missing


def figures_of(known: KnownQuantities, bodies: Bodies) -> Figures:
    """The figure of each quantity for each of the bodies."""
    figures = []
    for quantity, answered in known:
        factors = np.array([quantity.dimensions.get(name, 0.0) for name in bodies.order])
        figures.append((quantity, np.asarray(answered + bodies.values @ factors, np.float64)))
    return figures


def declared_fit(
    fitting: Fitting, estimate: Estimate, workplace: Workplace, answers: AnswerLookup
) -> Fit:
    """The figures to set, for the best guess of this body; a limit of the parts is none of them."""
    known, missing = heard(fitting, answers, workplace)
    asked: dict[str, Requirement] = {}
    for quantity, answered in known:
        if quantity.test != "within":
            continue
        target = answered + sum(
            factor * estimate.dimensions[name].mean for name, factor in quantity.dimensions.items()
        )
        band = (target - quantity.below, target, target + quantity.above)
        asked[quantity.name] = required(
            estimate,
            quantity.name,
            band,
            quantity.dimensions,
            "floor",
            quantity.reason,
            quantity.source,
        )
    read = {name for quantity in fitting.quantities for name in quantity.figure.names}
    return Fit(
        asked,
        tuple(heel_notes(workplace) if HEEL in read else ()),
        missing,
        {name: requirement.target for name, requirement in asked.items()},
        {quantity.name: quantity.label for quantity in fitting.quantities},
        {quantity.name: quantity.short for quantity in fitting.quantities},
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
        having = [
            all(codes.get(kind, part.code) == part.code for kind, part in parts.items())
            for parts in self.parts
        ]
        return np.array(having, np.bool_)

    def having(self, features: Sequence[str]) -> Flags:
        """Which have all of these features."""
        has = [
            all(chair_has(part.values(), feature) for feature in features) for part in self.parts
        ]
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
        suits = np.ones((len(self.parts), 1), np.bool_)
        for quantity, figure in known:
            target = None if targets is None else targets.get(quantity.name, np.nan)
            suits = suits & self.meet(quantity, figure, target)
        return suits


def products_of(range_: Range) -> Products:
    """Every product of the parts on sale; listed once a range."""
    if "products" not in range_.kept:
        fitting = range_.fitting
        assert fitting is not None, "asked of a range that declares what it is"
        parts = list(range_.products())
        ends = {}
        for quantity in fitting.quantities:
            reach = np.array([fitting.reach(quantity.parts, part) for part in parts], np.float64)
            low, high = np.hsplit(reach.reshape(-1, 2), 2)
            ends[quantity.name] = low, high
        prices = np.array([range_.price_of(part) for part in parts], np.float64)
        range_.kept["products"] = Products(fitting, parts, prices, ends)
    products: Products = range_.kept["products"]
    return products


def choose_declared(
    request: FitRequest, answers: AnswerLookup, only: Mapping[Kind, str] | None = None
) -> ChairChoice:
    """The product most likely to suit; of equals the one with the features preferred, then the
    cheapest. Same inputs, same product.

    What misses a limit that the answers tell, or lacks a feature that is a must, is not offered.
    ``only`` are codes that were agreed on, by kind.
    """
    products, thing = products_of(request.range), request.range.thing
    known, left_out = heard(products.fitting, answers, request.workplace)
    order = tuple(dict.fromkeys(name for quantity, _ in known for name in quantity.dimensions))
    bodies = draw(request.estimate, order) if order else Bodies(np.zeros((1, 0)), ())
    figures = figures_of(known, bodies)
    limits = [
        (quantity, figure)
        for quantity, figure in figures
        if quantity.test != "within" and not quantity.dimensions
    ]
    bars = []
    for quantity, figure in limits:
        what = f"{quantity.label[:1].lower()}{quantity.label[1:]}"
        bars.append((f"suits this: {what}", products.meet(quantity, figure)[:, 0]))
    for feature in request.musts:
        bars.append((f"has this: {feature.replace('_', ' ')}", products.having([feature])))
    offered = np.flatnonzero(products.made_of(only or {}))
    may = offered[np.all([has[offered] for _, has in bars], axis=0)] if bars else offered
    if not len(may):
        message = f"No {thing} can be built of these parts."
        if len(offered):
            bar = next(bar for bar, has in bars if not has[offered[0]])
            message = f"No {thing} in the range {bar}."
        return ChairChoice(None, 0, 0, left_out, BODIES, SEED, Sentence(message))
    odds = products.suit(figures).mean(axis=1)
    alike = may[odds[may] > odds[may].max() - TIED]
    lacking = sum(~products.having([feature])[alike] for feature in request.preferred) + 0 * alike
    tied = alike[lacking == lacking.min()]
    best = min(tied.tolist(), key=lambda at: (products.prices[at], products.lead_days(at)))
    parts, p = products.parts[best], float(odds[best])
    candidate = Candidate(
        parts=parts,
        p_fits=p,
        se=share_error(p, BODIES),
        compromises=tuple(
            feature for feature in request.preferred if not chair_has(parts.values(), feature)
        ),
        price=float(products.prices[best]),
        lead_days=products.lead_days(best),
        n=BODIES,
        shares=lambda: {
            quantity.name: float(products.meet(quantity, figure)[best].mean())
            for quantity, figure in figures
        },
    )
    return ChairChoice(candidate, len(tied) - 1, len(may), left_out, BODIES, SEED)


def declared_ready(
    range_: Range, fit: Fit, parts: Mapping[Kind, Part], needs: Sequence[NeedLine]
) -> Picked:
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
            message = f"{quantity.label}: the {fitting.thing} is <amount> too {way}."
            amount = float(abs(miss))
            short.append(
                Shortfall(None, quantity.name, amount, Sentence(message, {"amount": amount}))
            )
    return Picked(
        parts=parts,
        settings=settings,
        shortfalls=tuple(short),
        price=range_.price_of(parts),
        lead_days=max(part.lead_days for part in parts.values()),
        met_needs=tuple(need for need in needs if chair_has(parts.values(), need[0])),
    )


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
    answers: AnswerLookup,
    needs: Sequence[NeedLine] = (),
) -> ProductTruth:
    """What suits a body whose every dimension is known, with the features that are a must."""
    products = products_of(range_)
    known, _ = heard(products.fitting, answers, workplace)
    bodies = Bodies(np.array([[*body.values()]], np.float64), tuple(body))
    suits = products.suit(figures_of(known, bodies)).all(axis=1)
    suits &= products.having([feature for feature, strength, _ in needs if strength == "must"])
    return ProductTruth(
        frozenset(codes_of(products.parts[at]) for at in np.flatnonzero(suits).tolist())
    )
