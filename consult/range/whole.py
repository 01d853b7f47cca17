"""Problems of the chairs that the parts on sale make together, and of the fixed models."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date

import numpy as np

from consult.marked.marks import Marked
from consult.problems import Problem, listed, nearest
from consult.range.chairs import chairs_of, which_go_together
from consult.range.model import Range
from consult.range.parts import CHAIR_KINDS, SECTIONS, Kind

MOST_CHAIRS = 1_000_000
"""Chairs that can be compared while somebody waits on the telephone."""


def range_as_whole(marked: Marked, loaded: Range) -> Iterator[Problem]:
    """Problems of the chairs that the parts on sale make together."""
    count = 1
    for kind in CHAIR_KINDS:
        count *= len(loaded.on_sale(kind))
    yield from _model_problems(marked, loaded)
    if count > MOST_CHAIRS:
        message = (
            f"The parts on sale make {count:,} chairs; at most {MOST_CHAIRS:,} can be compared."
        )
        fix = "List parts that differ in more than colour or cover only once."
        yield Problem(marked.value(), message, fix, "too-many-chairs")
        return
    together = which_go_together(loaded)
    if not together.any():
        message = "No chair can be built: every choice of parts has two that do not go together."
        fix = "Look through fits_with and not_with."
        yield Problem(marked.value(), message, fix, "no-chair")
        return
    yield from _after_all_days(marked, loaded)
    sections = {kind: section for section, kind in SECTIONS.items()}
    for axis, kind in enumerate(CHAIR_KINDS):
        used = np.any(together, axis=tuple(n for n in range(len(CHAIR_KINDS)) if n != axis))
        on_sale = loaded.on_sale(kind)
        offered = {part.code: bool(yes) for part, yes in zip(on_sale, used, strict=True)}
        for index, part in enumerate(loaded.parts.get(kind, ())):
            if offered.get(part.code, True):
                continue
            where = marked.value(sections[kind], index, "code")
            message = (
                f"No chair on sale can have '{part.code}': what it needs does not go together."
            )
            fix = "Look through fits_with and not_with, its own and those that name it."
            if part.models_only:
                fix = "No model on sale has it: name it in one, or leave models_only out."
            yield Problem(where, message, fix, "never-fits", "warning")


def _model_problems(marked: Marked, loaded: Range) -> Iterator[Problem]:
    """Fixed models that are no whole chair, or the same one; countries with two delivery fees."""
    parts = {part.code: part for of_kind in loaded.parts.values() for part in of_kind}
    needed = [kind for kind in CHAIR_KINDS if loaded.parts.get(kind)]
    seen: dict[frozenset[str], str] = {}
    for index, model in enumerate(loaded.parts["model"]):
        where = marked.value("models", index, "parts")
        kinds = [parts[code].kind for code in sorted(model.made_of) if code in parts]
        unknown = sorted(model.made_of - parts.keys())
        lacking = [kind for kind in needed if kind not in kinds]
        more = [
            kind for kind in dict.fromkeys(kinds) if kinds.count(kind) > 1 or kind not in needed
        ]
        if unknown:
            fix = nearest(unknown[0], parts) or "Check the code, or leave it out."
            yield Problem(where, f"No part has the code '{unknown[0]}'.", fix, "unknown-code")
        elif lacking or more:
            of = f"names no {_kinds(lacking)}" if lacking else f"cannot have {_kinds(more)} so"
            message = f"The model '{model.code}' {of}."
            fix = f"A model has one of each: {_kinds(needed)}."
            yield Problem(where, message, fix, "no-whole-chair")
        elif model.made_of in seen:
            message = f"The models '{seen[model.made_of]}' and '{model.code}' have the same parts."
            yield Problem(where, message, "Keep one.", "model-twice")
        seen.setdefault(model.made_of, model.code)
    paid: dict[str, str] = {}
    for index, part in enumerate(loaded.parts["delivery"]):
        if not part.discontinued and paid.setdefault(part.country, part.code) != part.code:
            where = marked.value("deliveries", index, "code")
            to = part.country or "any country"
            message = f"Delivery to {to} has two prices: '{paid[part.country]}' and '{part.code}'."
            yield Problem(where, message, "Keep one, or name another country.", "delivery-twice")


def _after_all_days(marked: Marked, loaded: Range) -> Iterator[Problem]:
    """What must still hold when every part with a last day is past it."""
    later = loaded.on(date.max)
    if later is loaded:
        return
    first = min(p.until for of in loaded.parts.values() for p in of if p.until is not None)
    fix = "Add the part that follows it, or leave until out and take a draft on that day."
    if not which_go_together(later).any():
        message = "No chair can be built once the parts with a last day are past it."
        yield Problem(marked.value(), message, fix, "no-chair-later")
    elif _strongest(later) < _strongest(loaded):
        # The limits that callers hear are one figure, whatever the day.
        message = (
            f"The heaviest callers have a chair only until a part ends, {first} or later: "
            f"{_strongest(loaded):g} kg before it, {_strongest(later):g} kg after it."
        )
        yield Problem(marked.value(), message, fix, "weaker-later")


def _strongest(range_: Range) -> float:
    """What the strongest whole chair carries, kg."""
    return float(chairs_of(range_).ratings[-1])


def _kinds(kinds: Iterable[Kind]) -> str:
    return listed((kind.replace("_", " ") for kind in kinds), "and")
