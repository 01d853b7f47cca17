"""The side view of a call, worked out from its numbers."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import chain

from consult.body.estimate import Estimate
from consult.fit.notes import ASSUMED_THICKNESS
from consult.fit.requirements import Fit, FitNote
from consult.fit.rules import KEYBOARD_ABOVE, THIGH_MARGIN, Sitter, sitter_of
from consult.fit.settings import Picked, Shortfall
from consult.fit.workplace import Workplace
from consult.picture.model import (
    NEEDED_DIMENSIONS,
    TRUNK,
    Chair,
    DimensionLine,
    DrawnDesk,
    Footrest,
    Joints,
    Misfit,
    Point,
    Scene,
    Screen,
    forearm_reach,
    hanging,
    joints_of,
)
from consult.range.parts import chair_has
from consult.sentence import Sentence


def scene(
    estimate: Estimate, workplace: Workplace, fit: Fit | None, picked: Picked | None
) -> Scene | None:
    """The caller on the chair as it is set; without a picked chair, as the fit asks for it.

    The feet stay where the legs let them, so what does not reach shows as a gap. None where the
    seat, the desk or a dimension of the body could not be worked out.
    """
    if fit is None or not estimate.dimensions.keys() >= NEEDED_DIMENSIONS:
        return None
    sitter = sitter_of(estimate, workplace)
    chair, table = scene_chair(sitter, fit, picked), table_of(sitter, workplace, fit)
    if chair is None or table is None:
        return None
    support = footrest_top(fit, picked)
    joints = joints_of(sitter, chair.seat, support, table.top)
    start, end = joints.heel[0] - _BEHIND_HEEL, joints.toe[0] + _BEFORE_TOE
    footrest = Footrest(support, start, end) if support > 0 else None
    drawn = Scene(joints, chair, table, footrest, screen_of(joints, table, fit))
    seen = _Seen(
        fit,
        picked,
        drawn,
        hanging(sitter, chair.seat, support),
        workplace.desk.kind == "fixed" and workplace.desk.thickness is not None,
    )
    lines = tuple(dimensions_of(drawn, sitter.thigh_length))
    # Marked 1, 2, ... from the desk down to the feet; one for each cause.
    misfits = chain(*(of_kind(seen) for of_kind in (_desk, _thighs, _arms, _seat, _feet)))
    problems = tuple(
        Misfit(str(number), where, name, text)
        for number, (name, where, text) in enumerate(misfits, start=1)
    )
    return replace(drawn, dimensions=lines, problems=problems)


def dimensions_of(scene: Scene, hollow: float) -> Iterator[DimensionLine]:
    """The lengths of what is drawn; ``hollow`` is x of the hollow of the knee."""
    chair, eye = scene.chair, scene.joints.eye

    def upright(name: str, x: float, high: float, low: float = 0.0) -> DimensionLine:
        return DimensionLine(name, (x, low), (x, high), high - low)

    yield upright("seat height", chair.lift, chair.seat)
    for name, back, front in (("seat depth", 0.0, chair.depth), ("knee gap", chair.depth, hollow)):
        yield DimensionLine(name, (back, chair.seat), (front, chair.seat), front - back)
    if chair.arm is not None:
        yield upright("armrest above seat", chair.arm_span[0], chair.arm, chair.seat)
    yield upright("desk top", scene.table.far, scene.table.top)
    if scene.footrest is not None:
        yield upright("footrest height", scene.footrest.end, scene.footrest.top)
    if scene.screen is not None:
        yield upright("screen top", scene.screen.x, scene.screen.top)
    yield upright("eye height", eye[0], eye[1])


# -- chair, desk, footrest and screen as they are set, or as the fit wants them -------------------
# Sizes that no call asks for (how deep a desk is, how long an armrest) are common practice, no
# source: they only make the picture recognisable.

_ARM_BACK = TRUNK - 30.0
"""x of the rear end of the armrests."""
_ARM_SHORT = 10.0
"""mm the armrests end before the level wrist."""
_CLOSE, _CLEAR = -55.0, 60.0
"""mm from the level wrist to the desk edge, for those who sit close and those who do not."""
_DESK_DEPTH = 720.0
_SCREEN_AWAY = 600.0
"""mm from the eyes: an arm's length."""
_SCREEN_TALL = 340.0
_SCREEN_STAND = 70.0
"""mm the screen stays above the desk at least."""
_BACK_TOP = 0.62
"""Of sitting height: to below the shoulder blades' upper end."""
_BEFORE_TOE = 30.0
_BEHIND_HEEL = 50.0


def wanted(fit: Fit, name: str) -> float | None:
    """The fit's target; None where it could not be worked out."""
    requirement = fit.requirements.get(name)
    return None if requirement is None else requirement.target


def as_set(fit: Fit, picked: Picked | None, name: str) -> float | None:
    """What the picked chair is set to, else what the fit asks for."""
    own = wanted(fit, name)
    return picked.settings.get(name, own) if picked is not None else own


def scene_chair(sitter: Sitter, fit: Fit, picked: Picked | None) -> Chair | None:
    """The chair; None where its seat could not be worked out."""
    seat, depth = as_set(fit, picked, "seat_height"), as_set(fit, picked, "seat_depth")
    asked = wanted(fit, "seat_height")
    if seat is None or depth is None or asked is None:
        return None
    arms = picked.parts.get("arms") if picked is not None else None
    armless = arms is not None and arms.height is None
    arm = None if armless else as_set(fit, picked, "armrest_height")
    return Chair(
        seat=seat,
        wanted_seat=asked,
        depth=depth,
        back_top=seat + _BACK_TOP * sitter.sitting_height,
        arm=None if arm is None else seat + arm,
        arm_span=(_ARM_BACK, forearm_reach(sitter.stature) - _ARM_SHORT),
        lift=depth / 2,
    )


def table_of(sitter: Sitter, workplace: Workplace, fit: Fit) -> DrawnDesk | None:
    """The desk; None where neither its height nor a wanted one is known.

    A fixed desk is drawn as it stands, also where it is to be raised: what is wrong with it must
    be seen.
    """
    desk = workplace.desk
    stands = desk.kind == "adjustable" or (desk.kind == "fixed" and desk.height is not None)
    fixed = desk.height if desk.kind == "fixed" else None
    top = wanted(fit, "desk_height") if fixed is None else fixed
    if top is None:
        return None
    thick = ASSUMED_THICKNESS if desk.thickness is None else desk.thickness
    edge = forearm_reach(sitter.stature) + (_CLOSE if workplace.close_to_desk else _CLEAR)
    return DrawnDesk(top, top - thick, edge, edge + _DESK_DEPTH, stands)


def footrest_top(fit: Fit, picked: Picked | None) -> float:
    """How high the feet are put, mm; 0 for the floor.

    A picked chair that stays low enough spares the footrest the fit asks for; a range that sells
    none leaves the feet hanging.
    """
    asked = fit.quantities.get("footrest_needed") is True
    if picked is None or "seat_height" not in picked.settings:
        top = wanted(fit, "footrest_height") if asked else None
    else:
        top = picked.settings.get("footrest_height")
    return max(0.0, top or 0.0)


def screen_of(joints: Joints, table: DrawnDesk, fit: Fit) -> Screen | None:
    """The screen at an arm's length, never past the far edge of the desk."""
    top = wanted(fit, "screen_top")
    if top is None:
        return None
    x = min(joints.eye[0] + _SCREEN_AWAY, table.far - 100.0)
    return Screen(top, min(max(top - _SCREEN_TALL, table.top + _SCREEN_STAND), top), x)


# -- what in the picture does not suit, each with the place where it shows ------------------------
# The fit and the picked chair decide; nothing is judged a second time here. Only what follows
# from a chair that is set differently than the fit asks (feet that hang, thighs that meet the
# desk) is measured in the picture itself, by the fit's own rules. The width of the seat cannot
# be seen from the side, so it is not among them.

_Found = tuple[str, Point, Sentence]
_THIGHS = "The thighs need <short> more room under the desk."


@dataclass(frozen=True, slots=True)
class _Seen:
    """All that is drawn, and all that was said about it."""

    fit: Fit
    picked: Picked | None
    scene: Scene
    hanging: float
    """mm of air below the soles."""
    desk_known: bool
    """The desk is fixed and its thickness was told, so room for the thighs can be measured."""

    def note(self, *names: str) -> FitNote | None:
        """The fit's note of one of these names."""
        return next((note for note in self.fit.notes if note.name in names), None)

    def short(self, requirement: str) -> Shortfall | None:
        """What the picked chair cannot do, of the things seen from the side."""
        shortfalls = self.picked.shortfalls if self.picked is not None else ()
        return next(
            (
                shortfall
                for shortfall in shortfalls
                if shortfall.requirement == requirement and shortfall.mm > 0
            ),
            None,
        )


def _desk(seen: _Seen) -> Iterator[_Found]:
    note = seen.note("desk_too_high", "desk_too_low", "desk_out_of_reach")
    if note is None:
        return
    lengths = note.say.lengths
    if "excess" in lengths:
        message = "The desk is <excess> too high for the legs"
        thighs = seen.note("thigh_room_short")
        # Where the thighs keep the keyboard high, their own line says by how much.
        pinched = thighs is not None and "short" not in thighs.say.lengths
        if lengths["left"] > KEYBOARD_ABOVE and not pinched:
            message += "; the keyboard stays <left> above the elbows."
        elif seen.scene.footrest is not None:
            message += ", so the seat is raised and the feet are on a footrest."
        else:
            message += "."
    else:
        message = "The desk is too low: raise it by <amount>."
    beyond = (seen.scene.table.edge + seen.scene.table.far) / 2
    yield note.name, (beyond, seen.scene.table.top), Sentence(message, lengths)


def _thighs(seen: _Seen) -> Iterator[_Found]:
    chair, table, joints = seen.scene.chair, seen.scene.table, seen.scene.joints
    thigh_top = chair.seat + joints.thigh
    where = ((table.edge + joints.knee[0]) / 2, (thigh_top + table.under) / 2)
    note = seen.note("thigh_room_short")
    if note is not None:
        text = "With room for the thighs, the keyboard is <amount> above the elbows."
        text = _THIGHS if "short" in note.say.lengths else text
        yield note.name, where, Sentence(text, note.say.lengths)
        return
    missing = thigh_top + THIGH_MARGIN - table.under
    # A seat that cannot be set as asked may lift the thighs where the fit saw room for them.
    if chair.seat > chair.wanted_seat and seen.desk_known and round(missing) > 0:
        yield "thigh_room_short", where, Sentence(_THIGHS, {"short": missing})


def _arms(seen: _Seen) -> Iterator[_Found]:
    """A chair without armrests has none to meet the desk."""
    chair, note, short = seen.scene.chair, seen.note("arms_meet_desk"), seen.short("armrest_height")
    if note is not None and chair.arm is not None:
        message = "The armrests meet the edge of the desk"
        parts = seen.picked.parts.values() if seen.picked is not None else ()
        if chair_has(parts, "arms_slide_back"):
            message += "; these slide back"
        elif chair_has(parts, "arms_swing_away"):
            message += "; these swing away"
        yield note.name, (seen.scene.table.edge, chair.arm), Sentence(f"{message}.")
    if short is not None:
        height = seen.scene.joints.elbow[1] if chair.arm is None else chair.arm
        yield short.requirement, (sum(chair.arm_span) / 2, height), short.say


def _seat(seen: _Seen) -> Iterator[_Found]:
    """The picked chair's own words where it falls short, else the range's."""
    chair, shallow = seen.scene.chair, seen.short("seat_depth")
    if shallow is not None:
        yield shallow.requirement, (chair.depth, chair.seat), shallow.say
    where = (chair.lift, chair.seat / 2)
    short, note = seen.short("seat_height"), seen.note("seat_out_of_reach")
    if short is not None:
        yield "seat_out_of_reach", where, short.say
    elif note is not None:
        high, low = "The lowest seat is too high for the legs.", "The highest seat is too low."
        yield note.name, where, Sentence(high if "footrest" in note.say.lengths else low)


def _feet(seen: _Seen) -> Iterator[_Found]:
    heel, toe = seen.scene.joints.heel, seen.scene.joints.toe
    on = 0.0 if seen.scene.footrest is None else seen.scene.footrest.top
    where = ((heel[0] + toe[0]) / 2, (heel[1] + on) / 2)
    short, note = seen.short("footrest_height"), seen.note("footrest_out_of_reach")
    if short is not None:
        yield "footrest_out_of_reach", where, short.say
    elif note is not None:
        yield note.name, where, note.say
    elif round(seen.hanging) > 0:
        carrier = "floor" if seen.scene.footrest is None else "footrest"
        message = f"The feet hang <amount> above the {carrier}."
        yield "feet_hang", where, Sentence(message, {"amount": seen.hanging})
