"""What must be said about a workplace that does not simply suit.

A desk too high or too low, no room for the thighs, armrests that meet the desk, a seat or a
footrest that the range on sale cannot give.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from consult.fit.requirements import FitNote
from consult.fit.rules import KEYBOARD, KEYBOARD_ABOVE, RuleSource, armrest_heights
from consult.fit.seating import SEAT_ROUNDING, Seating
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
    lowest_arm = seating.seat + armrest_heights(seating.sitter.elbow)[0]
    return bool(lowest_arm > surface - thickness)


def notes_of(
    workplace: Workplace, seating: Seating, asked: Mapping[str, Requirement], arms: bool | None
) -> Iterator[FitNote]:
    """Everything that must be said, the desk first; ``arms``: they meet it."""
    moves = seating.desk.kind == "adjustable"
    if seating.too_high:
        yield _too_high(seating, moves)
    if seating.too_low:
        yield _too_low(seating, moves)
    if thigh_room_short(seating):
        yield _thighs(seating)
    yield from _seat_out_of_reach(seating)
    yield from _kept_up(workplace)
    if "footrest_height" in asked:
        yield from _footrest_out_of_reach(seating)
    if arms:
        yield _arms(workplace.desk.thickness)
    standing, highest = asked.get("standing_desk_height"), seating.top[1]
    if standing is not None and not highest >= standing.low:
        say = "At its highest the desk is <amount> too low for standing."
        lengths = {"amount": standing.target - highest}
        yield _note("desk_stays_low_standing", RuleSource.STANDING, say, lengths)
    yield from heel_notes(workplace)
    yield from _adjusted(workplace, "cushion")


def _note(
    name: str,
    source: tuple[str, ...],
    say: str,
    lengths: Mapping[str, float] | None = None,
    moves: Moves | None = None,
    may_move: Moves | None = None,
) -> FitNote:
    sentence = Sentence(say, lengths or {})
    return FitNote(name, "note", sentence, source, moves or {}, may_move or {})


def _arms(thickness: float | None) -> FitNote:
    """What to do about armrests that meet the desk edge."""
    say = (
        "Armrests at elbow height would meet the edge of the desk and keep you away from it. "
        "Armrests that slide back, or out of its way, let you come close."
    )
    lengths = {}
    if thickness is None:
        say += " We took the desk top to be <thickness> thick."
        lengths["thickness"] = ASSUMED_THICKNESS
    return _note("arms_meet_desk", RuleSource.ARMS_AT_DESK, say, lengths)


def thigh_room_short(seating: Seating) -> bool:
    """The thighs lack room, or have it only at the cost of the elbows."""
    return bool(seating.thighs_short or seating.pinched)


def _too_high(seating: Seating, moves: bool) -> FitNote:
    message = "At its lowest the desk is still" if moves else "The desk is"
    say = f"{message} <excess> too high for a seat that suits your legs. "
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
    return _note(name, RuleSource.DESK_FIRST, say, lengths, does)


def _too_low(seating: Seating, moves: bool) -> FitNote:
    """How much too low; whether the desk may be raised is for the tree to ask."""
    message = "At its highest the desk is still" if moves else "The desk is"
    say = (
        f"{message} <amount> too low for you. Do not lower the seat to it: your legs would be bent "
        "too far."
    )
    name = "desk_out_of_reach" if moves else "desk_too_low"
    return _note(name, RuleSource.FOREARM_LEVEL, say, {"amount": seating.desk_raise})


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
    return _note("thigh_room_short", RuleSource.THIGH_ROOM, say, used, clears, may)


def heel_notes(workplace: Workplace) -> Iterator[FitNote]:
    """What the figures allow for under the feet, where that was not simply measured."""
    if workplace.heel is None:
        say = "Nobody measured the heel, so we allowed <heel>."
        yield _note("heel_assumed", RuleSource.HEEL, say, {"heel": DEFAULT_HEEL})
    yield from _adjusted(workplace, "heel")


def _kept_up(workplace: Workplace) -> Iterator[FitNote]:
    """How low the caller may sit."""
    lowest = workplace.lowest_seat
    if lowest is not None:
        say = "Do not set the seat lower than <lowest>."
        yield _note("seat_kept_up", RuleSource.KEPT_UP, say, {"lowest": lowest})
    elif workplace.kept_up:
        say = (
            "You were told not to sit low. Measure the seat you have now before you change "
            "anything. Do not go lower than that, whatever a figure here says."
        )
        yield _note("seat_kept_up", RuleSource.KEPT_UP, say)


def _adjusted(workplace: Workplace, figure: str) -> Iterator[FitNote]:
    """What advice and needs changed of a figure."""
    say = {
        "heel": "The heights allow for <amount> more under your feet.",
        "cushion": "With the cushion you sit <amount> higher, so the chair is set <amount> lower. "
        "Measure from the seat under the cushion.",
    }[figure]
    by = [adjusted.source for adjusted in workplace.adjusted if adjusted.figure == figure]
    if amount := workplace.added(figure):
        cited = tuple(dict.fromkeys(name for source in by for name in source))
        yield _note(f"{figure}_counted", cited, say, {"amount": amount})


def _seat_out_of_reach(seating: Seating) -> Iterator[FitNote]:
    """The seat does not go low or high enough.

    How far is said once, by what falls short of the acceptable range on the chair chosen.
    """
    name, source = "seat_out_of_reach", RuleSource.SHORT_LEGS
    (lowest, highest), legs = seating.seats, seating.legs
    if seating.floor > highest:
        say = (
            "The highest seat in the range is <amount> lower than you may sit, so none of these "
            "chairs suits you."
        )
        yield _note(name, RuleSource.KEPT_UP, say, {"amount": seating.floor - highest})
    elif seating.raised_for_desk and seating.wanted_seat > highest:
        say = "No seat in the range is high enough for this desk."
        yield _note(name, source, say, moves={"desk": "lower"})
    elif legs > highest:
        say = "No seat in the range is high enough for your legs. Ask for a taller gas lift."
        yield _note(name, source, say)
    # A seat raised for the desk stands on a footrest anyway, so how low it goes does not matter.
    elif seating.footrest and lowest > legs and not seating.raised_for_desk:
        say = (
            "No seat in the range is low enough for your legs. Ask for a shorter gas lift first. "
            "If there is none, rest your feet <footrest> above the floor."
        )
        may = {"seat": "lower", "footrest": "add"}
        yield _note(name, source, say, {"footrest": seating.footrest}, may_move=may)


def _footrest_out_of_reach(seating: Seating) -> Iterator[FitNote]:
    """No footrest of the range has the height needed."""
    (lowest, highest), rest = seating.rests, seating.footrest
    # What seat and desk call for, as far as the seat goes.
    needed = min(seating.wanted_seat, max(seating.base, seating.seats[1])) - seating.legs
    if needed <= seating.feet_reach:
        return
    if needed > highest + SEAT_ROUNDING:
        say, amount = "highest footrest in the range is <amount> too low", needed - highest
    elif rest and not lowest - SEAT_ROUNDING <= rest <= highest + SEAT_ROUNDING:
        say, amount = "lowest footrest in the range is <amount> too high", lowest - rest
    else:
        return
    message = f"The {say} for this seat."
    yield _note("footrest_out_of_reach", RuleSource.RANGE, message, {"amount": amount})
