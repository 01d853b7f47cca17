"""Armrests: how high, and whether they meet the edge of the desk."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.fit import sources
from consult.fit.result import FitNote
from consult.fit.rules import armrests
from consult.sentence import Sentence

if TYPE_CHECKING:
    from consult.fit.desk import Seating
    from consult.fit.sitter import Sitter
    from consult.fit.workplace import Workplace

ASSUMED_THICKNESS = 25.0
"""mm of a plain board, taken only to tell whether arms pass below it (common practice)."""


def arms_meet_desk(sitter: Sitter, workplace: Workplace, seating: Seating) -> bool | None:
    """Armrests low enough to be of use still meet the desk; None where it cannot be told."""
    desk = workplace.desk
    fixed = desk.kind == "fixed" and desk.height is not None
    if workplace.close_to_desk is False:
        return False
    if workplace.close_to_desk is None or not (fixed or desk.kind == "adjustable"):
        return None
    surface = seating.top[0] if fixed else seating.desk
    thickness = ASSUMED_THICKNESS if desk.thickness is None else desk.thickness
    lowest_arm = seating.seat + armrests(sitter.elbow)[0]
    return bool(lowest_arm > surface - thickness)


def arms_note(thickness: float | None) -> FitNote:
    """What to do about armrests that meet the desk edge."""
    say = (
        "Armrests at elbow height would meet the edge of the desk and keep you away from it. "
        "Armrests that slide back, or out of its way, let you come close."
    )
    if thickness is not None:
        return FitNote("arms_meet_desk", "note", Sentence(say), sources.ARMS_AT_DESK)
    say += " We took the desk top to be <thickness> thick."
    lengths = {"thickness": ASSUMED_THICKNESS}
    return FitNote("arms_meet_desk", "note", Sentence(say, lengths), sources.ARMS_AT_DESK)
