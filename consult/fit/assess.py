"""The whole set-up of one body at one workplace, and what a tree condition may ask of it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from consult.fit.notes import arms_meet_desk, notes_of, thigh_room_short
from consult.fit.requirements import (
    Fit,
    FitNote,
    Requirement,
    requirements_of,
)
from consult.fit.rules import sitter_of
from consult.fit.seating import Seating
from consult.fit.settings import nearest_setting
from consult.fit.workplace import DeskKind, Workplace
from consult.range.model import Reach
from consult.range.parts import ANY

if TYPE_CHECKING:
    from consult.body.estimate import Estimate
    from consult.fit.settings import Picked
    from consult.fit.workplace import Desk


def assess(estimate: Estimate, workplace: Workplace, reach: Reach | None = None) -> Fit:
    """Requirements, notes and quantities for the best guess of this body; lengths in mm.

    ``reach`` keeps seat and footrest to what a range on sale can do and says where it cannot.
    What is not known about the workplace is left out and named in ``missing`` or in a note.
    """
    desk, sitter = workplace.desk, sitter_of(estimate, workplace)
    seating, usual = Seating(sitter, desk, reach), Seating(sitter, desk.as_usual, reach)
    missing = _missing(seating, low_enough=bool(seating.footrest or not usual.footrest))
    decided = "footrest_height" not in missing
    asked = requirements_of(estimate, workplace, seating, footrest=decided)
    arms = arms_meet_desk(workplace, seating)
    notes = tuple(notes_of(workplace, seating, asked, arms))
    quantities = quantities_of(asked, seating, workplace, arms, notes)
    return Fit(asked, notes, missing, quantities)


_DECIDES: Mapping[DeskKind | None, str] = {
    None: "the desk, and we don't know what kind it is",
    "fixed": "the height of the desk, which we don't know",
    "adjustable": "how low the desk goes, which we don't know",
}
"""What is not known of a desk of each kind."""


def _missing(seating: Seating, *, low_enough: bool) -> dict[str, str]:
    """``low_enough``: one that moves calls for no footrest if it goes as low as desks do."""
    missing, desk = {}, seating.desk
    # Feet that hang because the seat may not be lowered need a footrest at any desk.
    hang = seating.floor > seating.legs + seating.feet_reach
    if not hang and desk.undecided and not (desk.kind == "adjustable" and low_enough):
        missing["footrest_height"] = (
            f"Whether a footrest is needed depends on {_DECIDES[desk.kind]}."
        )
    if desk.kind in ("fixed", "adjustable") and desk.thickness is None:
        missing["thigh_room"] = (
            "We don't know how thick the desk is, so we could not check the room for your thighs."
        )
    return missing


def quantities_of(
    requirements: Mapping[str, Requirement],
    seating: Seating,
    workplace: Workplace,
    arms_meet_desk: bool | None,
    notes: Iterable[FitNote],
) -> dict[str, float | bool]:
    """Name to mm or true/false; a quantity that cannot be decided is left out, never guessed."""
    quantities: dict[str, float | bool] = {
        name: requirement.target for name, requirement in requirements.items()
    }
    # What the caller may not go below counts like the legs: nobody is told that less would do.
    quantities["leg_seat_height"] = max(seating.legs, seating.floor)
    quantities["seat_kept_up"] = workplace.kept_up or workplace.lowest_seat is not None
    if workplace.lowest_seat is not None:
        quantities["lowest_seat"] = workplace.lowest_seat
    desk, reach = workplace.desk, seating.reach
    names = {note.name for note in notes}
    lowest, highest = (math.isfinite(end) for end in seating.top)
    if lowest:
        quantities["desk_too_high"] = seating.too_high > 0
    if highest:
        quantities["desk_too_low"] = seating.too_low > 0
        quantities["desk_raise"] = seating.desk_raise
    if desk.kind == "fixed" and highest:
        quantities["desk_excess"] = seating.top[1] - (seating.legs + seating.above[1])
    if desk.kind == "adjustable" and ((lowest and highest) or "desk_out_of_reach" in names):
        quantities["desk_out_of_reach"] = "desk_out_of_reach" in names
    decided = "footrest_height" in requirements
    if decided:
        quantities["footrest_needed"] = seating.footrest > 0
    if decided and seating.room is not None:
        quantities["thigh_room_short"] = thigh_room_short(seating)
    if arms_meet_desk is not None:
        quantities["arms_meet_desk"] = arms_meet_desk
    if reach is not None:
        quantities["seat_out_of_reach"] = "seat_out_of_reach" in names
    if decided and reach is not None and reach.footrest_height is not None:
        quantities["footrest_out_of_reach"] = "footrest_out_of_reach" in names
    return quantities


def with_seat_as_set(fit: Fit, picked: Picked, desk: Desk) -> Fit:
    """The fit with desk and screen for the seat of the chair as it is set.

    That is not the seat asked for where the chair comes no nearer.
    """
    asked, seat = fit.requirements.get("seat_height"), picked.settings.get("seat_height")
    if asked is None or seat is None or not (by := round(seat - asked.target)):
        return fit
    requirements, quantities = dict(fit.requirements), dict(fit.quantities)
    spans = {"screen_top": ANY, "desk_height": desk.top if desk.kind == "adjustable" else ANY}
    for name, span in spans.items():
        if (one := requirements.get(name)) is not None:
            low, target, high = (
                nearest_setting(span, figure + by) for figure in (one.low, one.target, one.high)
            )
            requirements[name] = replace(one, low=low, target=target, high=high)
            quantities[name] = target
    missing = dict(fit.missing)
    if waits_for_footrest(fit, picked):
        quantities["footrest_needed"] = True
        missing["footrest_height"] = (
            f"The chair needs one, and how high depends on {_DECIDES[desk.kind]}."
        )
    return replace(fit, requirements=requirements, quantities=quantities, missing=missing)


def with_desk_as_it_stands(fit: Fit, desk: Desk) -> Fit:
    """The fit with the height of a desk that does not move in place of the best for this body.

    The range stays that of the body: the desk stands outside it where it does not suit.
    """
    one = fit.requirements.get("desk_height")
    if one is None or desk.kind != "fixed" or desk.height is None:
        return fit
    reason = "The desk stands at this height. Within the range the forearms lie about level."
    stands = replace(one, target=desk.height, sd=0.0, reason=reason, rests_on=())
    return replace(fit, requirements={**fit.requirements, "desk_height": stands})


def waits_for_footrest(fit: Fit, picked: Picked) -> bool:
    """The chair needs a footrest, which is chosen once the desk is known."""
    short = {lack.requirement for lack in picked.shortfalls}
    return "footrest_height" in fit.missing and "footrest_height" in short
