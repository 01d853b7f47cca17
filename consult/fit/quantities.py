"""What a tree condition may ask of the fit, as plain numbers and yes or no."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from consult.fit.desk_notes import thigh_room_short

if TYPE_CHECKING:
    from consult.fit.desk import Seating
    from consult.fit.result import FitNote, Requirement
    from consult.fit.workplace import Reach, Workplace


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
