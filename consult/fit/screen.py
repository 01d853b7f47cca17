"""Where the top of the screen goes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.fit import sources
from consult.fit.result import Requirement
from consult.fit.sitter import added, dimensions_in, spread_of

if TYPE_CHECKING:
    from consult.body.estimate import Estimate
    from consult.fit.desk import Seating
    from consult.fit.sitter import Sitter
    from consult.fit.workplace import Lenses

BELOW_EYES = 100.0
"""mm the screen top may be below the eyes; above them never."""
VARIFOCAL_LOWER = 50.0
"""mm lower for lenses that read through their lower half."""


def screen_requirement(
    estimate: Estimate, sitter: Sitter, seating: Seating, lenses: Lenses | None
) -> Requirement:
    """Top of the screen above the floor, for the seat as solved."""
    varifocal = lenses == "varifocal"
    high = seating.seat + sitter.eye - (VARIFOCAL_LOWER if varifocal else 0.0)
    reason = (
        "You look through the lower half of your lenses, so the screen goes lower and the neck "
        "does not tip back."
        if varifocal
        else "With the top at eye level or below, the eyes look a little down and the neck stays "
        "upright."
    )
    weights = added(seating.seat_weights, {"eye_height_sitting": 1.0})
    return Requirement(
        "screen_top",
        high,
        high - BELOW_EYES,
        high,
        spread_of(estimate, weights),
        "floor",
        f"{reason} People sit lower when they slump, so a little low is better than a little high.",
        sources.SCREEN_TOP_VARIFOCAL if varifocal else sources.SCREEN_TOP,
        dimensions_in(weights),
    )
