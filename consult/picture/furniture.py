"""Chair, desk, footrest and screen as they are set, or as the fit wants them where nothing is.

Sizes that no call asks for (how deep a desk is, how long an armrest) are common practice, no
source: they only make the picture recognisable.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.fit.notes import ASSUMED_THICKNESS
from consult.picture.model import Chair, Footrest, Screen, Table
from consult.picture.seated import TRUNK, forearm_reach

if TYPE_CHECKING:
    from consult.fit.requirements import Fit, Sitter
    from consult.fit.settings import Picked
    from consult.fit.workplace import Workplace
    from consult.picture.model import Joints

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
    found = fit.requirements.get(name)
    return None if found is None else found.target


def as_set(fit: Fit, picked: Picked | None, name: str) -> float | None:
    """What the picked chair is set to, else what the fit asks for."""
    own = wanted(fit, name)
    return picked.settings.get(name, own) if picked is not None else own


def chair_of(sitter: Sitter, fit: Fit, picked: Picked | None) -> Chair | None:
    """The chair; None where its seat could not be worked out."""
    seat, depth = as_set(fit, picked, "seat_height"), as_set(fit, picked, "seat_depth")
    asked = wanted(fit, "seat_height")
    if seat is None or depth is None or asked is None:
        return None
    arm = as_set(fit, picked, "armrest_height") if _has_arms(picked) else None
    return Chair(
        seat=seat,
        wanted_seat=asked,
        depth=depth,
        back_top=seat + _BACK_TOP * sitter.sitting_height,
        arm=None if arm is None else seat + arm,
        arm_span=(_ARM_BACK, forearm_reach(sitter.stature) - _ARM_SHORT),
        lift=depth / 2,
    )


def table_of(sitter: Sitter, workplace: Workplace, fit: Fit) -> Table | None:
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
    return Table(top, top - thick, edge, edge + _DESK_DEPTH, stands)


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


def footrest_under(joints: Joints, top: float) -> Footrest | None:
    """The footrest below the feet; None where they belong on the floor."""
    if top <= 0:
        return None
    return Footrest(top, joints.heel[0] - _BEHIND_HEEL, joints.toe[0] + _BEFORE_TOE)


def screen_of(joints: Joints, table: Table, fit: Fit) -> Screen | None:
    """The screen at an arm's length, never past the far edge of the desk."""
    top = wanted(fit, "screen_top")
    if top is None:
        return None
    x = min(joints.eye[0] + _SCREEN_AWAY, table.far - 100.0)
    return Screen(top, min(max(top - _SCREEN_TALL, table.top + _SCREEN_STAND), top), x)


def _has_arms(picked: Picked | None) -> bool:
    arms = picked.parts.get("arms") if picked is not None else None
    return arms is None or arms.height is not None
