"""By how much a part cannot be set to what the fit asks, in whole mm and in words.

Whole millimetres, because nobody sets a chair finer than that. A signed miss is above zero where
the part is too much (too high, too deep) even at its least, below zero where it is too little.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from consult.fit.range_model import (
    Kind,
    Part,
    Span,
    arms_above_loaded_seat,
    loaded_seat_height,
)
from consult.fit.result import Requirement
from consult.sentence import Sentence

Requirements = Mapping[str, Requirement]

NO_ARMS = 30
"""mm: arms that miss the elbows by more than this serve worse than none (common practice, no
source; ``ccohs_chair`` has arms removed if even their lowest setting lifts the elbows)."""


@dataclass(frozen=True, slots=True)
class Shortfall:
    """One thing the picked parts cannot do."""

    part_kind: Kind | None
    """None: the chair as a whole."""
    requirement: str
    """Name of the requirement, or 'rating' where no chair carries the caller."""
    mm: float
    """Whole mm outside what is acceptable; 0 for a rating."""
    say: Sentence


def missed(span: Span, low: float, high: float) -> int:
    """Signed whole mm between what a part reaches and the acceptable band; 0 where they meet."""
    if span[0] > high:
        return round(span[0] - high)
    return -round(low - span[1]) if span[1] < low else 0


def nearest_setting(span: Span, target: float) -> float:
    """The target, or the end of the reach nearest to it."""
    return min(max(target, span[0]), span[1])


def height_miss(seat: Part, lift: Part, castors: Part, wanted: Requirements) -> int:
    """Signed mm by which the loaded seat misses its target height."""
    height = wanted.get("seat_height")
    if height is None:
        return 0
    return missed(loaded_seat_height(seat, lift, castors), height.target, height.target)


def depth_miss(seat: Part, wanted: Requirements) -> int:
    """Signed mm by which the seat misses the acceptable depths."""
    depth = wanted.get("seat_depth")
    if depth is None or seat.depth is None:
        return 0
    return missed(seat.depth, depth.low, depth.high)


def width_miss(seat: Part, wanted: Requirements) -> int:
    """mm the seat is too narrow, below zero; a wide seat is never too wide."""
    width = wanted.get("seat_width")
    if width is None or seat.width is None:
        return 0
    return missed((seat.width, seat.width), width.low, float("inf"))


def between_miss(arms: Part, wanted: Requirements) -> int:
    """mm the room between the arms is narrower than the seat must be, below zero."""
    width = wanted.get("seat_width")
    if width is None or arms.between is None:
        return 0
    return missed(arms.between, width.low, float("inf"))


def arms_miss(seat: Part, arms: Part, wanted: Requirements) -> int:
    """Signed mm by which the arms miss the acceptable heights; NO_ARMS where there are none."""
    armrest = wanted.get("armrest_height")
    if armrest is None:
        return 0
    span = arms_above_loaded_seat(seat, arms)
    return -NO_ARMS if span is None else missed(span, armrest.low, armrest.high)


def chair_shortfalls(chair: Mapping[Kind, Part], wanted: Requirements) -> Iterator[Shortfall]:
    """Everything in which a chair misses the requirements, in the order of its parts."""
    seat, lift, arms = chair["seat"], chair["gas_lift"], chair["arms"]
    height = height_miss(seat, lift, chair["castors"], wanted)
    yield from _told("gas_lift", "seat_height", height, lift.seat_height, _HEIGHT)
    yield from _told("seat", "seat_depth", depth_miss(seat, wanted), seat.depth, _DEPTH)
    yield from _told("seat", "seat_width", width_miss(seat, wanted), None, _WIDTH)
    at_arms = arms_miss(seat, arms, wanted)
    words = _NONE if arms.height is None else _ARMS
    yield from _told("arms", "armrest_height", at_arms, arms.height, words)
    yield from _told("arms", "seat_width", between_miss(arms, wanted), arms.between, _BETWEEN)


_Words = tuple[str, str, str, str]
"""Too much; at its least; too little; at its most."""

_HEIGHT = (
    "The seat is <amount> too high",
    " at its lowest",
    "The seat is <amount> too low",
    " at its highest",
)
_DEPTH = (
    "The seat is <amount> too deep",
    " at its shortest",
    "The seat is <amount> too shallow",
    " at its longest",
)
_WIDTH = ("", "", "The seat is <amount> too narrow", "")
_ARMS = (
    "The armrests are <amount> too high",
    " at their lowest",
    "The armrests are <amount> too low",
    " at their highest",
)
_NONE = ("", "", "The chair has no armrests, so the elbows have no support", "")
_BETWEEN = ("", "", "The room between the armrests is <amount> too narrow", " at its widest")


def _told(
    kind: Kind, requirement: str, miss: int, span: Span | None, words: _Words
) -> Iterator[Shortfall]:
    if miss:
        yield shortfall(kind, requirement, miss, span, words)


def shortfall(
    kind: Kind, requirement: str, miss: int, span: Span | None, words: _Words
) -> Shortfall:
    """A miss in words: which way it lies and, where the part adjusts, at which end of it."""
    said, end = words[:2] if miss > 0 else words[2:]
    adjusts = span is not None and span[0] < span[1]
    amount = float(abs(miss))
    template = f"{said}{end if adjusts else ''}."
    return Shortfall(kind, requirement, amount, Sentence(template, {"amount": amount}))
