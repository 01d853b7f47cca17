"""What in the picture does not suit, each with the place where it shows.

The fit and the picked chair decide; nothing is judged a second time here. Only what follows from a
chair that is set differently than the fit asks (feet that hang, thighs that meet the desk) is
measured in the picture itself, by the fit's own rules. The width of the seat cannot be seen from
the side, so it is not among them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from consult.fit.rules import KEYBOARD_ABOVE, THIGH_MARGIN
from consult.fit.settings import chair_has
from consult.picture.model import Problem
from consult.sentence import Sentence

if TYPE_CHECKING:
    from consult.fit.requirements import Fit, FitNote
    from consult.fit.settings import Picked, Shortfall
    from consult.picture.model import Chair, Footrest, Joints, Point, Table

_Found = tuple[str, "Point", Sentence]


@dataclass(frozen=True, slots=True)
class Seen:
    """All that is drawn, and all that was said about it."""

    fit: Fit
    picked: Picked | None
    joints: Joints
    chair: Chair
    table: Table
    footrest: Footrest | None
    hanging: float
    """mm of air below the soles."""
    desk_known: bool
    """The desk is fixed and its thickness was told, so room for the thighs can be measured."""

    def note(self, *names: str) -> FitNote | None:
        """The fit's note of one of these names."""
        return next((note for note in self.fit.notes if note.name in names), None)

    def short(self, requirement: str) -> Shortfall | None:
        """What the picked chair cannot do, of the things seen from the side."""
        found = self.picked.shortfalls if self.picked is not None else ()
        return next(
            (one for one in found if one.requirement == requirement and one.mm > 0),
            None,
        )


def problems_of(seen: Seen) -> tuple[Problem, ...]:
    """The problems, marked 1, 2, ... from the desk down to the feet; one for each cause."""
    found = [
        one
        for of_kind in (_desk, _thighs, _arms_meet, _armrests, _depth, _seat, _feet)
        for one in of_kind(seen)
    ]
    return tuple(
        Problem(str(number), where, name, text)
        for number, (name, where, text) in enumerate(found, start=1)
    )


def _desk(seen: Seen) -> Iterator[_Found]:
    note = seen.note("desk_too_high", "desk_too_low", "desk_out_of_reach")
    if note is None:
        return
    lengths = note.say.lengths
    if "excess" in lengths:
        said = "The desk is <excess> too high for the legs"
        thighs = seen.note("thigh_room_short")
        # Where the thighs keep the keyboard high, their own line says by how much.
        pinched = thighs is not None and "short" not in thighs.say.lengths
        if lengths["left"] > KEYBOARD_ABOVE and not pinched:
            said += "; the keyboard stays <left> above the elbows."
        elif seen.footrest is not None:
            said += ", so the seat is raised and the feet are on a footrest."
        else:
            said += "."
    else:
        said = "The desk is too low: raise it by <amount>."
    beyond = (seen.table.edge + seen.table.far) / 2
    yield note.name, (beyond, seen.table.top), Sentence(said, lengths)


def _thighs(seen: Seen) -> Iterator[_Found]:
    thigh_top = seen.chair.seat + seen.joints.thigh
    where = ((seen.table.edge + seen.joints.knee[0]) / 2, (thigh_top + seen.table.under) / 2)
    note = seen.note("thigh_room_short")
    if note is not None:
        short = "short" in note.say.lengths
        said = (
            "The thighs need <short> more room under the desk."
            if short
            else "With room for the thighs, the keyboard is <amount> above the elbows."
        )
        yield note.name, where, Sentence(said, note.say.lengths)
        return
    missing = thigh_top + THIGH_MARGIN - seen.table.under
    # A seat that cannot be set as asked may lift the thighs where the fit saw room for them.
    lifted = seen.chair.seat > seen.chair.wanted_seat
    if lifted and seen.desk_known and round(missing) > 0:
        said = "The thighs need <short> more room under the desk."
        yield "thigh_room_short", where, Sentence(said, {"short": missing})


def _arms_meet(seen: Seen) -> Iterator[_Found]:
    """A chair without armrests has none to meet the desk."""
    note = seen.note("arms_meet_desk")
    if note is None or seen.chair.arm is None:
        return
    said = "The armrests meet the edge of the desk"
    parts = seen.picked.parts.values() if seen.picked is not None else ()
    if chair_has(parts, "arms_slide_back"):
        said += "; these slide back"
    elif chair_has(parts, "arms_swing_away"):
        said += "; these swing away"
    yield note.name, (seen.table.edge, seen.chair.arm), Sentence(f"{said}.")


def _armrests(seen: Seen) -> Iterator[_Found]:
    short = seen.short("armrest_height")
    if short is not None:
        back, front = seen.chair.arm_span
        height = seen.joints.elbow[1] if seen.chair.arm is None else seen.chair.arm
        yield short.requirement, ((back + front) / 2, height), short.say


def _depth(seen: Seen) -> Iterator[_Found]:
    short = seen.short("seat_depth")
    if short is not None:
        yield short.requirement, (seen.chair.depth, seen.chair.seat), short.say


def _seat(seen: Seen) -> Iterator[_Found]:
    """The picked chair's own words where it falls short, else the range's."""
    where = (seen.chair.lift, seen.chair.seat / 2)
    short, note = seen.short("seat_height"), seen.note("seat_out_of_reach")
    if short is not None:
        yield "seat_out_of_reach", where, short.say
    elif note is not None:
        said = (
            "The lowest seat is too high for the legs."
            if "footrest" in note.say.lengths
            else "The highest seat is too low."
        )
        yield note.name, where, Sentence(said)


def _feet(seen: Seen) -> Iterator[_Found]:
    heel, toe = seen.joints.heel, seen.joints.toe
    on = 0.0 if seen.footrest is None else seen.footrest.top
    where = ((heel[0] + toe[0]) / 2, (heel[1] + on) / 2)
    short, note = seen.short("footrest_height"), seen.note("footrest_out_of_reach")
    if short is not None:
        yield "footrest_out_of_reach", where, short.say
    elif note is not None:
        yield note.name, where, note.say
    elif round(seen.hanging) > 0:
        carrier = "floor" if seen.footrest is None else "footrest"
        said = f"The feet hang <amount> above the {carrier}."
        yield "feet_hang", where, Sentence(said, {"amount": seen.hanging})
