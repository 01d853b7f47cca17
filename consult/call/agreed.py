"""The chair the caller agreed on, if it is not the one suggested.

Every requirement is tested on it as on any other, and what it does not meet is reported. A chair
that is not rated for the person who will sit on it cannot be agreed.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from typing import TYPE_CHECKING

from consult.fit.choose import Candidate, choose
from consult.fit.range_model import CHAIR_KINDS, Kind, Part, Range
from consult.fit.request import NO_ARMS_WANTED
from consult.fit.settings import Picked, made_ready
from consult.sentence import Sentence

if TYPE_CHECKING:
    from consult.fit.request import FitRequest, NeedLine
    from consult.fit.requirements import Fit

NEVER_WAIVED = "heavy_duty"


@dataclass(frozen=True, slots=True)
class Agreed:
    """A chair of parts the caller named."""

    codes: tuple[str, ...]
    """The parts named; the others are as suggested, or the likeliest that go with them."""
    candidate: Candidate | None
    """How likely it fits; None where it may not be offered, or cannot be built."""
    picked: Picked | None
    trouble: Sentence | None = None
    """Why there is no such chair; '' if there is."""


def agreed_chair(request: FitRequest, fit: Fit, codes: Sequence[str], *, like: Candidate) -> Agreed:
    """The suggested chair (``like``) with some parts replaced by these (codes of the range).

    A suggested part that does not go with them gives way to the likeliest that does.
    """
    range_, needs = request.range, request.needs
    if not codes:
        told = Sentence("That names no part of the price list. Type a part's name or code.")
        return Agreed((), None, None, told)
    named = {p.kind: p for kind in range_.parts for p in range_.on_sale(kind) if p.code in codes}
    parts: dict[Kind, Part] = {
        kind: part for kind, part in like.parts.items() if kind in CHAIR_KINDS
    } | named
    while (apart := _apart(range_, parts)) is not None:
        # What was only suggested gives way to what was named.
        free = [one.kind for one in apart if one.kind not in named]
        if not free:
            told = Sentence(f"{apart[0].name} does not go with {apart[1].name}.")
            return Agreed(tuple(codes), None, None, told)
        del parts[free[0]]
    waived: list[NeedLine] = [
        (feature, strength if feature == NEVER_WAIVED else "prefer", because)
        for feature, strength, because in needs
    ]
    if "arms" in parts and NO_ARMS_WANTED in parts["arms"].features:
        # Who settles on a chair without armrests wants none: it fits body and desk as well as any,
        # and that the elbows rest on nothing is told beside it.
        waived.append((NO_ARMS_WANTED, "prefer", ""))
    alone = replace(range_, parts=_only(range_.parts, parts))
    found = choose(replace(request, range=alone, needs=waived, kept={}))
    if found.best is None:
        return Agreed(tuple(codes), None, None, found.none_because)
    return Agreed(tuple(codes), found.best, made_ready(alone, fit, found.best.parts, needs))


def _only(
    every: Mapping[Kind, tuple[Part, ...]], parts: Mapping[Kind, Part]
) -> dict[Kind, tuple[Part, ...]]:
    """The range with no other parts of the kinds chosen."""
    return {kind: (parts[kind],) if kind in parts else of for kind, of in every.items()}


def _apart(range_: Range, parts: Mapping[Kind, Part]) -> tuple[Part, Part] | None:
    """Two parts that cannot be on one chair."""
    pairs = combinations((part for kind, part in parts.items() if kind in CHAIR_KINDS), 2)
    return next((pair for pair in pairs if not range_.compatible(*pair)), None)
