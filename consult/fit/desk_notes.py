"""What must be said about a desk that does not simply suit, and about thighs and arms at it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.fit import sources
from consult.fit.clearance import KEYBOARD, KEYBOARD_ABOVE
from consult.fit.result import FitNote
from consult.sentence import Sentence

if TYPE_CHECKING:
    from consult.fit.desk import Seating
    from consult.fit.sitter import Sitter
    from consult.fit.workplace import Workplace

ASSUMED_THICKNESS = 25.0
"""mm of a plain board, taken only to tell whether arms pass below it (common practice)."""


def desk_notes(seating: Seating, moves: bool) -> list[FitNote]:
    """Too high, too low, too little room for the thighs; ``moves``: the desk is adjustable."""
    notes = []
    if seating.too_high:
        notes.append(_too_high(seating, moves))
    if seating.too_low:
        notes.append(_too_low(seating, moves))
    if thigh_room_short(seating):
        notes.append(_thighs(seating))
    return notes


def thigh_room_short(seating: Seating) -> bool:
    """The thighs lack room, or have it only at the cost of the elbows."""
    return bool(seating.thighs_short or seating.clearance.pinched)


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
    lowest_arm = seating.seat + sitter.elbow - ARM_BAND
    return lowest_arm > surface - thickness


ARM_BAND = 20.0
"""mm an armrest may be above or below the elbow."""


def arms_note(thickness: float | None) -> FitNote:
    """What to do about armrests that meet the desk edge."""
    say = (
        "Armrests at elbow height would meet the edge of the desk and keep you away from it. "
        "Arms that slide back or swing away, or no arms, let you come close."
    )
    if thickness is not None:
        return FitNote("arms_meet_desk", "note", Sentence(say), sources.ARMS_AT_DESK)
    say += " The desk top was taken to be <thickness> thick."
    lengths = {"thickness": ASSUMED_THICKNESS}
    return FitNote("arms_meet_desk", "note", Sentence(say, lengths), sources.ARMS_AT_DESK)


def _too_high(seating: Seating, moves: bool) -> FitNote:
    said = "At its lowest the desk is still" if moves else "The desk is"
    say = f"{said} <excess> too high for a seat that suits your legs. "
    lengths = {
        "excess": seating.too_high,
        "seat": seating.seat,
        "footrest": seating.footrest,
        "left": seating.keyboard_left_high + KEYBOARD_ABOVE,
    }
    if not seating.raised_for_desk or seating.seat <= seating.feasible.base:
        say += "The seat cannot be raised to meet it, so the desk should come down."
    else:
        say += "Raise the seat to <seat> and rest your feet <footrest> above the floor."
        if seating.keyboard_left_high:
            say += " The keyboard is then still <left> above your elbows; a lower desk would help."
    name = "desk_out_of_reach" if moves else "desk_too_high"
    return FitNote(name, "note", Sentence(say, lengths), sources.DESK_FIRST)


def _too_low(seating: Seating, moves: bool) -> FitNote:
    said = "At its highest the desk is still too low" if moves else "The desk is too low"
    say = f"{said} for you. Raise it by <amount>; do not lower the seat, for that folds your legs."
    name = "desk_out_of_reach" if moves else "desk_too_low"
    return FitNote(
        name, "note", Sentence(say, {"amount": seating.desk_raise}), sources.FOREARM_LEVEL
    )


def _thighs(seating: Seating) -> FitNote:
    help_ = "A thinner desk edge, a drawer moved aside or a keyboard tray would help"
    if seating.clearance.pinched:
        lengths = {"amount": seating.clearance.pinched + KEYBOARD}
        say = (
            "The desk is so deep from its top to its underside that, with room for your thighs, "
            f"the keyboard is <amount> above your elbows. {help_}."
        )
    else:
        lengths = {}
        say = f"{help_}."
    if seating.thighs_short:
        lengths["short"] = seating.thighs_short
        say = "Your thighs need <short> more room under the desk: raise the desk by that. " + say
    return FitNote("thigh_room_short", "note", Sentence(say, lengths), sources.THIGH_ROOM)
