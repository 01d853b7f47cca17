"""The side view as data, in mm: its points and lengths, joints, and the outlines to be filled.

The origin is on the floor below the front of the back support; x runs forward, y up. The person
looks along x.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from consult.fit.rules import KEYBOARD, Sitter
from consult.sentence import Sentence

Point = tuple[float, float]
"""x forward of the back support, y above the floor; mm."""


@dataclass(frozen=True, slots=True)
class Joints:
    """The seated person at the best guess of the body."""

    toe: Point
    """Tip of the sole."""
    heel: Point
    """Where the sole begins, heel of the shoe included."""
    ankle: Point
    knee: Point
    hip: Point
    shoulder: Point
    elbow: Point
    wrist: Point
    fingers: Point
    neck: Point
    head: Point
    """Centre of the head."""
    head_radius: float
    eye: Point
    thigh: float
    """How thick the thigh is, from the seat up."""


@dataclass(frozen=True, slots=True)
class Chair:
    seat: float
    """Top of the loaded seat above the floor."""
    wanted_seat: float
    """What the fit asks for; another height than ``seat`` where the chair cannot reach it."""
    depth: float
    """The front edge of the seat is this far forward of the back support."""
    back_top: float
    """Top of the back above the floor."""
    arm: float | None
    """Top of the armrests above the floor; None for a chair without."""
    arm_span: tuple[float, float]
    """x of the back and the front end of the armrests."""
    lift: float
    """x of the gas lift."""


@dataclass(frozen=True, slots=True)
class DrawnDesk:
    """A fixed desk as it stands, one that moves as the fit sets it; else the one wanted."""

    top: float
    under: float
    """The lowest thing above the thighs."""
    edge: float
    """x of the edge towards the person."""
    far: float
    """x of the other edge."""
    stands: bool
    """False: the desk drawn is the one that would suit."""


@dataclass(frozen=True, slots=True)
class Footrest:
    top: float
    start: float
    end: float


@dataclass(frozen=True, slots=True)
class Screen:
    """The screen, edge on."""

    top: float
    bottom: float
    x: float


@dataclass(frozen=True, slots=True)
class DimensionLine:
    """A length to be written beside the picture."""

    name: str
    start: Point
    end: Point
    mm: float


@dataclass(frozen=True, slots=True)
class Misfit:
    """Something in the picture that does not suit."""

    mark: str
    """One digit; the drawing shows it at ``where``, the legend before ``text``."""
    where: Point
    name: str
    """As the fit names its note, or what the chair falls short in: ``seat_depth``."""
    text: Sentence


@dataclass(frozen=True, slots=True)
class Scene:
    joints: Joints
    chair: Chair
    table: DrawnDesk
    footrest: Footrest | None
    screen: Screen | None
    """None where the fit has no screen height."""
    dimensions: tuple[DimensionLine, ...] = ()
    problems: tuple[Misfit, ...] = ()


# -- where the joints of the seated person are, and the filled shapes of a scene, mm --------------

TRUNK = 105.0
"""mm from the middle of the trunk to its skin."""
CALF = 48.0
KNEE = 58.0
ELBOW = 38.0
WRIST = 26.0
ANKLE = 36.0
"""mm from the joint to the skin."""
_ANKLE_UP = 75.0
"""mm from the sole of the bare foot to the ankle."""
_FOOT, _UPPER_ARM, _FOREARM, _HAND = 0.152, 0.186, 0.146, 0.108
"""Of stature."""
_OPEN = math.radians(5)
"""How far the knee is open with the feet flat; the fit takes the same angle."""
_FOLDED = math.radians(30)
"""Legs folded further than this lift the thighs off the seat; the fit takes the same angle."""


def hanging(sitter: Sitter, seat: float, support: float) -> float:
    """mm between the soles and what should carry them; 0 where they stand."""
    return max(0.0, seat - support - sitter.seat_for_legs)


def forearm_reach(stature: float) -> float:
    """x of the wrist with the forearm level."""
    return TRUNK + _FOREARM * stature


def joints_of(sitter: Sitter, seat: float, support: float, top: float) -> Joints:
    """The person on a seat, the feet towards a support, the hands on a desk top; mm."""
    leg = sitter.popliteal + sitter.heel
    angle, behind_knee = _lower_leg(leg, seat, support)
    # The tape goes to the hollow of the knee; the bone lies a calf's half thickness before it.
    back = (sitter.thigh_length, behind_knee)
    heel = (back[0] + leg * math.sin(angle), max(back[1] - leg * math.cos(angle), support))
    foot = _FOOT * sitter.stature
    head_radius = min(max(sitter.sitting_height - sitter.eye, 80.0), 140.0)
    shoulder = (TRUNK, seat + sitter.elbow + _UPPER_ARM * sitter.stature)
    eye_up = seat + sitter.eye
    head = (TRUNK + 45.0, eye_up)
    elbow = (TRUNK + 10.0, seat + sitter.elbow + ELBOW)
    wrist = _wrist(elbow, _FOREARM * sitter.stature, top + KEYBOARD + WRIST)
    return Joints(
        toe=(heel[0] + foot, heel[1]),
        heel=heel,
        ankle=(heel[0] + CALF, heel[1] + sitter.heel + _ANKLE_UP),
        knee=(back[0] + CALF, back[1] + KNEE),
        hip=(TRUNK, seat + sitter.thigh / 2),
        shoulder=shoulder,
        elbow=elbow,
        wrist=wrist,
        fingers=(wrist[0] + _HAND * sitter.stature * 0.8, top + KEYBOARD),
        neck=(TRUNK + 15.0, shoulder[1] + 20.0),
        head=head,
        head_radius=head_radius,
        eye=(head[0] + 0.8 * head_radius, eye_up),
        thigh=sitter.thigh,
    )


def _lower_leg(leg: float, seat: float, support: float) -> tuple[float, float]:
    """How far the lower leg leans forward, and how high the hollow of the knee is."""
    share = (seat - support) / leg if leg > 0 else 1.0
    if share >= math.cos(_OPEN):
        return _OPEN, seat
    if share >= math.cos(_FOLDED):
        return math.acos(share), seat
    return _FOLDED, support + leg * math.cos(_FOLDED)


def _wrist(elbow: Point, forearm: float, height: float) -> Point:
    """The wrist over the keyboard, as near to its height as the forearm can point."""
    steepest = 0.8 * forearm
    rise = min(max(height - elbow[1], -steepest), steepest)
    return elbow[0] + math.sqrt(forearm**2 - rise**2), elbow[1] + rise


NEEDED_DIMENSIONS = {
    *("stature", "popliteal_height", "buttock_popliteal_length", "elbow_rest_height"),
    *("thigh_clearance", "hip_breadth_sitting", "eye_height_sitting", "sitting_height"),
    "hand_breadth",
}
"""What a sitter is made of."""

# -- the filled shapes of a scene, mm, each with the part it belongs to ---------------------------
# Lines without thickness (the edge of the desk, the floor, the line of sight) are left to the
# writer, for a screen of letters and a sheet of paper show them each in their own way.

ShapeName = Literal["trunk", "arm", "chair", "armrest", "post", "footrest"]
SHAPE_NAMES: tuple[ShapeName, ...] = ("trunk", "arm", "chair", "armrest", "post", "footrest")

SEAT_THICK = 75.0
_BACK_THICK = 60.0
_BACK_START = 0.35
"""Of the back's height, where it begins above the seat."""
_PAD = 32.0
_POST = 0.45
"""Of the armrest's length, where what carries it stands."""
_LIFT = 26.0
"""mm either side of the gas lift's middle."""
_BASE = 215.0
"""mm from the gas lift to the outer castors; five legs seen from the side come to about this."""
_BASE_LOW, _BASE_END, _BASE_HIGH = 58.0, 74.0, 100.0
"""Its underside, its upper edge at the end of a leg and at the gas lift."""
CASTOR = 30.0
"""mm; radius."""


@dataclass(frozen=True, slots=True)
class Outline:
    name: ShapeName
    points: tuple[Point, ...]


def outlines(scene: Scene) -> tuple[Outline, ...]:
    """Everything with an area: body, chair, footrest."""
    shapes = [*_body(scene.joints), *_chair(scene.chair)]
    if (rest := scene.footrest) is not None:
        shapes.append(Outline("footrest", box(rest.start, 0.0, rest.end, rest.top)))
    return tuple(shapes)


def castors(chair: Chair) -> tuple[Point, ...]:
    """Middles of the castors seen from the side."""
    return tuple((chair.lift + side * _BASE, CASTOR) for side in (-1.0, 0.0, 1.0))


def _body(joints: Joints) -> Iterator[Outline]:
    chest = (joints.shoulder[0], joints.shoulder[1] - 0.45 * TRUNK)
    seat_end = (TRUNK, joints.hip[1] + max(0.0, TRUNK - joints.thigh / 2))
    radius = joints.head_radius
    yield Outline("trunk", _ellipse(joints.head, 0.86 * radius, radius))
    yield Outline("trunk", _nose(joints))
    yield Outline("trunk", _limb(joints.neck, joints.head, 56, 52))
    yield Outline("trunk", _limb(seat_end, chest, TRUNK, 0.92 * TRUNK))
    yield Outline("trunk", _limb(joints.hip, joints.knee, joints.thigh / 2, KNEE))
    yield Outline("trunk", _limb(joints.knee, joints.ankle, CALF + 4, ANKLE))
    yield Outline("trunk", _foot(joints))
    yield Outline("arm", _limb(joints.shoulder, joints.elbow, ELBOW + 10, ELBOW))
    yield Outline("arm", _limb(joints.elbow, joints.wrist, ELBOW, WRIST))
    yield Outline("arm", _limb(joints.wrist, joints.fingers, WRIST, 12))


def _chair(chair: Chair) -> Iterator[Outline]:
    under = chair.seat - SEAT_THICK
    back = chair.seat + _BACK_START * (chair.back_top - chair.seat)
    yield Outline("chair", box(0.0, under, chair.depth, chair.seat))
    yield Outline("chair", box(-_BACK_THICK, back, 0.0, chair.back_top))
    # What carries the back, from under the seat up behind it.
    yield Outline("chair", box(-_BACK_THICK, under, -_BACK_THICK / 2, back))
    yield Outline("chair", box(-_BACK_THICK, under, 0.0, under + SEAT_THICK / 2))
    yield Outline("chair", box(chair.lift - _LIFT, _BASE_LOW, chair.lift + _LIFT, under))
    left, right = chair.lift - _BASE, chair.lift + _BASE
    yield Outline(
        "chair",
        (
            *((left, _BASE_LOW), (right, _BASE_LOW), (right, _BASE_END)),
            *((chair.lift, _BASE_HIGH), (left, _BASE_END)),
        ),
    )
    if chair.arm is not None:
        rear, front = chair.arm_span
        yield Outline("armrest", box(rear, chair.arm - _PAD, front, chair.arm))
        post = rear + _POST * (front - rear)
        yield Outline("post", box(post - 14, under, post + 14, chair.arm - _PAD))


def _nose(joints: Joints) -> tuple[Point, ...]:
    (x, y), radius = joints.head, joints.head_radius
    front = x + 0.8 * radius
    return (front, y), (x + 1.12 * radius, y - 0.32 * radius), (front, y - 0.45 * radius)


def _foot(joints: Joints) -> tuple[Point, ...]:
    (heel, sole), (toe, _), (ankle, up) = joints.heel, joints.toe, joints.ankle
    top = ((toe, sole + 32), (ankle + 1.6 * ANKLE, up), (ankle - ANKLE, up))
    return (heel - 8, sole), (toe, sole), *top


def box(left: float, low: float, right: float, high: float) -> tuple[Point, ...]:
    """An upright rectangle."""
    return (left, low), (right, low), (right, high), (left, high)


def _ellipse(middle: Point, wide: float, high: float) -> tuple[Point, ...]:
    turns = [math.tau * step / 20 for step in range(20)]
    return tuple((middle[0] + wide * math.cos(a), middle[1] + high * math.sin(a)) for a in turns)


def _limb(start: Point, end: Point, wide: float, narrow: float) -> tuple[Point, ...]:
    """Two round ends and straight sides; radii at ``one`` and ``other``."""
    along = math.atan2(end[1] - start[1], end[0] - start[0])
    arc = [math.pi * step / 8 for step in range(9)]
    first = [along + math.pi / 2 + a for a in arc]
    last = [along - math.pi / 2 + a for a in arc]
    return tuple(
        (middle[0] + radius * math.cos(a), middle[1] + radius * math.sin(a))
        for middle, radius, angles in ((start, wide, first), (end, narrow, last))
        for a in angles
    )
