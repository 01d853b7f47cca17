"""What must be said about a desk that does not simply suit, and about room for the thighs."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.fit import sources
from consult.fit.clearance import KEYBOARD, KEYBOARD_ABOVE
from consult.fit.result import FitNote
from consult.sentence import Sentence

if TYPE_CHECKING:
    from consult.fit.desk import Seating


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
        say += "The seat cannot be raised to meet it."
    else:
        say += "Raise the seat to <seat> and rest your feet <footrest> above the floor."
        if seating.keyboard_left_high:
            say += " The keyboard is then still <left> above your elbows."
    # A lower desk gives elbows what it takes from the thighs; those have a note of their own.
    if seating.keyboard_left_high and not seating.clearance.pinched:
        say += " A lower desk or a keyboard tray would help."
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
            f"the keyboard is at best <amount> above your elbows. {help_}."
        )
    else:
        lengths = {}
        say = f"{help_}."
    if seating.thighs_short:
        lengths["short"] = seating.thighs_short
        say = "Your thighs need <short> more room under the desk: raise the desk by that. " + say
    return FitNote("thigh_room_short", "note", Sentence(say, lengths), sources.THIGH_ROOM)
