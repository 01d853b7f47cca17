"""The side view of a call, worked out from its numbers."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from consult.fit.requirements import sitter_of
from consult.picture.furniture import chair_of, footrest_top, footrest_under, screen_of, table_of
from consult.picture.model import Dimension, Scene
from consult.picture.seated import can_draw, hanging, joints_of
from consult.picture.wrong import Seen, problems_of

if TYPE_CHECKING:
    from consult.body.estimate import Estimate
    from consult.fit.requirements import Fit
    from consult.fit.settings import Picked
    from consult.fit.workplace import Workplace
    from consult.picture.model import Chair, Footrest, Joints, Screen, Table


def scene(
    estimate: Estimate, workplace: Workplace, fit: Fit | None, picked: Picked | None
) -> Scene | None:
    """The caller on the chair as it is set; without a picked chair, as the fit asks for it.

    The feet stay where the legs let them, so what does not reach shows as a gap. None where the
    seat, the desk or a dimension of the body could not be worked out.
    """
    if fit is None or not can_draw(estimate.dimensions):
        return None
    sitter = sitter_of(estimate, workplace)
    chair, table = chair_of(sitter, fit, picked), table_of(sitter, workplace, fit)
    if chair is None or table is None:
        return None
    support = footrest_top(fit, picked)
    joints = joints_of(sitter, chair.seat, support, table.top)
    footrest = footrest_under(joints, support)
    screen = screen_of(joints, table, fit)
    seen = Seen(
        fit,
        picked,
        joints,
        chair,
        table,
        footrest,
        hanging(sitter, chair.seat, support),
        workplace.desk.kind == "fixed" and workplace.desk.thickness is not None,
    )
    lines = tuple(_dimensions(sitter.thigh_length, joints, chair, table, footrest, screen))
    return Scene(joints, chair, table, footrest, screen, lines, problems_of(seen))


def _dimensions(
    hollow: float,
    joints: Joints,
    chair: Chair,
    table: Table,
    footrest: Footrest | None,
    screen: Screen | None,
) -> Iterator[Dimension]:
    """``hollow`` is x of the hollow of the knee."""
    yield _upright("seat height", chair.lift, 0.0, chair.seat)
    yield _level("seat depth", chair.seat, 0.0, chair.depth)
    yield _level("knee gap", chair.seat, chair.depth, hollow)
    if chair.arm is not None:
        yield _upright("armrest above seat", chair.arm_span[0], chair.seat, chair.arm)
    yield _upright("desk top", table.far, 0.0, table.top)
    if footrest is not None:
        yield _upright("footrest height", footrest.end, 0.0, footrest.top)
    if screen is not None:
        yield _upright("screen top", screen.x, 0.0, screen.top)
    yield _upright("eye height", joints.eye[0], 0.0, joints.eye[1])


def _upright(name: str, x: float, low: float, high: float) -> Dimension:
    return Dimension(name, (x, low), (x, high), high - low)


def _level(name: str, y: float, back: float, front: float) -> Dimension:
    return Dimension(name, (back, y), (front, y), front - back)
