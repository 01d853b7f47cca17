"""The seated person as smooth outlines in mm of the world, from the joints of the scene.

How a body curves between its joints is own drawing: the seat, the knee, the elbow, the eyes and
the soles are where the scene has them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from consult.picture.seated import ANKLE, CALF, ELBOW, KNEE, TRUNK, WRIST
from consult.picture.svg_shapes import round_points, smooth

if TYPE_CHECKING:
    from consult.picture.model import Joints, Point

Outline = tuple["Point", ...]

_PROFILE = (
    *((0.05, 1.0), (0.5, 0.88), (0.79, 0.5), (0.84, 0.2), (0.8, 0.0), (0.93, -0.2)),
    *((1.04, -0.38), (0.86, -0.45), (0.88, -0.58), (0.83, -0.66), (0.85, -0.84)),
    *((0.68, -1.0), (0.36, -0.86), (0.0, -0.74), (-0.55, -0.66), (-0.82, -0.3)),
    *((-0.88, 0.1), (-0.76, 0.56), (-0.42, 0.9)),
)
"""A head looking along x; 1 is its radius, (0.8, 0) the eye."""
_TORSO = (
    *((-0.16, -0.62), (-0.1, -0.92), (0.08, -1.0), (0.34, -0.93), (0.62, -1.0)),
    *((0.86, -0.95), (1.02, -0.66), (1.1, -0.2), (1.08, 0.3), (0.96, 0.72)),
    *((0.76, 0.98), (0.5, 0.98), (0.24, 1.05), (0.04, 1.0), (-0.12, 0.7)),
)
"""(share of the way from hip to shoulder, share of the trunk's half thickness, back below 0)."""


@dataclass(frozen=True, slots=True)
class Figure:
    """Outlines that belong together, from far to near."""

    body: tuple[Outline, ...]
    arm: tuple[Outline, ...]
    shoe: Outline
    eye: Point


def figure(joints: Joints) -> Figure:
    """The person whose joints these are."""
    return Figure(
        body=(
            head(joints.head, joints.head_radius),
            limb(joints.neck, joints.head, 54, 46),
            torso(joints.hip, joints.shoulder, joints.thigh),
            limb(joints.hip, joints.knee, joints.thigh / 2, KNEE),
            limb(joints.knee, joints.ankle, CALF + 4, ANKLE),
        ),
        arm=(
            limb(joints.shoulder, joints.elbow, ELBOW + 12, ELBOW),
            limb(joints.elbow, joints.wrist, ELBOW, WRIST),
            limb(joints.wrist, joints.fingers, WRIST, 11),
        ),
        shoe=shoe(joints.heel, joints.toe, joints.ankle),
        eye=(joints.head[0] + 0.62 * joints.head_radius, joints.eye[1]),
    )


def head(middle: Point, radius: float) -> Outline:
    """A head in profile, looking along x."""
    return smooth([(middle[0] + x * radius, middle[1] + y * radius) for x, y in _PROFILE])


def torso(hip: Point, shoulder: Point, thigh: float) -> Outline:
    """From the buttocks, ``thigh / 2`` below the hip, to the shoulders."""
    length = math.hypot(shoulder[0] - hip[0], shoulder[1] - hip[1]) or 1.0
    up = ((shoulder[0] - hip[0]) / length, (shoulder[1] - hip[1]) / length)
    points = []
    for share, forward in _TORSO:
        along = share * length if share >= 0 else share / 0.16 * thigh / 2
        out = forward * TRUNK
        points.append(
            (hip[0] + up[0] * along + up[1] * out, hip[1] + up[1] * along - up[0] * out)
        )  # fmt: skip
    return smooth(points)


def shoe(heel: Point, toe: Point, ankle: Point) -> Outline:
    """A flat shoe on its sole."""
    (back, sole), (front, _), (middle, up) = heel, toe, ankle
    length = front - back
    return smooth(
        [
            *((back - 4, sole + 2), (back + 0.2 * length, sole), (back + 0.6 * length, sole)),
            *((front - 22, sole), (front, sole + 12), (front - 14, sole + 36)),
            *((middle + 0.32 * length, sole + 62), (middle + ANKLE + 8, up + 6)),
            *((middle, up + 12), (middle - ANKLE - 2, up + 6), (back - 9, sole + 34)),
        ]
    )


def limb(one: Point, other: Point, wide: float, narrow: float) -> Outline:
    """Two round ends and the straight lines that touch both; radii at ``one`` and ``other``."""
    apart = math.hypot(other[0] - one[0], other[1] - one[1])
    if apart <= abs(wide - narrow):
        return round_points(one if wide >= narrow else other, max(wide, narrow))
    along = math.atan2(other[1] - one[1], other[0] - one[0])
    lean = math.acos((wide - narrow) / apart)
    ends = ((one, wide, along + lean, along + math.tau - lean),
            (other, narrow, along - lean, along + lean))  # fmt: skip
    return tuple(
        (middle[0] + radius * math.cos(turn), middle[1] + radius * math.sin(turn))
        for middle, radius, first, last in ends
        for turn in (first + (last - first) * step / 18 for step in range(19))
    )
