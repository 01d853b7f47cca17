"""Which loaded seat heights a range can give this caller, feet on the floor or on a footrest.

The seat follows legs and desk without a jump: it stands as the legs want it, no lower than the
range or the caller's limits allow, and rises only as far as brings the elbows within what they
accept. Longer legs never get a lower seat. Feet that hang by less than a tape can tell need
nothing; a footrest that starts higher than needed bends the knees a little more.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from consult.fit.rules import Band
    from consult.fit.workplace import Reach

Span = tuple[float, float]
ANY: Span = (-math.inf, math.inf)
ROUNDING = 1e-6
"""mm; sums and differences of the same lengths may part by less than this."""
FEET_REACH = 15.0
"""mm a seat may stand above the legs before a footrest is called for: the error of a leg measured
at home (SD 15 mm, population file), and the foot reaches as far (common practice, no source)."""


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
        if self.legs <= self.on_floor[0] and self.legs + self.feet_reach < base < lowest:
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


def feasible_of(on_floor: Band, reach: Reach | None, floor: float = -math.inf) -> Feasible:
    """What a range can do for these legs; no reach given: everything."""
    if reach is None:
        return Feasible(on_floor, ANY, ANY, floor)
    return Feasible(on_floor, reach.seat_height, reach.footrest_height or ANY, floor)
