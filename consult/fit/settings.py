"""A chosen chair made ready: its settings for a fit, what goes beside it, what it cannot do.

What a part falls short by is told in whole millimetres, because nobody sets a chair finer than
that. A signed miss is above zero where the part is too much (too high, too deep) even at its
least, below zero where it is too little.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from consult.fit.range_model import (
    CHAIR_KINDS,
    Kind,
    Part,
    Range,
    Span,
    arms_above_loaded_seat,
    loaded_seat_height,
)
from consult.fit.request import NeedLine
from consult.fit.requirements import Fit, Requirement
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


def height_miss(
    seat: Part, lift: Part, castors: Part, base: Part | None, wanted: Requirements
) -> int:
    """Signed mm by which the loaded seat misses its target height."""
    height = wanted.get("seat_height")
    if height is None:
        return 0
    return missed(loaded_seat_height(seat, lift, castors, base), height.target, height.target)


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
    height = height_miss(seat, lift, chair["castors"], chair.get("base"), wanted)
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


_REST = (
    "The footrest is <amount> too high",
    " at its lowest",
    "The footrest is <amount> too low",
    " at its highest",
)
_RAISER = (
    "The desk raiser lifts the desk <amount> too far",
    " at its lowest",
    "The desk raiser lifts the desk <amount> too little",
    " at its highest",
)


@dataclass(frozen=True, slots=True)
class Extra:
    """One thing the workplace needs: the part, or none on sale, and what it falls short by."""

    kind: Kind
    requirement: str
    part: Part | None
    setting: float | None
    """mm to set it to, as near to what is needed as the part goes; None for a footrest that the
    best guess of the body does not need, but that was chosen because the body is not sure."""
    shortfall: Shortfall | None


def extras(
    range_: Range, fit: Fit, seat_height: float | None, footrest: Part | None = None
) -> tuple[Extra, ...]:
    """The footrest and desk raiser a fit calls for.

    ``seat_height`` is what the picked chair is set to, mm, loaded: where it stays above or below
    what the fit asked, the feet need that much more or less under them. ``footrest`` is the one
    chosen with the chair; None leaves it to the fit.
    """
    found: list[Extra] = []
    rest = _asked(fit, "footrest_needed", "footrest_height")
    if rest is not None:
        asked = fit.requirements.get("seat_height")
        if seat_height is not None and asked is not None:
            rest += seat_height - asked.target
        # A seat that stays low enough puts the feet on the floor.
        if round(rest) > 0:
            rests = (footrest,) if footrest else range_.on_sale("footrest")
            found.append(_extra(rests, "footrest", "footrest_height", rest))
    if footrest is not None and not found:
        found.append(Extra("footrest", "footrest_height", footrest, None, None))
    raised = _asked(fit, "desk_too_low", "desk_raise")
    if raised is not None:
        found.append(_extra(range_.on_sale("desk_raiser"), "desk_raiser", "desk_raise", raised))
    return tuple(found)


def _asked(fit: Fit, needed: str, amount: str) -> float | None:
    if not fit.quantities.get(needed) or amount not in fit.quantities:
        return None
    return float(fit.quantities[amount])


def _extra(parts: Iterable[Part], kind: Kind, requirement: str, target: float) -> Extra:
    """The smallest part that reaches the target; the one that comes nearest where none does."""
    offered = [(part, span) for part in parts if (span := _travel(part)) is not None]
    if not offered:
        return Extra(kind, requirement, None, target, _none_on_sale(kind, requirement, target))
    part, span = min(
        offered, key=lambda each: (abs(missed(each[1], target, target)), each[1][1], each[0].price)
    )
    miss = missed(span, target, target)
    words = _REST if kind == "footrest" else _RAISER
    short = shortfall(kind, requirement, miss, span, words) if miss else None
    return Extra(kind, requirement, part, nearest_setting(span, target), short)


def _travel(part: Part) -> Span | None:
    return part.height if part.kind == "footrest" else part.raises


def _none_on_sale(kind: Kind, requirement: str, target: float) -> Shortfall:
    amount = float(round(target))
    said = {
        "footrest": "The feet need a footrest of <amount>, and this range has none.",
        "desk_raiser": "The desk must be <amount> higher, and this range has no desk raiser.",
    }[kind]
    return Shortfall(kind, requirement, amount, Sentence(said, {"amount": amount}))


@dataclass(frozen=True, slots=True)
class Picked:
    """A chair, how to set it, and what it cannot do."""

    parts: Mapping[Kind, Part]
    """Empty where no chair of the range may be offered; ``shortfalls`` says why."""
    settings: Mapping[str, float]
    """What to set -> mm: the target, or the nearest the part reaches. Of seat_height (loaded,
    above the floor), seat_depth, armrest_height (above the loaded seat), footrest_height and
    desk_raise, those the fit asks for and the parts have."""
    shortfalls: tuple[Shortfall, ...]
    price: float
    """In the range's currency, footrest and desk raiser included."""
    lead_days: int
    """Of the part that takes longest."""
    met_needs: tuple[NeedLine, ...]
    unmet_needs: tuple[NeedLine, ...]


def chair_has(chair: Iterable[Part], feature: str) -> bool:
    """Whether a part has the feature; for heavy duty, whether every part with a rating has it."""
    if feature == "heavy_duty":
        rated = [part for part in chair if part.rating is not None]
        return bool(rated) and all(feature in part.features for part in rated)
    return any(feature in part.features for part in chair)


def made_ready(
    range_: Range, fit: Fit, parts: Mapping[Kind, Part], needs: Sequence[NeedLine]
) -> Picked:
    """The chair of these parts, set for a fit.

    ``parts`` holds one part of each of CHAIR_KINDS, and the footrest where one was chosen with it;
    a desk raiser, and a footrest that nothing chose, are added where the fit needs them.
    """
    chair = {kind: parts[kind] for kind in CHAIR_KINDS if kind in parts}
    settings = _settings(chair, fit.requirements)
    beside = extras(range_, fit, settings.get("seat_height"), parts.get("footrest"))
    ready = {**chair, **{extra.kind: extra.part for extra in beside if extra.part is not None}}
    settings |= {
        extra.requirement: extra.setting
        for extra in beside
        if extra.part is not None and extra.setting is not None
    }
    short = [*chair_shortfalls(chair, fit.requirements)]
    short += [extra.shortfall for extra in beside if extra.shortfall is not None]
    met = tuple(need for need in needs if chair_has(chair.values(), need[0]))
    return Picked(
        parts=ready,
        settings=settings,
        shortfalls=tuple(short),
        price=range_.price_of(ready),
        lead_days=max(part.lead_days for part in range_.sold_as(ready)),
        met_needs=met,
        unmet_needs=tuple(need for need in needs if need not in met),
    )


def _settings(chair: Mapping[Kind, Part], wanted: Requirements) -> dict[str, float]:
    seat = chair["seat"]
    spans = {
        "seat_height": loaded_seat_height(
            seat, chair["gas_lift"], chair["castors"], chair.get("base")
        ),
        "seat_depth": seat.depth,
        "armrest_height": arms_above_loaded_seat(seat, chair["arms"]),
    }
    return {
        name: nearest_setting(span, wanted[name].target)
        for name, span in spans.items()
        if span is not None and name in wanted
    }
