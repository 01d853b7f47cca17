"""The whole set-up of one body at one workplace, and what a tree condition may ask of it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from consult.fit import sources
from consult.fit.notes import (
    adjusted_notes,
    arms_meet_desk,
    arms_note,
    desk_notes,
    footrest_reach_note,
    kept_up_note,
    seat_reach_note,
    stays_low_note,
    thigh_room_short,
)
from consult.fit.requirements import (
    Fit,
    FitNote,
    Requirement,
    Sitter,
    added,
    chair_requirements,
    required,
    screen_requirement,
    sitter_of,
    standing_requirement,
)
from consult.fit.seating import Seating, seat_at
from consult.fit.workplace import DEFAULT_HEEL, Desk, DeskKind, Workplace
from consult.range.model import Reach
from consult.sentence import Sentence

if TYPE_CHECKING:
    from consult.body.estimate import Estimate


def assess(estimate: Estimate, workplace: Workplace, reach: Reach | None = None) -> Fit:
    """Requirements, notes and quantities for the best guess of this body; lengths in mm.

    ``reach`` keeps seat and footrest to what a range on sale can do and says where it cannot.
    What is not known about the workplace is left out and named in ``missing`` or in a note.
    """
    desk = workplace.desk
    sitter = sitter_of(estimate, workplace)
    seating = seat_at(sitter, desk, reach)
    usual = seat_at(sitter, desk.as_usual, reach)
    missing = _missing(desk, seating, low_enough=bool(seating.footrest or not usual.footrest))
    asked = [
        _seat_height(estimate, sitter, seating),
        *chair_requirements(estimate, sitter),
        _desk_height(estimate, seating),
        screen_requirement(estimate, sitter, seating, workplace.lenses),
    ]
    if "footrest_height" not in missing:
        asked.append(_footrest(estimate, sitter, seating, desk))
    standing = None
    if desk.kind in ("adjustable", "none"):
        standing = standing_requirement(estimate, sitter)
        asked.append(standing)

    arms = arms_meet_desk(sitter, workplace, seating)
    notes: list[FitNote | None] = [
        *desk_notes(seating, moves=desk.kind == "adjustable"),
        seat_reach_note(seating),
        kept_up_note(workplace),
    ]
    if "footrest_height" not in missing:
        notes.append(footrest_reach_note(seating))
    if arms:
        notes.append(arms_note(desk.thickness))
    if standing is not None:
        notes.append(stays_low_note(standing, seating.top[1]))
    notes += [*heel_notes(workplace), *adjusted_notes(workplace, "cushion")]
    said = tuple(note for note in notes if note is not None)

    requirements = {one.name: one for one in asked}
    quantities = quantities_of(requirements, seating, workplace, reach, arms, said)
    return Fit(requirements, said, missing, quantities)


def _seat_height(estimate: Estimate, sitter: Sitter, seating: Seating) -> Requirement:
    on_floor = seating.footrest == 0
    reason, source = (
        ("The feet are flat on the floor and the thighs about level.", sources.LEG_BAND)
        if on_floor
        else (
            "The seat is higher than suits the legs alone, so the feet need a footrest.",
            sources.DESK_FIRST,
        )
    )
    if sitter.kept_up:
        source = sources.KEPT_UP
        reason = "The knees are no higher than the hips"
        reason += "." if on_floor else ", and the feet rest on a footrest."
    low, high = seating.seat_band
    band = (low, seating.seat, high)
    return required(estimate, "seat_height", band, seating.seat_weights, "floor", reason, source)


def _desk_height(estimate: Estimate, seating: Seating) -> Requirement:
    low, high = seating.desk_band
    return required(
        estimate,
        "desk_height",
        (low, seating.desk, high),
        seating.desk_weights,
        "floor",
        "At this height the forearms lie about level on the keyboard, as far as the thighs "
        "leave room.",
        sources.FOREARM_LEVEL,
    )


def _footrest(estimate: Estimate, sitter: Sitter, seating: Seating, desk: Desk) -> Requirement:
    """A footrest higher than needed only bends the knees as a lower seat would."""
    height = seating.footrest
    low = max(0.0, min(height, seating.seat - sitter.seat_for_legs))
    high = max(height, seating.seat - sitter.on_floor[0]) if height else 0.0
    reason = "The footrest supports the feet as the floor would."
    if not height:
        known = desk.kind != "adjustable" or not desk.undecided
        where = "" if known else " if the desk goes as low as most do"
        reason = f"The feet reach the floor{where}, so no footrest is needed."
    return required(
        estimate,
        "footrest_height",
        (low, height, high),
        added(seating.seat_weights, sitter.leg_weights, -1),
        "floor",
        reason,
        sources.FOOTREST,
    )


_DECIDES: Mapping[DeskKind | None, str] = {
    None: "the desk, and we don't know what kind it is",
    "fixed": "the height of the desk, which we don't know",
    "adjustable": "how low the desk goes, which we don't know",
}
"""What is not known of a desk of each kind."""


def _missing(desk: Desk, seating: Seating, *, low_enough: bool) -> dict[str, str]:
    """``low_enough``: one that moves calls for no footrest if it goes as low as desks do."""
    missing = {}
    # Feet that hang because the seat may not be lowered need a footrest at any desk.
    hang = seating.feasible.floor > seating.feasible.legs + seating.feasible.feet_reach
    if hang:
        pass
    elif desk.undecided and not (desk.kind == "adjustable" and low_enough):
        missing["footrest_height"] = (
            f"Whether a footrest is needed depends on {_DECIDES[desk.kind]}."
        )
    if desk.kind in ("fixed", "adjustable") and desk.thickness is None:
        missing["thigh_room"] = (
            "We don't know how thick the desk is, so we could not check the room for your thighs."
        )
    return missing


def heel_notes(workplace: Workplace) -> list[FitNote]:
    """What the figures allow for under the feet, where that was not simply measured."""
    found = adjusted_notes(workplace, "heel")
    if workplace.heel is None:
        say = Sentence("Nobody measured the heel, so we allowed <heel>.", {"heel": DEFAULT_HEEL})
        found.insert(0, FitNote("heel_assumed", "note", say, sources.HEEL))
    return found


def quantities_of(
    requirements: Mapping[str, Requirement],
    seating: Seating,
    workplace: Workplace,
    reach: Reach | None,
    arms_meet_desk: bool | None,
    notes: Iterable[FitNote],
) -> dict[str, float | bool]:
    """Name to mm or true/false; a quantity that cannot be decided is left out, never guessed."""
    found: dict[str, float | bool] = {name: one.target for name, one in requirements.items()}
    legs = seating.feasible.legs
    # What the caller may not go below counts like the legs: nobody is told that less would do.
    found["leg_seat_height"] = max(legs, seating.feasible.floor)
    found["seat_kept_up"] = workplace.kept_up or workplace.lowest_seat is not None
    if workplace.lowest_seat is not None:
        found["lowest_seat"] = workplace.lowest_seat
    desk = workplace.desk
    said = {note.name for note in notes}
    lowest, highest = (math.isfinite(end) for end in seating.top)
    if lowest:
        found["desk_too_high"] = seating.too_high > 0
    if highest:
        found["desk_too_low"] = seating.too_low > 0
        found["desk_raise"] = seating.desk_raise
    if desk.kind == "fixed" and highest:
        found["desk_excess"] = seating.top[1] - (legs + seating.clearance.target)
    if desk.kind == "adjustable" and ((lowest and highest) or "desk_out_of_reach" in said):
        found["desk_out_of_reach"] = "desk_out_of_reach" in said
    decided = "footrest_height" in requirements
    if decided:
        found["footrest_needed"] = seating.footrest > 0
    if decided and seating.clearance.room is not None:
        found["thigh_room_short"] = thigh_room_short(seating)
    if arms_meet_desk is not None:
        found["arms_meet_desk"] = arms_meet_desk
    if reach is not None:
        found["seat_out_of_reach"] = "seat_out_of_reach" in said
    if decided and reach is not None and reach.footrest_height is not None:
        found["footrest_out_of_reach"] = "footrest_out_of_reach" in said
    return found
