"""How far above the loaded seat a desk top may be: elbows from above, thighs from below."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from consult.fit.rules import desk_for_elbows, desk_for_thighs
from consult.fit.sitter import Weights

if TYPE_CHECKING:
    from consult.fit.sitter import Sitter


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
    low, target, high = desk_for_elbows(sitter.elbow)
    room = None if thickness is None else desk_for_thighs(sitter.thigh, thickness)
    least = low if room is None else room
    elbows, thighs = {"elbow_rest_height": 1.0}, {"thigh_clearance": 1.0}
    return Clearance(
        low=max(low, least),
        target=max(target, least),
        high=max(high, least),
        from_elbow=high,
        room=room,
        weights=thighs if least > target else elbows,
    )
