"""The chair that suits a fit best, out of everything the range can build.

Chairs are compared in this order: features the caller must have and would miss, whole millimetres
by which the chair cannot be set right, preferred features missing, price, lead time, place in the
range file. A chair rated for less than the caller's mass is left out before any comparison.

Parts touch each other in two places only: the foam of the seat and the height of the castors shift
the seat height, and the foam shifts the armrests. So every part is judged alone, and the verdicts
are added up over all chairs at once, one array axis a kind of part.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from consult.fit.extras import extras
from consult.fit.range_model import (
    CHAIR_KINDS,
    Kind,
    Part,
    Range,
    arms_above_loaded_seat,
    loaded_seat_height,
    which_go_together,
)
from consult.fit.result import Fit
from consult.fit.shortfall import (
    Requirements,
    Shortfall,
    arms_miss,
    between_miss,
    chair_shortfalls,
    depth_miss,
    height_miss,
    nearest_setting,
    width_miss,
)
from consult.sentence import Sentence

NeedLine = tuple[str, Literal["must", "prefer"], str]
"""A feature, how much it matters, and why."""

_Parts = Sequence[Sequence[Part]]
_Verdict = NDArray[np.float64]


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


def pick(range_: Range, fit: Fit, mass: float | None, needs: Sequence[NeedLine]) -> Picked:
    """The best chair for a fit.

    ``mass`` is in kg and the heaviest the caller may well be; None leaves ratings out of account,
    for a caller whose mass is still to be asked. So is any requirement the fit does not have.

    Raises:
        ValueError: the range builds no chair at all; a range that was loaded builds some.
    """
    parts = [range_.on_sale(kind) for kind in CHAIR_KINDS]
    left = which_go_together(range_)
    if not left.any():
        raise ValueError("no chair of this range can be built")
    if mass is not None:
        for axis, of_kind in enumerate(parts):
            left &= _along([_carries(part, mass) for part in of_kind], axis) > 0
        if not left.any():
            return _none_carries(parts, mass, needs)
    must = {feature for feature, strength, _ in needs if strength == "must"}
    prefer = {feature for feature, *_ in needs} - must
    verdicts = (
        _missing(parts, must),
        _misses(parts, fit.requirements),
        _missing(parts, prefer),
        _summed([[round(part.price * 100) for part in of_kind] for of_kind in parts]),
        _slowest(parts),
    )
    for verdict in verdicts:
        everywhere = np.broadcast_to(verdict, left.shape)
        left &= everywhere == everywhere[left].min()
    first = np.unravel_index(int(left.argmax()), left.shape)
    chair = {kind: parts[axis][int(first[axis])] for axis, kind in enumerate(CHAIR_KINDS)}
    return _picked(range_, fit, chair, needs)


def chair_has(chair: Iterable[Part], feature: str) -> bool:
    """Whether a part has the feature; for heavy duty, whether every part with a rating has it."""
    if feature == "heavy_duty":
        rated = [part for part in chair if part.rating is not None]
        return bool(rated) and all(feature in part.features for part in rated)
    return any(feature in part.features for part in chair)


def _picked(
    range_: Range, fit: Fit, chair: Mapping[Kind, Part], needs: Sequence[NeedLine]
) -> Picked:
    settings = _settings(chair, fit.requirements)
    beside = extras(range_, fit, settings.get("seat_height"))
    parts = {**chair, **{extra.kind: extra.part for extra in beside if extra.part is not None}}
    settings |= {extra.requirement: extra.setting for extra in beside if extra.part is not None}
    short = [*chair_shortfalls(chair, fit.requirements)]
    short += [extra.shortfall for extra in beside if extra.shortfall is not None]
    met = tuple(need for need in needs if chair_has(chair.values(), need[0]))
    return Picked(
        parts=parts,
        settings=settings,
        shortfalls=tuple(short),
        price=sum(round(part.price * 100) for part in parts.values()) / 100,
        lead_days=max(part.lead_days for part in parts.values()),
        met_needs=met,
        unmet_needs=tuple(need for need in needs if need not in met),
    )


def _settings(chair: Mapping[Kind, Part], wanted: Requirements) -> dict[str, float]:
    seat = chair["seat"]
    spans = {
        "seat_height": loaded_seat_height(seat, chair["gas_lift"], chair["castors"]),
        "seat_depth": seat.depth,
        "armrest_height": arms_above_loaded_seat(seat, chair["arms"]),
    }
    return {
        name: nearest_setting(span, wanted[name].target)
        for name, span in spans.items()
        if span is not None and name in wanted
    }


def _none_carries(parts: _Parts, mass: float, needs: Sequence[NeedLine]) -> Picked:
    """No chair at all, rather than one that may break under the caller."""
    weak = (
        kind
        for kind, of_kind in zip(CHAIR_KINDS, parts, strict=True)
        if not any(_carries(part, mass) for part in of_kind)
    )
    said = "No chair of this range is rated to carry this weight; none of them may be offered."
    short = Shortfall(next(weak, None), "rating", 0.0, Sentence(said))
    return Picked({}, {}, (short,), 0.0, 0, (), tuple(needs))


def _carries(part: Part, mass: float) -> bool:
    return part.rating is None or part.rating >= mass


def _along(values: ArrayLike, *axes: int) -> _Verdict:
    """Values of the parts of some kinds, laid along the axes of those kinds."""
    array = np.asarray(values, dtype=np.float64)
    shape = [1] * len(CHAIR_KINDS)
    for axis, size in zip(axes, array.shape, strict=True):
        shape[axis] = size
    return array.reshape(shape)


def _summed(values: Sequence[Sequence[float]]) -> _Verdict:
    total = _along(0)
    for axis, of_kind in enumerate(values):
        total = total + _along(of_kind, axis)
    return total


def _slowest(parts: _Parts) -> _Verdict:
    slowest = _along(0)
    for axis, of_kind in enumerate(parts):
        slowest = np.maximum(slowest, _along([part.lead_days for part in of_kind], axis))
    return slowest


def _missing(parts: _Parts, features: set[str]) -> _Verdict:
    """How many of the features each chair does without; the array twin of ``chair_has``."""
    total = _along(0)
    for feature in features:
        has = [[feature in part.features for part in of_kind] for of_kind in parts]
        lacks = _summed(has) == 0
        if feature == "heavy_duty":
            rated = [[part.rating is not None for part in of_kind] for of_kind in parts]
            heavy = [
                [part.rating is not None and feature in part.features for part in of_kind]
                for of_kind in parts
            ]
            lacks = (_summed(heavy) == 0) | (_summed(heavy) < _summed(rated))
        total = total + lacks
    return total


def _misses(parts: _Parts, wanted: Requirements) -> _Verdict:
    """Whole mm by which each chair misses the requirements, all added up."""
    seats, lifts, _, _, arms, castors = parts
    heights = [
        [[abs(height_miss(seat, lift, wheels, wanted)) for wheels in castors] for lift in lifts]
        for seat in seats
    ]
    at_seat = [abs(depth_miss(seat, wanted)) + abs(width_miss(seat, wanted)) for seat in seats]
    at_arms = [
        [abs(arms_miss(seat, pair, wanted)) + abs(between_miss(pair, wanted)) for pair in arms]
        for seat in seats
    ]
    return _along(heights, 0, 1, 5) + _along(at_seat, 0) + _along(at_arms, 0, 4)
