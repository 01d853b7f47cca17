"""The workplace solved: seat, footrest and desk as one.

A desk is a span of heights its top can take: one height if it is fixed, its reach if it moves,
everything where nothing is known or nothing is bought. The seat follows legs and desk without a
jump: it stands as the legs want it, no lower than the range or the caller's limits allow, and
rises only as far as brings the elbows within what they accept; the feet follow on a footrest.
Longer legs never get a lower seat. Feet that hang by less than a tape can tell need nothing; a
footrest that starts higher than needed bends the knees a little more. A desk that is too low
never folds the legs: the desk must rise.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from consult.fit.requirements import ELBOWS, Sitter, Weights, added
from consult.fit.rules import (
    KEYBOARD_ABOVE,
    KEYBOARD_BELOW,
    Band,
    desk_above_seat,
    desk_for_elbows,
    desk_for_thighs,
    seat_heights,
)
from consult.range.parts import ANY, Span

if TYPE_CHECKING:
    from consult.fit.workplace import Desk
    from consult.range.model import Reach

ROUNDING = 1e-6
"""mm; sums and differences of the same lengths may part by less than this."""
FEET_REACH = 15.0
"""mm a seat may stand above the legs before a footrest is called for: the error of a leg measured
at home (SD 15 mm, population file), and the foot reaches as far (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Clearance:
    """Desk top above the loaded seat, mm; low <= target <= high."""

    low: float
    target: float
    high: float
    from_elbow: float
    """The highest desk top the elbows accept."""
    room: float | None
    """What the thighs and the desk's thickness need; None where the thickness is not known."""
    weights: Weights
    """What the target is made of."""

    @property
    def pinched(self) -> float:
        """mm by which elbows and thighs cannot both be suited at such a desk; 0 when they can."""
        return 0.0 if self.room is None else max(0.0, self.room - self.from_elbow)


def clearance_of(sitter: Sitter, thickness: float | None) -> Clearance:
    """The band of the elbows, pushed up where the thighs need it."""
    _, best, highest = desk_for_elbows(sitter.elbow)
    low, target, high = map(float, desk_above_seat(sitter.elbow, sitter.thigh, thickness))
    return Clearance(
        low,
        target,
        high,
        from_elbow=highest,
        room=None if thickness is None else desk_for_thighs(sitter.thigh, thickness),
        weights={"thigh_clearance": 1.0} if target > best else ELBOWS,
    )


@dataclass(frozen=True, slots=True)
class Feasible:
    """Seat and footrest heights within reach, mm."""

    on_floor: Band
    """Seat heights with the feet on the floor: folded, best, hanging above."""
    seat: Span
    footrest: Span
    """Footrest heights on sale; unlimited where the range names none, for one can be had."""
    floor: float = -math.inf
    """The caller may sit no lower, whatever is on sale."""

    @property
    def legs(self) -> float:
        """Seat height with the feet on the floor."""
        return float(self.on_floor[1])

    @property
    def feet_reach(self) -> float:
        """mm above ``legs`` at which the feet still rest on the floor."""
        return max(FEET_REACH, float(self.on_floor[2]) - self.legs)

    @property
    def base(self) -> float:
        """The seat height when no desk asks for more.

        The height for the legs if the seat goes low enough. A seat that stops too low leaves the
        height as it is: it is still what the legs need, and the caller is told.
        """
        base = max(self.legs, self.seat[0], self.floor)
        lowest = self.legs + self.footrest[0]
        # Where the knees may not rise, a footrest no higher than needed is all that serves.
        if self.legs <= self.on_floor[0] and self.legs + self.feet_reach < base:
            return max(base, min(lowest, self.seat[1]))
        return base

    @property
    def highest(self) -> float:
        """The highest seat that range and footrests allow for a desk."""
        return max(self.base, min(self.seat[1], self.legs + self.footrest[1]))

    def seat_for(self, least: float) -> float:
        """The seat height where the desk calls for ``least``, as far as it can be had."""
        return min(max(self.base, least), self.highest)

    def footrest_at(self, seat: float) -> float:
        """How high to put the feet at a seat height: as on the floor, or as near as the knees
        allow to the lowest footrest; 0 where they reach the floor."""
        height = seat - self.legs
        if height <= self.feet_reach + ROUNDING:
            return 0.0
        lowest = self.footrest[0]
        return max(height, lowest) if seat - lowest >= self.on_floor[0] - ROUNDING else height

    def footrest_fits(self, height: float) -> bool:
        """The range can put the feet this high; the floor needs no footrest."""
        low, high = self.footrest
        return height == 0 or low - ROUNDING <= height <= high + ROUNDING


@dataclass(frozen=True, slots=True)
class Seating:
    """The solution, mm from the floor."""

    seat: float
    wanted_seat: float
    """The seat height that body and desk call for, whatever the range can do."""
    seat_band: Span
    seat_weights: Weights
    desk: float
    """Desk height that suits the seat, within the reach of a desk that moves."""
    desk_band: Span
    desk_weights: Weights
    top: Span
    """Heights the desk top can take; infinite where not known."""
    clearance: Clearance
    feasible: Feasible

    @property
    def footrest(self) -> float:
        """How high the feet are put; 0 where they reach the floor."""
        return self.feasible.footrest_at(self.seat)

    @property
    def too_high(self) -> float:
        """mm the lowest desk stands above what suits the elbows at the seat the legs want, or 0."""
        over = self.top[0] - self.feasible.base - self.clearance.from_elbow
        if self.raised_for_desk and not self.keyboard_left_high and not self.footrest:
            return 0.0  # a seat that meets it with the feet still on the floor
        return _past(over, over + KEYBOARD_ABOVE)

    @property
    def too_low(self) -> float:
        """mm the highest desk must rise to suit; 0 if the elbows accept it as it is."""
        elbows_low = self.clearance.from_elbow - KEYBOARD_ABOVE - KEYBOARD_BELOW
        return _past(
            self.seat + elbows_low - self.top[1], self.seat + self.clearance.target - self.top[1]
        )

    @property
    def thighs_short(self) -> float:
        """mm of room missing between seat and desk; 0 if there is enough or it is not known."""
        if self.clearance.room is None:
            return 0.0
        short = self.seat + self.clearance.room - self.top[1]
        return _past(short, short)

    @property
    def desk_raise(self) -> float:
        """mm to raise the desk by so that elbows and thighs are suited."""
        return self.too_low or self.thighs_short

    @property
    def raised_for_desk(self) -> bool:
        """The desk calls for more seat height than the legs do."""
        return self.top[0] - self.clearance.high > self.feasible.base

    @property
    def keyboard_left_high(self) -> float:
        """mm the keyboard still stands above the highest the elbows accept; 0 if it does not."""
        over = self.top[0] - self.seat - self.clearance.from_elbow
        return _past(over, over)


def seat_at(sitter: Sitter, desk: Desk, reach: Reach | None) -> Seating:
    """Solve the workplace of one body; ``reach`` keeps seat and footrest to what is on sale."""
    clearance = clearance_of(sitter, desk.thickness)
    feasible = Feasible(
        sitter.on_floor,
        reach.seat_height if reach else ANY,
        (reach and reach.footrest_height) or ANY,
        sitter.lowest_seat,
    )
    top = desk.top
    # The lowest seat from which some height of the desk suits elbows and thighs.
    least = top[0] - clearance.high
    wanted, seat = max(feasible.base, least), feasible.seat_for(least)
    low, high = _seat_band(sitter, seat, clearance, top)
    weights = _seat_weights(sitter, seat, clearance, top, feasible)
    desk_band = (seat + clearance.low, seat + clearance.high)
    target, desk_weights = seat + clearance.target, added(weights, clearance.weights)
    if desk.kind == "adjustable":
        desk_band = (_clip(desk_band[0], top), _clip(desk_band[1], top))
        within = _clip(target, top)
        # The end of a desk's reach is known, however little the body is.
        target, desk_weights = within, desk_weights if within == target else {}
    return Seating(
        seat=seat,
        wanted_seat=wanted,
        seat_band=(low, high),
        seat_weights=weights,
        desk=target,
        desk_band=desk_band,
        desk_weights=desk_weights,
        top=top,
        clearance=clearance,
        feasible=feasible,
    )


def _seat_band(sitter: Sitter, seat: float, clearance: Clearance, top: Span) -> Span:
    """Acceptable loaded seat heights around the solved one."""
    on_floor, raised = sitter.on_floor, seat - sitter.seat_for_legs
    if not raised:  # a desk that wants more cannot have it, and has no say
        low, high = seat_heights(on_floor, ANY, sitter.lowest_seat)
        return float(low), float(high)
    suits = (top[0] - clearance.high, math.inf)
    low, high = seat_heights(on_floor, suits, sitter.lowest_seat, (0.0, raised))
    return min(float(low), seat), max(float(high), top[0] - clearance.low)


def _seat_weights(
    sitter: Sitter, seat: float, clearance: Clearance, top: Span, feasible: Feasible
) -> Weights:
    """What decided the seat height; nothing of the body where an end of the range, or what the
    caller was told, did."""
    if seat == feasible.legs:
        return sitter.leg_weights
    if seat == top[0] - clearance.high:
        return added({}, clearance.weights, -1)
    return {} if seat in (*feasible.seat, feasible.floor) else sitter.leg_weights


def _clip(value: float, span: Span) -> float:
    return min(max(value, span[0]), span[1])


def _past(test: float, amount: float) -> float:
    """``amount`` where ``test`` says that a band is left, else 0."""
    return amount if test > ROUNDING and math.isfinite(amount) else 0.0
