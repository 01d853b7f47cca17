"""What a caller chooses where the order is placed, and what sending it costs.

A headrest, a fabric and delivery are on the order with their codes and in the price. None of them
is ever a reason for or against a chair.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from consult.fit.settings import Picked, Shortfall
from consult.range.model import Range
from consult.range.parts import OPTIONS, SECTIONS, Kind, Part
from consult.scale import dearer, money
from consult.sentence import Sentence
from consult.tree.condition import parse_condition

if TYPE_CHECKING:
    from consult.call.state import State
    from consult.tree.model import Question, Tree

_NEVER = parse_condition("yes")


def with_options(tree: Tree, range_: Range | None) -> Tree:
    """The tree with the headrests and fabrics of a range as choices of the questions that set
    them; such a question is never asked where the range lists none."""
    asked: dict[str, Question] = {}
    for name, question in tree.questions.items():
        if question.sets not in OPTIONS:
            continue
        offered = _offered(range_, question.sets) if range_ is not None else {}
        if range_ is None or not offered:
            asked[name] = replace(question, skip_when=_NEVER)
            continue
        labels = {choice: _label(part, range_) for choice, part in offered.items()}
        asked[name] = replace(question, choices={**labels, **question.choices})
    return replace(tree, questions={**tree.questions, **asked}) if asked else tree


def _offered(range_: Range, kind: Kind) -> Mapping[str, Part]:
    """Choice name -> part on sale."""
    parts: dict[str, Part] = {}
    for part in range_.on_sale(kind):
        name = f"{kind}_{re.sub(r'[^a-z0-9]+', '_', part.code.casefold())}"
        while name in parts:
            name += "_"
        parts[name] = part
    return parts


def _label(part: Part, range_: Range) -> str:
    more = dearer(part.price, range_.currency)
    return f"{part.name} ({part.code}){more and f', {more}'}"


def with_chosen(picked: Picked, range_: Range, now: State) -> Picked:
    """The chair with the options that the caller chose; one that does not go with it is told."""
    if not picked.parts:
        return picked
    parts, short = dict(picked.parts), list(picked.shortfalls)
    for option in _chosen(range_, now):
        against = [part for part in picked.parts.values() if not range_.agree(option, part)]
        if against:
            message = f"{option.name} does not go with {against[0].name}. Offer another."
            short.append(Shortfall(option.kind, "together", 0.0, Sentence(message)))
        else:
            parts[option.kind] = option
    return replace(
        picked,
        parts=parts,
        shortfalls=tuple(short),
        price=range_.price_of(parts, quantity_ordered(now)),
        lead_days=max(part.lead_days for part in range_.sold_as(parts)),
    )


def _chosen(range_: Range, now: State) -> Iterator[Part]:
    for step in now.steps:
        kind, choice = step.question.sets, step.understood.value if step.understood else None
        if kind in OPTIONS and isinstance(choice, str):
            option = _offered(range_, kind).get(choice)
            if option is not None:
                yield option


def quantity_ordered(now: State) -> int:
    """How many of the chair are ordered, or how many people the chairs are for."""
    numbers = [
        step.understood.value
        for step in now.steps
        if step.question.sets == "pieces" and step.understood is not None
    ]
    return max(1, *(round(value) for value in numbers if isinstance(value, float)), 1)


def delivery_of(range_: Range, now: State) -> Part | None:
    """Delivery of the chair at its price; None where there is no chair, or where the range does
    not say what it costs."""
    if now.picked is None or not now.picked.parts:
        return None
    part = range_.delivery_to(now.sent_to)
    cost = now.picked.price * quantity_ordered(now)
    if part is None or part.free_from is None or cost < part.free_from:
        return part
    return replace(part, price=0.0)


def with_delivery(range_: Range, now: State) -> tuple[float, str]:
    """What the chairs cost the caller, and what that has to say of their number and of delivery:
    '' for one, where the range says nothing of delivery."""
    assert now.picked is not None, "asked of a chair"
    sent = delivery_of(range_, now)
    pieces = quantity_ordered(now)
    cost, several = now.picked.price * pieces, f" for {pieces}" if pieces > 1 else ""
    if sent is not None:
        return round(cost + sent.price, 2), f"{several} delivered"
    return round(cost, 2), f"{several} + delivery" if range_.on_sale("delivery") else several


def quantity_line(range_: Range, pieces: int) -> str:
    """What a chair's parts cost less in so many pieces; '' where it is nothing."""
    less = [
        f"{part.name} {money(part.price_for(pieces), range_.currency)}"
        f" instead of {money(part.price, range_.currency)}"
        for kind in SECTIONS.values()
        for part in range_.on_sale(kind)
        if part.price_for(pieces) < part.price
    ]
    return f"For {pieces} pieces: {', '.join(less)}." if less else ""
