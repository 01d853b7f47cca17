"""The caller on the chair of today, as far as its numbers are known, beside the desk of today."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from consult.fit.rules import sitter_of
from consult.picture.model import DimensionLine, Misfit, Scene
from consult.picture.outlines import hanging, joints_of
from consult.sentence import Sentence

if TYPE_CHECKING:
    from consult.body.estimate import Estimate
    from consult.fit.requirements import Fit
    from consult.fit.workplace import Present, Workplace
    from consult.picture.model import Point


@dataclass(frozen=True, slots=True)
class Now:
    """The side view of today."""

    scene: Scene
    unknown: frozenset[str]
    """Names of dimensions that nobody measured; the scene borrows them from ``after``."""


def scene_now(
    estimate: Estimate, workplace: Workplace, fit: Fit, after: Scene, present: Present
) -> Now:
    """The person of ``after`` on the chair of today, with no footrest and no screen.

    Seat height, seat depth and the height of the desk are those of ``after`` where they are not
    known (to be drawn dashed); armrests whose height is not known are left out, and so is the
    screen, whose height no call asks for. What does not suit is said of known numbers alone.
    """
    sitter = sitter_of(estimate, workplace)
    known = {
        "seat height": present.seat_height,
        "seat depth": present.seat_depth,
        "armrest above seat": present.armrest_height,
        "desk top": workplace.desk.height if workplace.desk.kind == "fixed" else None,
    }
    seat = after.chair.seat if present.seat_height is None else present.seat_height
    depth = after.chair.depth if present.seat_depth is None else present.seat_depth
    arm = present.armrest_height
    joints = joints_of(sitter, seat, 0.0, after.table.top)
    chair = replace(
        after.chair,
        seat=seat,
        depth=depth,
        lift=depth / 2,
        back_top=after.chair.back_top - after.chair.seat + seat,
        arm=None if arm is None else seat + arm,
    )
    hollow = sitter.thigh_length
    lengths = [
        DimensionLine("seat height", (chair.lift, 0.0), (chair.lift, seat), seat),
        DimensionLine("seat depth", (0.0, seat), (depth, seat), depth),
        DimensionLine("knee gap", (depth, seat), (hollow, seat), hollow - depth),
    ]
    if arm is not None:
        x = chair.arm_span[0]
        lengths.append(DimensionLine("armrest above seat", (x, seat), (x, seat + arm), arm))
    lengths += [one for one in after.dimensions if one.name == "desk top"]
    eye = joints.eye
    lengths.append(DimensionLine("eye height", (eye[0], 0.0), eye, eye[1]))
    places: dict[str, Point] = {
        "seat_depth": (depth, seat),
        "armrest_height": (chair.arm_span[1], seat + (arm or 0.0)),
        "feet_hang": ((joints.heel[0] + joints.toe[0]) / 2, joints.heel[1] / 2),
    }
    air = 0.0 if present.seat_height is None else hanging(sitter, seat, 0.0)
    problems = tuple(
        Misfit(str(number), places[name], name, text)
        for number, (name, text) in enumerate(_wrong(fit, present, air), start=1)
    )
    table = replace(after.table, stands=known["desk top"] is not None)
    scene = Scene(joints, chair, table, None, None, tuple(lengths), problems)
    return Now(scene, frozenset(name for name, mm in known.items() if mm is None))


def _wrong(fit: Fit, present: Present, air: float) -> Iterator[tuple[str, Sentence]]:
    for name, mm, more, less in (
        ("armrest_height", present.armrest_height, "too high", "too low"),
        ("seat_depth", present.seat_depth, "too deep", "too short"),
    ):
        found = fit.requirements.get(name)
        if mm is None or found is None:
            continue
        part = "armrests are" if name == "armrest_height" else "seat is"
        if round(mm - found.high) > 0:
            yield name, Sentence(f"The {part} <amount> {more}.", {"amount": mm - found.high})
        elif round(found.low - mm) > 0:
            yield name, Sentence(f"The {part} <amount> {less}.", {"amount": found.low - mm})
    if round(air) > 0:
        yield "feet_hang", Sentence("The feet hang <amount> above the floor.", {"amount": air})
