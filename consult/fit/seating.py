"""The workplace of one body solved: seat, footrest and desk as one.

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
from functools import cached_property
from typing import TYPE_CHECKING

from consult.fit.rules import (
    ELBOWS,
    KEYBOARD_ABOVE,
    KEYBOARD_BELOW,
    Sitter,
    Weights,
    added,
    desk_above_seat,
    desk_for_elbows,
    desk_for_thighs,
    seat_heights,
)
from consult.range.parts import ANY, Span

if TYPE_CHECKING:
    from consult.fit.workplace import Desk
    from consult.range.model import Reach

SEAT_ROUNDING = 1e-6
"""mm; sums and differences of the same lengths may part by less than this."""
FEET_REACH = 15.0
"""mm a seat may stand above the legs before a footrest is called for: the error of a leg measured
at home (SD 15 mm, population file), and the foot reaches as far (common practice, no source)."""


@dataclass(frozen=True)
class Seating:
    """One body at one desk, mm from the floor; every answer is worked out when it is first read."""

    sitter: Sitter
    desk: Desk
    reach: Reach | None = None
    """Keeps seat and footrest to what is on sale."""

    # -- what there is

    @property
    def top(self) -> Span:
        """Heights the desk top can take; infinite where not known."""
        return self.desk.top

    @property
    def seats(self) -> Span:
        """Loaded seat heights on sale."""
        return self.reach.seat_height if self.reach else ANY

    @property
    def rests(self) -> Span:
        """Footrest heights on sale; unlimited where the range names none, for one can be had."""
        return (self.reach and self.reach.footrest_height) or ANY

    # -- the seat that the legs want

    @property
    def legs(self) -> float:
        """Seat height with the feet on the floor."""
        return self.sitter.seat_for_legs

    @property
    def floor(self) -> float:
        """The caller may sit no lower, whatever is on sale."""
        return self.sitter.lowest_seat

    @property
    def feet_reach(self) -> float:
        """mm above ``legs`` at which the feet still rest on the floor."""
        return max(FEET_REACH, float(self.sitter.on_floor[2]) - self.legs)

    @cached_property
    def base(self) -> float:
        """The seat height when no desk asks for more.

        The height for the legs if the seat goes low enough. A seat that stops too low leaves the
        height as it is: it is still what the legs need, and the caller is told.
        """
        base = max(self.legs, self.seats[0], self.floor)
        lowest = self.legs + self.rests[0]
        # Where the knees may not rise, a footrest no higher than needed is all that serves.
        if self.legs <= self.sitter.on_floor[0] and self.legs + self.feet_reach < base:
            return max(base, min(lowest, self.seats[1]))
        return base

    # -- the desk above the seat

    @cached_property
    def above(self) -> tuple[float, float, float]:
        """Desk top above the loaded seat: the band of the elbows, pushed up for the thighs."""
        body = self.sitter
        low, best, high = desk_above_seat(body.elbow, body.thigh, self.desk.thickness)
        return float(low), float(best), float(high)

    @property
    def from_elbow(self) -> float:
        """The highest desk top above the seat that the elbows accept."""
        return float(desk_for_elbows(self.sitter.elbow)[2])

    @property
    def room(self) -> float | None:
        """What the thighs and the desk's thickness need; None where the thickness is not known."""
        thickness = self.desk.thickness
        return None if thickness is None else float(desk_for_thighs(self.sitter.thigh, thickness))

    @property
    def pinched(self) -> float:
        """mm by which elbows and thighs cannot both be suited at such a desk; 0 when they can."""
        return 0.0 if self.room is None else max(0.0, self.room - self.from_elbow)

    @property
    def above_weights(self) -> Weights:
        """What the best of ``above`` is made of."""
        by_thighs = self.above[1] > desk_for_elbows(self.sitter.elbow)[1]
        return {"thigh_clearance": 1.0} if by_thighs else ELBOWS

    # -- the solution

    @property
    def _least(self) -> float:
        """The lowest seat from which some height of the desk suits elbows and thighs."""
        return self.top[0] - self.above[2]

    @property
    def raised_for_desk(self) -> bool:
        """The desk calls for more seat height than the legs do."""
        return self._least > self.base

    @property
    def wanted_seat(self) -> float:
        """The seat height that body and desk call for, whatever the range can do."""
        return max(self.base, self._least)

    @cached_property
    def seat(self) -> float:
        """The same as far as range and footrests go."""
        highest = max(self.base, min(self.seats[1], self.legs + self.rests[1]))
        return min(self.wanted_seat, highest)

    @property
    def seat_band(self) -> Span:
        """Acceptable loaded seat heights around the solved one."""
        on_floor, raised, least = self.sitter.on_floor, self.seat - self.legs, self.floor
        if not raised:  # a desk that wants more cannot have it, and has no say
            low, high = seat_heights(on_floor, ANY, least)
            return float(low), float(high)
        low, high = seat_heights(on_floor, (self._least, math.inf), least, (0.0, raised))
        return min(float(low), self.seat), max(float(high), self.top[0] - self.above[0])

    @property
    def seat_weights(self) -> Weights:
        """What decided the seat height; nothing of the body where an end of the range, or what the
        caller was told, did."""
        if self.seat == self.legs:
            return self.sitter.leg_weights
        if self.seat == self._least:
            return added({}, self.above_weights, -1)
        return {} if self.seat in (*self.seats, self.floor) else self.sitter.leg_weights

    @property
    def desk_height(self) -> float:
        """Desk height that suits the seat, within the reach of a desk that moves."""
        return self._within(self.seat + self.above[1])

    @property
    def desk_band(self) -> Span:
        """Acceptable desk heights around it."""
        return self._within(self.seat + self.above[0]), self._within(self.seat + self.above[2])

    @property
    def desk_weights(self) -> Weights:
        """What it is made of: the end of a desk's reach is known, however little the body is."""
        moved = self.desk_height != self.seat + self.above[1]
        return {} if moved else added(self.seat_weights, self.above_weights)

    def _within(self, height: float) -> float:
        if self.desk.kind != "adjustable":
            return height
        return min(max(height, self.top[0]), self.top[1])

    @cached_property
    def footrest(self) -> float:
        """How high to put the feet: as on the floor, or as near as the knees allow to the lowest
        footrest; 0 where they reach the floor."""
        height, lowest = self.seat - self.legs, self.rests[0]
        if height <= self.feet_reach + SEAT_ROUNDING:
            return 0.0
        bends = self.seat - lowest >= self.sitter.on_floor[0] - SEAT_ROUNDING
        return max(height, lowest) if bends else height

    # -- what it leaves

    @property
    def too_high(self) -> float:
        """mm the lowest desk stands above what suits the elbows at the seat the legs want, or 0."""
        over = self.top[0] - self.base - self.from_elbow
        if self.raised_for_desk and not self.keyboard_left_high and not self.footrest:
            return 0.0  # a seat that meets it with the feet still on the floor
        return _past(over, over + KEYBOARD_ABOVE)

    @property
    def too_low(self) -> float:
        """mm the highest desk must rise to suit; 0 if the elbows accept it as it is."""
        elbows_low = self.from_elbow - KEYBOARD_ABOVE - KEYBOARD_BELOW
        return _past(self.seat + elbows_low - self.top[1], self.seat + self.above[1] - self.top[1])

    @property
    def thighs_short(self) -> float:
        """mm of room missing between seat and desk; 0 if there is enough or it is not known."""
        if self.room is None:
            return 0.0
        short = self.seat + self.room - self.top[1]
        return _past(short, short)

    @property
    def desk_raise(self) -> float:
        """mm to raise the desk by so that elbows and thighs are suited."""
        return self.too_low or self.thighs_short

    @property
    def keyboard_left_high(self) -> float:
        """mm the keyboard still stands above the highest the elbows accept; 0 if it does not."""
        over = self.top[0] - self.seat - self.from_elbow
        return _past(over, over)


def _past(test: float, amount: float) -> float:
    """``amount`` where ``test`` says that a band is left, else 0."""
    return amount if test > SEAT_ROUNDING and math.isfinite(amount) else 0.0
