"""Which loaded seat heights a range can give this caller, feet on the floor or on a footrest."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from consult.fit.workplace import Reach

Span = tuple[float, float]
ANY: Span = (-math.inf, math.inf)
ROUNDING = 1e-6
"""mm; sums and differences of the same lengths may part by less than this."""
FEET_REACH = 10.0
"""mm a seat may stand above the legs and the feet still rest on the floor: no tape is finer, and
the foot reaches as far (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Feasible:
    """Seat heights within reach, mm; the legs fix the footrest at seat height minus ``legs``."""

    legs: float
    """Seat height with the feet on the floor."""
    seat: Span
    footrest: Span
    """Footrest heights on sale; unlimited where the range names none, for one can be had."""
    floor: float = -math.inf
    """The caller may sit no lower, whatever is on sale."""

    @property
    def lowest(self) -> float:
        """The lowest seat that can be had and may be used."""
        return max(self.seat[0], self.floor)

    @property
    def on_footrest(self) -> Span | None:
        """Seat heights with the feet on a footrest of the range."""
        low = max(self.legs + self.footrest[0], self.lowest, self.legs)
        high = min(self.legs + self.footrest[1], self.seat[1])
        return (low, high) if low <= high else None

    @property
    def base(self) -> float:
        """The seat height when no desk asks for more.

        The height for the legs if the seat goes low enough. A seat that stops too low leaves the
        height as it is: it is still what the legs need, and the caller is told.
        """
        if self.legs >= self.lowest:
            return self.legs
        raised = self.on_footrest
        if raised is None or self.seat[0] <= self.floor <= self.legs + FEET_REACH:
            return self.lowest
        return raised[0]

    def nearest(self, target: float, wanted: Span, limit: float) -> float:
        """The seat height nearest the target that can be had.

        Within ``wanted`` if any such can be had there, and never above ``limit`` (the thighs)
        except for ``base``, below which nothing can be had.
        """
        spans = [(self.base, self.base)]
        if self.on_footrest:
            spans.append(self.on_footrest)
        within = _closest(target, spans, wanted)
        if within is not None:
            return within
        below = _closest(target, spans, (-math.inf, limit))
        return self.base if below is None else below

    def footrest_fits(self, height: float) -> bool:
        """The range can put the feet this high; the floor needs no footrest."""
        low, high = self.footrest
        return height == 0 or low - ROUNDING <= height <= high + ROUNDING


def feasible_of(legs: float, reach: Reach | None, floor: float = -math.inf) -> Feasible:
    """What a range can do for legs that want this seat height; no reach given: everything."""
    if reach is None:
        return Feasible(legs, ANY, ANY, floor)
    return Feasible(legs, reach.seat_height, reach.footrest_height or ANY, floor)


def _closest(target: float, spans: list[Span], wanted: Span) -> float | None:
    cut = [(max(low, wanted[0]), min(high, wanted[1])) for low, high in spans]
    points = [min(max(target, low), high) for low, high in cut if low <= high]
    return min(points, key=lambda point: (abs(point - target), point), default=None)
