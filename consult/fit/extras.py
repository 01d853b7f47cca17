"""What is sold beside the chair, where the workplace needs it: a footrest, a desk raiser."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from consult.fit.range_model import Kind, Part, Range, Span
from consult.fit.result import Fit
from consult.fit.shortfall import Shortfall, missed, nearest_setting, shortfall
from consult.sentence import Sentence

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
