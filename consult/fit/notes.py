"""What must be said about a workplace that does not simply suit.

A desk too high or too low, no room for the thighs, armrests that meet the desk, a seat or a
footrest that the range on sale cannot give.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.fit.requirements import FitNote
from consult.fit.rules import KEYBOARD, KEYBOARD_ABOVE, Source, armrests
from consult.fit.seating import ROUNDING, Seating
from consult.fit.workplace import DEFAULT_HEEL
from consult.moves import Moves
from consult.sentence import Sentence

if TYPE_CHECKING:
    from consult.fit.requirements import Requirement
    from consult.fit.workplace import Workplace


ASSUMED_THICKNESS = 25.0
"""mm of a plain board, taken only to tell whether arms pass below it (common practice)."""


def arms_meet_desk(workplace: Workplace, seating: Seating) -> bool | None:
    """Armrests low enough to be of use still meet the desk; None where it cannot be told."""
    desk = workplace.desk
    fixed = desk.kind == "fixed" and desk.height is not None
    if workplace.close_to_desk is False:
        return False
    if workplace.close_to_desk is None or not (fixed or desk.kind == "adjustable"):
        return None
    surface = seating.top[0] if fixed else seating.desk_height
    thickness = ASSUMED_THICKNESS if desk.thickness is None else desk.thickness
    lowest_arm = seating.seat + armrests(seating.sitter.elbow)[0]
    return bool(lowest_arm > surface - thickness)


def arms_note(thickness: float | None) -> FitNote:
    """What to do about armrests that meet the desk edge."""
    say = (
        "Armrests at elbow height would meet the edge of the desk and keep you away from it. "
        "Armrests that slide back, or out of its way, let you come close."
    )
    if thickness is not None:
        return FitNote("arms_meet_desk", "note", Sentence(say), Source.ARMS_AT_DESK)
    say += " We took the desk top to be <thickness> thick."
    lengths = {"thickness": ASSUMED_THICKNESS}
    return FitNote("arms_meet_desk", "note", Sentence(say, lengths), Source.ARMS_AT_DESK)


def desk_notes(seating: Seating) -> list[FitNote]:
    """Too high, too low, too little room for the thighs."""
    notes, moves = [], seating.desk.kind == "adjustable"
    if seating.too_high:
        notes.append(_too_high(seating, moves))
    if seating.too_low:
        notes.append(_too_low(seating, moves))
    if thigh_room_short(seating):
        notes.append(_thighs(seating))
    return notes


def thigh_room_short(seating: Seating) -> bool:
    """The thighs lack room, or have it only at the cost of the elbows."""
    return bool(seating.thighs_short or seating.pinched)


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
    lower_helps = bool(seating.keyboard_left_high) and not seating.pinched
    does: dict[str, str] = {}
    if not seating.raised_for_desk or seating.seat <= seating.base:
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
    return FitNote(name, "note", Sentence(say, lengths), Source.DESK_FIRST, does)


def _too_low(seating: Seating, moves: bool) -> FitNote:
    """How much too low; whether the desk may be raised is for the tree to ask."""
    said = "At its highest the desk is still" if moves else "The desk is"
    say = (
        f"{said} <amount> too low for you. Do not lower the seat to it: your legs would be bent "
        "too far."
    )
    name = "desk_out_of_reach" if moves else "desk_too_low"
    return FitNote(
        name, "note", Sentence(say, {"amount": seating.desk_raise}), Source.FOREARM_LEVEL
    )


_TAKE_OUT = (
    "Take out the drawer, or whatever else hangs above your lap, but no rail that holds the desk "
    "together. If nothing comes out, "
)


def _thighs(seating: Seating) -> FitNote:
    """One answer for thighs and elbows together.

    A desk that is too high already is never raised for the thighs; what hangs under it has to go.
    """
    short, pinched = seating.thighs_short, seating.pinched
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
    return FitNote("thigh_room_short", "note", Sentence(say, used), Source.THIGH_ROOM, clears, may)


def heel_notes(workplace: Workplace) -> list[FitNote]:
    """What the figures allow for under the feet, where that was not simply measured."""
    found = adjusted_notes(workplace, "heel")
    if workplace.heel is None:
        say = Sentence("Nobody measured the heel, so we allowed <heel>.", {"heel": DEFAULT_HEEL})
        found.insert(0, FitNote("heel_assumed", "note", say, Source.HEEL))
    return found


def kept_up_note(workplace: Workplace) -> FitNote | None:
    """How low the caller may sit; None where nobody said."""
    if workplace.lowest_seat is not None:
        say = Sentence(
            "Do not set the seat lower than <lowest>.",
            {"lowest": workplace.lowest_seat},
        )
    elif workplace.kept_up:
        say = Sentence(
            "You were told not to sit low. Measure the seat you have now before you change "
            "anything. Do not go lower than that, whatever a figure here says."
        )
    else:
        return None
    return FitNote("seat_kept_up", "note", say, Source.KEPT_UP)


def adjusted_notes(workplace: Workplace, figure: str) -> list[FitNote]:
    """What advice and needs changed of a figure; one note, or none."""
    words = {
        "heel": "The heights allow for <amount> more under your feet.",
        "cushion": "With the cushion you sit <amount> higher, so the chair is set <amount> lower. "
        "Measure from the seat under the cushion.",
    }
    amount = workplace.added(figure)
    if not amount:
        return []
    cited = dict.fromkeys(
        name for one in workplace.adjusted if one.figure == figure for name in one.source
    )
    said = Sentence(words[figure], {"amount": amount})
    return [FitNote(f"{figure}_counted", "note", said, tuple(cited))]


def seat_reach_note(seating: Seating) -> FitNote | None:
    """The seat does not go low or high enough; None where it does."""
    lowest, highest = seating.seats
    legs = seating.legs
    if seating.floor > highest:
        return FitNote(
            "seat_out_of_reach",
            "note",
            Sentence(
                "The highest seat in the range is <amount> lower than you may sit, so none of "
                "these chairs suits you.",
                {"amount": seating.floor - highest},
            ),
            Source.KEPT_UP,
        )
    wanted = seating.wanted_seat
    if seating.raised_for_desk and wanted > highest:
        return _note(
            "No seat in the range is high enough for this desk.",
            moves={"desk": "lower"},
        )
    if legs > highest:
        return _note(
            "No seat in the range is high enough for your legs. Ask for a taller gas lift.",
        )
    # A seat raised for the desk stands on a footrest anyway, so how low it goes does not matter.
    if seating.footrest and lowest > legs and not seating.raised_for_desk:
        return _note(
            "No seat in the range is low enough for your legs. Ask for a shorter gas lift first. "
            "If there is none, rest your feet <footrest> above the floor.",
            {"footrest": seating.footrest},
            may_move={"seat": "lower", "footrest": "add"},
        )
    return None


def footrest_reach_note(seating: Seating) -> FitNote | None:
    """No footrest of the range has the height needed; None where one has."""
    lowest, highest = seating.rests
    # What seat and desk call for, as far as the seat goes.
    needed = min(seating.wanted_seat, max(seating.base, seating.seats[1])) - seating.legs
    if needed <= seating.feet_reach:
        return None
    if needed > highest + ROUNDING:
        say = "The highest footrest in the range is <amount> too low for this seat."
        lengths = {"amount": needed - highest}
    elif seating.footrest and not lowest - ROUNDING <= seating.footrest <= highest + ROUNDING:
        say = "The lowest footrest in the range is <amount> too high for this seat."
        lengths = {"amount": lowest - seating.footrest}
    else:
        return None
    return FitNote("footrest_out_of_reach", "note", Sentence(say, lengths), Source.RANGE)


def _note(
    say: str,
    lengths: dict[str, float] | None = None,
    moves: Moves | None = None,
    may_move: Moves | None = None,
) -> FitNote:
    # How far is said once, by what falls short of the acceptable range on the chair chosen.
    sentence = Sentence(say, lengths or {})
    return FitNote(
        "seat_out_of_reach", "note", sentence, Source.SHORT_LEGS, moves or {}, may_move or {}
    )


def stays_low_note(standing: Requirement | None, highest: float) -> FitNote | None:
    """The desk does not go up to standing height; None where it does, or nobody stands at it."""
    if standing is None or highest >= standing.low:
        return None
    return FitNote(
        "desk_stays_low_standing",
        "note",
        Sentence(
            "At its highest the desk is <amount> too low for standing.",
            {"amount": standing.target - highest},
        ),
        Source.STANDING,
    )
