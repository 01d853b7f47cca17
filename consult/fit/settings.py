"""A chosen chair made ready: its settings for a fit, what goes beside it, what it cannot do.

What a part falls short by is told in whole millimetres, because nobody sets a chair finer than
that. A signed miss is above zero where the part is too much (too high, too deep) even at its
least, below zero where it is too little.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from consult.fit.request import NO_ARMS_WANTED, NeedLine
from consult.fit.requirements import Fit, Requirement
from consult.fit.rules import beyond
from consult.fit.seating import FEET_REACH
from consult.range.model import Range
from consult.range.parts import (
    CHAIR_KINDS,
    Kind,
    Part,
    arms_above_loaded_seat,
    chair_has,
    loaded_seat_height,
)
from consult.sentence import Sentence

if TYPE_CHECKING:
    from consult.range.parts import Span

Requirements = Mapping[str, Requirement]

SETTABLE = ("seat_height", "seat_depth", "armrest_height")
"""What somebody sets on a chair."""
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
    return round(float(beyond(*span, low, high)))


def nearest_setting(span: Span, target: float) -> float:
    """The target, or the end of the reach nearest to it."""
    return min(max(target, span[0]), span[1])


def reach_of(chair: Mapping[Kind, Part]) -> dict[str, Span | None]:
    """What the parts of a chair can be set to with somebody on it; None where that is not stated,
    or there are no arms."""
    seat, arms = chair["seat"], chair["arms"]
    return {
        "seat_height": loaded_seat_height(
            seat, chair["gas_lift"], chair["castors"], chair.get("base")
        ),
        "seat_depth": seat.depth,
        "seat_width": None if seat.width is None else (seat.width, seat.width),
        "armrest_height": arms_above_loaded_seat(seat, arms),
        "between_arms": arms.between,
    }


def chair_shortfalls(chair: Mapping[Kind, Part], wanted: Requirements) -> Iterator[Shortfall]:
    """Everything in which a chair misses the requirements, in the order of its parts."""
    for name, span in reach_of(chair).items():
        requirement = wanted.get("seat_width" if name == "between_arms" else name)
        if requirement is None:
            continue
        low, high = requirement.low, requirement.high
        if name == "seat_height":
            low = high = requirement.target
        elif requirement.name == "seat_width":
            high = math.inf  # a wide seat is never too wide
        if span is not None:
            miss = missed(span, low, high)
        else:
            miss = -NO_ARMS if name == "armrest_height" else 0
        if miss:
            yield shortfall(name, miss, span)


_HIGH_LOW = ("high", "its lowest", "low", "its highest")
_WORDS: Mapping[str, tuple[Kind, str, str, str, str, str]] = {
    "seat_height": ("gas_lift", "The seat is", *_HIGH_LOW),
    "seat_depth": ("seat", "The seat is", "deep", "its shortest", "shallow", "its longest"),
    "seat_width": ("seat", "The seat is", "", "", "narrow", ""),
    "armrest_height": ("arms", "The armrests are", "high", "their lowest", "low", "their highest"),
    "between_arms": ("arms", "The room between the armrests is", "", "", "narrow", "its widest"),
    "footrest_height": ("footrest", "The footrest is", *_HIGH_LOW),
    "desk_raise": (
        "desk_raiser",
        "The desk raiser lifts the desk",
        "far",
        "its lowest",
        "little",
        "its highest",
    ),
}
"""What is missed -> the part, what it does; how it is too much, at which end; too little, where."""


def shortfall(name: str, miss: float, span: Span | None) -> Shortfall:
    """A miss in words: which way it lies and, where the part adjusts, at which end of it."""
    kind, words, *ways = _WORDS[name]
    word, end = ways[:2] if miss > 0 else ways[2:]
    amount = float(abs(round(miss)))
    at_end = f" at {end}" if span is not None and span[0] < span[1] else ""
    template = f"{words} <amount> too {word}{at_end}."
    if name == "armrest_height" and span is None:
        template = "The chair has no armrests, so the elbows have no support."
    asked = "seat_width" if name == "between_arms" else name
    return Shortfall(kind, asked, amount, Sentence(template, {"amount": amount}))


def _beside(
    range_: Range, fit: Fit, seat_height: float | None, footrest: Part | None
) -> Iterator[tuple[Kind, str, float, Sequence[Part]]]:
    """The footrest and desk raiser a fit calls for: the requirement, the mm needed, and the parts
    that may serve.

    ``seat_height`` is what the picked chair is set to, mm, loaded: where it stays above or below
    what the fit asked, the feet need that much more or less under them. ``footrest`` is the one
    chosen with the chair; None leaves it to the fit.
    """
    amount, asked = fit.quantities, fit.requirements.get("seat_height")
    if amount.get("footrest_needed") and "footrest_height" in amount:
        rest = float(amount["footrest_height"])
        if seat_height is not None and asked is not None:
            rest += seat_height - asked.target
        # A seat that stays low enough puts the feet on the floor.
        if round(rest) > 0:
            rests = (footrest,) if footrest else range_.on_sale("footrest")
            yield "footrest", "footrest_height", rest, rests
    if amount.get("desk_too_low") and "desk_raise" in amount:
        raisers = range_.on_sale("desk_raiser")
        yield "desk_raiser", "desk_raise", float(amount["desk_raise"]), raisers


def _none_on_sale(kind: Kind, requirement: str, target: float) -> Shortfall:
    amount = float(round(target))
    template = {
        "footrest": "The feet need a footrest of <amount>, and this range has none.",
        "desk_raiser": "The desk must be <amount> higher, and this range has no desk raiser.",
    }[kind]
    return Shortfall(kind, requirement, amount, Sentence(template, {"amount": amount}))


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


def made_ready(
    range_: Range, fit: Fit, parts: Mapping[Kind, Part], needs: Sequence[NeedLine]
) -> Picked:
    """The chair of these parts, set for a fit.

    ``parts`` holds one part of each of CHAIR_KINDS, and the footrest where one was chosen with it;
    a desk raiser, and a footrest that nothing chose, are added where the fit needs them.
    """
    chair, footrest = (
        {kind: parts[kind] for kind in CHAIR_KINDS if kind in parts},
        parts.get("footrest"),
    )
    ready = {**chair, "footrest": footrest} if footrest else dict(chair)
    settings, wanted = _settings(chair, fit.requirements), dict(fit.requirements)
    if chair["arms"].height is None and any(name == NO_ARMS_WANTED for name, *_ in needs):
        # Who wants no armrests misses none.
        wanted.pop("armrest_height", None)
    short = [*chair_shortfalls(chair, wanted)]
    if "footrest_height" in fit.missing:
        short = [_before_the_desk(lack, fit.requirements) for lack in short]
    for kind, name, target, offered in _beside(range_, fit, settings.get("seat_height"), footrest):
        travels = [(part, part.height if kind == "footrest" else part.raises) for part in offered]
        reaching = [(part, span) for part, span in travels if span is not None]
        if not reaching:
            short.append(_none_on_sale(kind, name, target))
            continue
        # The smallest part that reaches the target, or the one that comes nearest.
        part, span = min(
            reaching,
            key=lambda pair: (abs(missed(pair[1], target, target)), pair[1][1], pair[0].price),
        )
        ready[kind], settings[name] = part, nearest_setting(span, target)
        if miss := missed(span, target, target):
            short.append(shortfall(name, miss, span))
    met = tuple(need for need in needs if chair_has(chair.values(), need[0]))
    return Picked(
        parts=ready,
        settings=settings,
        shortfalls=tuple(short),
        price=range_.price_of(ready),
        lead_days=max(part.lead_days for part in range_.sold_as(ready)),
        met_needs=met,
    )


def _before_the_desk(short: Shortfall, wanted: Requirements) -> Shortfall:
    """Feet that hang from the lowest seat of a chair chosen for the desk that is likely: the
    footrest it needs is sold once the desk is known."""
    seat, desk = wanted["seat_height"], wanted.get("desk_height")
    reached = max(seat.high - seat.target, FEET_REACH)
    if short.requirement != "seat_height" or "too high" not in short.say.template:
        return short
    if short.mm <= reached:
        return short
    message = (
        "This chair needs a footrest at least <amount> high. It is ordered once the desk is known."
    )
    lengths = dict(short.say.lengths)
    if desk is not None:
        message += " If the desk can stand at <desk> or lower, ask for a lower chair instead."
        lengths["desk"] = desk.high
    return replace(
        short,
        part_kind="footrest",
        requirement="footrest_height",
        say=Sentence(message, lengths),
    )


def _settings(chair: Mapping[Kind, Part], wanted: Requirements) -> dict[str, float]:
    return {
        name: nearest_setting(span, wanted[name].target)
        for name, span in reach_of(chair).items()
        if span is not None and name in wanted and name in SETTABLE
    }
