"""The desk for standing work."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.fit import sources
from consult.fit.result import FitNote, Requirement
from consult.fit.rules import desk_for_elbows
from consult.fit.sitter import dimensions_in, spread_of
from consult.sentence import Sentence

if TYPE_CHECKING:
    from consult.body.estimate import Estimate
    from consult.fit.sitter import Sitter


def standing_requirement(estimate: Estimate, sitter: Sitter) -> Requirement:
    """Desk height for standing, mm from the floor.

    What a person is taller standing than sitting lifts the elbow by as much.
    """
    elbow = sitter.stature - sitter.sitting_height + sitter.elbow + sitter.heel
    low, target, high = desk_for_elbows(elbow)
    weights = {"stature": 1.0, "sitting_height": -1.0, "elbow_rest_height": 1.0}
    return Requirement(
        "standing_desk_height",
        target,
        low,
        high,
        spread_of(estimate, weights),
        "floor",
        "Standing, too, the forearms should lie about level on the keyboard.",
        sources.STANDING,
        dimensions_in(weights),
    )


def stays_low_note(standing: Requirement, highest: float) -> FitNote | None:
    """The desk does not go up to standing height; None where it does."""
    if highest >= standing.low:
        return None
    return FitNote(
        "desk_stays_low_standing",
        "note",
        Sentence(
            "At its highest the desk is <amount> too low for standing.",
            {"amount": standing.target - highest},
        ),
        sources.STANDING,
    )
