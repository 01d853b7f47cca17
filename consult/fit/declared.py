"""A kind of product that files declare: its parts, what a body asks of them, and what is chosen.

Every quantity is a sum of body dimensions and answers. What is chosen has one part of each kind
declared. P(fits) is the share of bodies, drawn from the estimate, whose every quantity it meets;
answers count as they were said. Lengths in mm, masses in kg.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from consult.fit.assess import heel_notes
from consult.fit.request import BODIES, SEED, Bodies, draw
from consult.fit.requirements import Fit, FitNote, Requirement, required
from consult.fit.rules import beyond
from consult.fit.settings import Picked, Shortfall, nearest_setting
from consult.range.fitting import BODY, HEEL
from consult.range.parts import chair_has
from consult.sentence import Sentence

if TYPE_CHECKING:
    from consult.body.estimate import Estimate
    from consult.body.population import Array
    from consult.fit.request import NeedLine
    from consult.fit.workplace import Workplace
    from consult.range.fitting import DeclaredQuantity, Fitting
    from consult.range.model import Range
    from consult.range.parts import Kind, Part

Answers = Callable[[str], float | None]
"""Question -> its answer in mm, kg or a plain number; None where it is not known."""
TIED = 0.005
"""P(fits) by which two are alike, as with chairs."""


@dataclass(frozen=True, slots=True)
class DeclaredFigure:
    """The figures of a call: body apart from answers."""

    quantity: DeclaredQuantity
    answered: float
    """What the answers and the fixed part come to."""


def heard(
    fitting: Fitting, answers: Answers, workplace: Workplace
) -> tuple[list[DeclaredFigure], dict[str, str]]:
    """The quantities that can be worked out, and why the others cannot."""
    found, missing = [], {}
    for one in fitting.quantities:
        total, lacking = one.figure.fixed, ""
        for factor, name in one.figure.terms:
            if name.startswith(BODY):
                continue
            value = workplace.under_feet if name == HEEL else answers(name)
            value = fitting.usual.get(name) if value is None else value
            if value is None:
                lacking = name.replace("_", " ")
                break
            total += factor * value
        if lacking:
            missing[one.name] = f"This isn't worked out, because we don't know the {lacking}."
        else:
            found.append(DeclaredFigure(one, total))
    return found, missing


def declared_fit(
    fitting: Fitting, estimate: Estimate, workplace: Workplace, answers: Answers
) -> Fit:
    """The figures to set, for the best guess of this body; a limit of the parts is none of them."""
    known, missing = heard(fitting, answers, workplace)
    asked: dict[str, Requirement] = {}
    for one in known:
        quantity = one.quantity
        if quantity.test != "within":
            continue
        target = one.answered + sum(
            factor * estimate.dimensions[name].mean for name, factor in quantity.dimensions.items()
        )
        asked[quantity.name] = required(
            estimate,
            quantity.name,
            (target - quantity.below, target, target + quantity.above),
            quantity.dimensions,
            "floor",
            quantity.reason,
            quantity.source,
        )
    notes: list[FitNote] = []
    if any(HEEL in one.figure.names for one in fitting.quantities):
        notes += heel_notes(workplace)
    figures = {name: one.target for name, one in asked.items()}
    labels = {one.name: one.label for one in fitting.quantities}
    short = {one.name: one.short for one in fitting.quantities}
    return Fit(asked, tuple(notes), missing, figures, labels, short)


@dataclass(frozen=True, slots=True)
class Product:
    """One thing that can be ordered, and how likely it suits."""

    parts: Mapping[Kind, Part]
    p_fits: float
    per_quantity: Mapping[str, float]
    lacks: tuple[str, ...]
    """Preferred features it does not have."""
    price: float
    lead_days: int


@dataclass(frozen=True, slots=True)
class ProductChoice:
    """The best of what may be offered, how many are as good, and why there is none."""

    best: Product | None
    tied: int
    eligible: int
    left_out: Mapping[str, str]
    none_because: Sentence | None = None


def choose_declared(
    range_: Range,
    estimate: Estimate,
    workplace: Workplace,
    answers: Answers,
    needs: Sequence[NeedLine],
    only: Mapping[Kind, str] | None = None,
) -> ProductChoice:
    """The product most likely to suit; of equals the one with the features preferred, then the
    cheapest. Same inputs, same product.

    What misses a limit that the answers tell, or lacks a feature that is a must, is not offered.
    ``only`` are codes that were agreed on, by kind.
    """
    fitting = range_.fitting
    assert fitting is not None, "asked of a range that declares what it is"
    known, missing = heard(fitting, answers, workplace)
    order = tuple(dict.fromkeys(name for one in known for name in one.quantity.dimensions))
    bodies = draw(estimate, order, BODIES, SEED) if order else Bodies(np.zeros((1, 0)), ())
    figures = figures_of(known, bodies)
    musts = [feature for feature, strength, _ in needs if strength == "must"]
    wanted = dict.fromkeys(name for name, strength, _ in needs if strength == "prefer")
    lacking: Sentence | None = None
    found: list[Product] = []
    for parts in range_.products(only):
        against = _against(fitting, known, figures, parts)
        if against is None:
            short = next((one for one in musts if not chair_has(parts.values(), one)), None)
            if short is not None:
                against = Sentence(
                    f"No {fitting.thing} in the range has this: {short.replace('_', ' ')}."
                )
        if against is not None:
            lacking = lacking or against
            continue
        found.append(product_of(range_, fitting, known, figures, parts, tuple(wanted)))
    left_out = dict(missing)
    if not found:
        said = lacking or Sentence(f"No {fitting.thing} can be built of these parts.")
        return ProductChoice(None, 0, 0, left_out, said)
    most = max(one.p_fits for one in found)
    alike = [one for one in found if one.p_fits > most - TIED]
    fewest = min(len(one.lacks) for one in alike)
    alike = [one for one in alike if len(one.lacks) == fewest]
    best = min(alike, key=lambda one: (one.price, one.lead_days))
    return ProductChoice(best, len(alike) - 1, len(found), left_out)


def figures_of(known: Sequence[DeclaredFigure], bodies: Bodies) -> dict[str, Array]:
    """Quantity -> its figure for each of the bodies."""
    found = {}
    for one in known:
        factors = np.array([one.quantity.dimensions.get(name, 0.0) for name in bodies.order])
        found[one.quantity.name] = np.asarray(one.answered + bodies.values @ factors, np.float64)
    return found


def _against(
    fitting: Fitting,
    known: Sequence[DeclaredFigure],
    figures: Mapping[str, Array],
    parts: Mapping[Kind, Part],
) -> Sentence | None:
    """The limit that what is known of the answers goes past; None where there is none."""
    for one in known:
        quantity = one.quantity
        if quantity.test == "within" or quantity.dimensions:
            continue
        low, high = fitting.reach(quantity.parts, parts)
        figure = float(figures[quantity.name][0])
        past = figure > high if quantity.test == "at_most" else figure < low
        if past:
            what = f"{quantity.label[:1].lower()}{quantity.label[1:]}"
            return Sentence(f"No {fitting.thing} in the range suits this: {what}.")
    return None


def product_of(
    range_: Range,
    fitting: Fitting,
    known: Sequence[DeclaredFigure],
    figures: Mapping[str, Array],
    parts: dict[Kind, Part],
    wanted: tuple[str, ...],
) -> Product:
    met = {}
    for one in known:
        quantity = one.quantity
        low, high = fitting.reach(quantity.parts, parts)
        figure = figures[quantity.name]
        least = figure - quantity.below if quantity.test != "at_most" else figure
        most = figure + quantity.above if quantity.test != "at_least" else figure
        if quantity.test == "within":
            met[quantity.name] = (least <= high) & (most >= low)
        else:
            met[quantity.name] = figure <= high if quantity.test == "at_most" else figure >= low
    every = np.all(list(met.values()), axis=0) if met else np.ones(1, np.bool_)
    return Product(
        parts=parts,
        p_fits=float(every.mean()),
        per_quantity={name: float(one.mean()) for name, one in met.items()},
        lacks=tuple(one for one in wanted if not chair_has(parts.values(), one)),
        price=range_.price_of(parts),
        lead_days=max(part.lead_days for part in parts.values()),
    )


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
        miss = round(float(beyond(*span, wanted.low, wanted.high)))
        if miss and math.isfinite(miss):
            way = "high at its lowest" if miss > 0 else "low at its highest"
            said = f"{quantity.label}: the {fitting.thing} is <amount> too {way}."
            amount = {"amount": float(abs(miss))}
            short.append(Shortfall(None, quantity.name, float(abs(miss)), Sentence(said, amount)))
    met = tuple(need for need in needs if chair_has(parts.values(), need[0]))
    return Picked(
        parts=parts,
        settings=settings,
        shortfalls=tuple(short),
        price=range_.price_of(parts),
        lead_days=max(part.lead_days for part in parts.values()),
        met_needs=met,
    )
