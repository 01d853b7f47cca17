"""What must be said where the range on sale cannot give the seat or the footrest."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.fit import sources
from consult.fit.feasible import ROUNDING
from consult.fit.result import FitNote
from consult.moves import Moves
from consult.sentence import Sentence

if TYPE_CHECKING:
    from consult.fit.desk import Seating
    from consult.fit.workplace import Workplace


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
    return FitNote("seat_kept_up", "note", say, sources.KEPT_UP)


def seat_reach_note(seating: Seating) -> FitNote | None:
    """The seat does not go low or high enough; None where it does."""
    lowest, highest = seating.feasible.seat
    legs = seating.feasible.legs
    if seating.feasible.floor > highest:
        return FitNote(
            "seat_out_of_reach",
            "note",
            Sentence(
                "The highest seat in the range is <amount> lower than you may sit, so none of "
                "these chairs suits you.",
                {"amount": seating.feasible.floor - highest},
            ),
            sources.KEPT_UP,
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
    feasible = seating.feasible
    lowest, highest = feasible.footrest
    # What seat and desk call for, as far as the seat goes.
    needed = min(seating.wanted_seat, max(feasible.base, feasible.seat[1])) - feasible.legs
    if needed <= feasible.feet_reach:
        return None
    if needed > highest + ROUNDING:
        say = "The highest footrest in the range is <amount> too low for this seat."
        lengths = {"amount": needed - highest}
    elif not feasible.footrest_fits(seating.footrest):
        say = "The lowest footrest in the range is <amount> too high for this seat."
        lengths = {"amount": lowest - seating.footrest}
    else:
        return None
    return FitNote("footrest_out_of_reach", "note", Sentence(say, lengths), sources.RANGE)


def _note(
    say: str,
    lengths: dict[str, float] | None = None,
    moves: Moves | None = None,
    may_move: Moves | None = None,
) -> FitNote:
    # How far is said once, by what falls short of the acceptable range on the chair chosen.
    sentence = Sentence(say, lengths or {})
    return FitNote(
        "seat_out_of_reach", "note", sentence, sources.SHORT_LEGS, moves or {}, may_move or {}
    )
