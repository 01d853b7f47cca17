"""What must be said about a desk that does not simply suit, and about room for the thighs."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.fit import sources
from consult.fit.result import FitNote
from consult.fit.rules import KEYBOARD, KEYBOARD_ABOVE
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
    # A lower desk gives elbows what it takes from the thighs; those have a note of their own.
    lower_helps = bool(seating.keyboard_left_high) and not seating.clearance.pinched
    does: dict[str, str] = {}
    if not seating.raised_for_desk or seating.seat <= seating.feasible.base:
        say += "The seat cannot be raised to meet it."
        if lower_helps:
            does = {"desk": "lower"}
    else:
        say += "With the seat at <seat> and your feet "
        if seating.footrest:
            say += "<footrest> above the floor"
            does = {"seat": "raise", "footrest": "add"}
        else:
            # Only so far that the feet still stand on the floor.
            say += "on the floor"
            does = {"seat": "set"}
        if seating.keyboard_left_high:
            say += ", the keyboard is still <left> above your elbows."
        elif thigh_room_short(seating):
            say += ", your elbows are level with it."
        else:
            say += ", it should suit you."
    if lower_helps:
        say += " A lower desk or a keyboard tray would help."
    name = "desk_out_of_reach" if moves else "desk_too_high"
    return FitNote(name, "note", Sentence(say, lengths), sources.DESK_FIRST, does)


def _too_low(seating: Seating, moves: bool) -> FitNote:
    """How much too low; whether the desk may be raised is for the tree to ask."""
    said = "At its highest the desk is still" if moves else "The desk is"
    say = (
        f"{said} <amount> too low for you. Do not lower the seat to it: your legs would be bent "
        "too far."
    )
    name = "desk_out_of_reach" if moves else "desk_too_low"
    return FitNote(
        name, "note", Sentence(say, {"amount": seating.desk_raise}), sources.FOREARM_LEVEL
    )


_TAKE_OUT = (
    "Take out the drawer, or whatever else hangs above your lap, but no rail that holds the desk "
    "together. If nothing comes out, "
)


def _thighs(seating: Seating) -> FitNote:
    """One answer for thighs and elbows together.

    A desk that is too high already is never raised for the thighs; what hangs under it has to go.
    """
    short, pinched = seating.thighs_short, seating.clearance.pinched
    lengths = {"short": short, "amount": pinched + KEYBOARD}
    clears = {"under_desk": "remove"}
    may: dict[str, str] = {}
    say = "Your thighs need <short> more room under the desk. " if short else ""
    if short and seating.too_low:
        clears = {}
        say += "At the right height it gives them that."
    elif short and not pinched and not seating.too_high:
        may = {"desk": "raise"}
        say += f"{_TAKE_OUT}raise the desk by that."
    else:
        if pinched:
            say += (
                "The desk is so deep from its top to its underside that, with room for your "
                "thighs, the keyboard is at best <amount> above your elbows. "
            )
        say += f"{_TAKE_OUT}a desk with a thinner top would help."
    used = {name: mm for name, mm in lengths.items() if f"<{name}>" in say}
    return FitNote("thigh_room_short", "note", Sentence(say, used), sources.THIGH_ROOM, clears, may)
