"""Person, chair, desk, footrest and screen on paper, each by its own line and hatching."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from consult.picture.model import (
    ANKLE,
    CALF,
    CASTOR,
    ELBOW,
    KNEE,
    SEAT_THICK,
    TRUNK,
    WRIST,
    Chair,
    DrawnDesk,
    Footrest,
    Joints,
    Point,
    Screen,
    box,
    castors,
)
from consult.picture.svg_shapes import (
    Circle,
    Line,
    Polygon,
    Shape,
    View,
    hatch,
    round_points,
    smooth,
)

_BACK = 58.0
"""mm; how thick the back of the chair is."""
_BACK_START = 0.3
"""Of the back's height, where it begins above the seat."""
_PAD = 32.0
"""mm; how thick an armrest is."""
_POST = 0.45
"""Of the armrest's length, where what carries it stands."""
_LIFT, _BASE = 20.0, 215.0
"""mm either side of the gas lift's middle: the lift, the middles of the outer castors."""
_SCREEN = 26.0
"""mm; how thick a screen is."""


@dataclass(frozen=True, slots=True)
class Pen:
    """Widths and lengths of lines, mm of paper."""

    heavy: float = 0.5
    """Chair and desk."""
    body: float = 0.36
    fine: float = 0.2
    """Hatching, dimension lines."""
    gap: float = 1.3
    """Between the lines of a hatching."""
    dash: tuple[float, ...] = (1.6, 1.2)

    def times(self, by: float) -> Pen:
        """The same pen for a drawing of another size."""
        heavy, body, fine, gap = (w * by for w in (self.heavy, self.body, self.fine, self.gap))
        return Pen(heavy, body, fine, gap, tuple(value * by for value in self.dash))


def chair_behind(chair: Chair, view: View, pen: Pen, *, known: bool = True) -> Iterator[Shape]:
    """All of the chair that the body is in front of; dashed where its sizes are not known."""
    dash = () if known else pen.dash
    yield from chair_base(chair, view, pen, dash)
    bar = carrier(chair)
    yield Polygon(view.all(bar), "paper", pen.heavy, dash, part="chair")
    yield from pad(seat_pad(chair), view, pen, dash)
    yield from pad(back_pad(chair), view, pen, dash)


def chair_base(chair: Chair, view: View, pen: Pen, dash: tuple[float, ...] = ()) -> Iterator[Shape]:
    """Castors, legs, gas lift, and what the seat is mounted on."""
    under, lift = chair.seat - SEAT_THICK, chair.lift
    for x, y in castors(chair):
        yield Circle(view.at((x, y)), CASTOR * view.scale, "paper", pen.heavy, part="chair")
        yield Circle(view.at((x, y)), 7 * view.scale, "ink", part="chair")
    legs = ((lift - _BASE, 62), (lift + _BASE, 62), (lift + _BASE, 76), (lift + 26, 112),
            (lift - 26, 112), (lift - _BASE, 76))  # fmt: skip
    yield Polygon(view.all(legs), "paper", pen.heavy, part="chair")
    low, high = min(112.0, under), max(112.0, under)
    column = box(lift - _LIFT, low, lift + _LIFT, high)
    yield Polygon(view.all(column), "paper", pen.heavy, dash, part="chair")
    mount = box(lift - 70, under - 30, lift + 70, under)
    yield Polygon(view.all(mount), "paper", pen.heavy, dash, part="chair")


def pad(
    outline: tuple[Point, ...], view: View, pen: Pen, dash: tuple[float, ...] = ()
) -> Iterator[Shape]:
    """A padded part of the chair, hatched unless it is dashed."""
    points = view.all(outline)
    yield Polygon(points, "paper", pen.heavy, dash, part="chair")
    if not dash:
        yield from hatch(points, 45, pen.gap, pen.fine, part="chair")


def armrest(chair: Chair, view: View, pen: Pen) -> Iterator[Shape]:
    """The armrest on its post, in front of everything."""
    if chair.arm is None:
        return
    rear, front = chair.arm_span
    post = rear + _POST * (front - rear)
    under = chair.seat - SEAT_THICK * 0.6
    stem = view.all(box(post - 13, under, post + 13, chair.arm - _PAD / 2))
    top = view.all(_rounded(rear, chair.arm - _PAD, front, chair.arm, 14))
    yield Polygon(stem, "paper", pen.heavy, part="armrest")
    yield Polygon(top, "paper", pen.heavy, part="armrest")
    yield from hatch(top, 45, pen.gap, pen.fine, part="armrest")


def desk_shapes(table: DrawnDesk, view: View, pen: Pen) -> Iterator[Shape]:
    """The desk; dashed where it is the one that would suit."""
    dash = () if table.stands else pen.dash
    board = view.all(box(table.edge, table.under, table.far, table.top))
    leg = table.far - 110
    yield Polygon(view.all(box(leg, 0, leg + 40, table.under)), "paper", pen.body, dash, "desk")
    foot = view.all(box(leg - 190, 0, leg + 90, 18))
    yield Polygon(foot, "paper", pen.body, dash, "desk")
    yield Polygon(board, "paper", pen.heavy * 1.3, dash, "desk")
    yield from hatch(board, 0, pen.gap * 0.6, pen.fine, part="desk")


def footrest_shapes(rest: Footrest, view: View, pen: Pen) -> Iterator[Shape]:
    """What the feet stand on, under upright lines."""
    block = view.all(box(rest.start, 0, rest.end, rest.top))
    yield Polygon(block, "paper", pen.heavy, part="footrest")
    yield from hatch(block, 90, pen.gap, pen.fine, part="footrest")


def screen_shapes(screen: Screen, table: DrawnDesk, view: View, pen: Pen) -> Iterator[Shape]:
    """The screen, solid, on its foot."""
    middle = screen.x + _SCREEN / 2
    arm = view.all(box(middle, table.top, middle + 22, (screen.top + screen.bottom) / 2))
    foot = view.all(box(middle - 80, table.top, middle + 90, table.top + 12))
    yield Polygon(arm, "paper", pen.body, part="screen")
    yield Polygon(foot, "paper", pen.body, part="screen")
    panel = view.all(_rounded(screen.x, screen.bottom, screen.x + _SCREEN, screen.top, 5))
    yield Polygon(panel, "ink", pen.body, part="screen")


def floor(left: float, right: float, y: float, pen: Pen) -> Iterator[Shape]:
    """The floor, from ``left`` to ``right`` on paper."""
    yield Line(((left, y), (right, y)), pen.heavy * 1.3, part="floor")


def seat_pad(chair: Chair) -> tuple[Point, ...]:
    """Flat on top, its front edge turned down; it touches 0 and the depth."""
    top, under, end = chair.seat, chair.seat - SEAT_THICK, chair.depth
    curve = min(45.0, end / 3)
    return (
        *smooth([(0, under + 18), (0, top - 12), (12, top)], 4, closed=False),
        *smooth(
            [(end - curve, top), (end - 12, top - 10), (end, top - 38), (end - 16, under + 6),
             (end - curve - 20, under)], 6, closed=False,
        ),
        *smooth([(30, under), (8, under + 4), (0, under + 18)], 4, closed=False),
    )  # fmt: skip


def back_pad(chair: Chair) -> tuple[Point, ...]:
    """Touching 0 where it carries the hollow of the back and the shoulder blades."""
    low = chair.seat + _BACK_START * (chair.back_top - chair.seat)
    tall = chair.back_top - low
    front = [(-16, low), (-2, low + 0.16 * tall), (0, low + 0.3 * tall), (-8, low + 0.62 * tall),
             (-4, low + 0.86 * tall), (-22, chair.back_top)]  # fmt: skip
    return smooth([*front, *((x - _BACK + 18, y) for x, y in reversed(front))])


def carrier(chair: Chair) -> tuple[Point, ...]:
    """What carries the back: from under the seat up behind it."""
    under = chair.seat - SEAT_THICK
    low = chair.seat + (_BACK_START + 0.2) * (chair.back_top - chair.seat)
    bar = smooth([(chair.lift, under - 9), (20, under - 9), (-36, under + 12), (-50, under + 70),
                  (-44, low)], closed=False)  # fmt: skip
    return (*bar, *((x + 15, y + 15) for x, y in reversed(bar)))


def _rounded(
    left: float, low: float, right: float, high: float, radius: float
) -> tuple[Point, ...]:
    r = min(radius, (right - left) / 2, (high - low) / 2)
    bend = 0.3 * r
    return (
        *((left + r, low), (right - r, low), (right - bend, low + bend), (right, low + r)),
        *((right, high - r), (right - bend, high - bend), (right - r, high)),
        *((left + r, high), (left + bend, high - bend), (left, high - r)),
        *((left, low + r), (left + bend, low + bend)),
    )


# -- the seated person as smooth outlines in mm of the world, from the joints of the scene --------
# How a body curves between its joints is own drawing: the seat, the knee, the elbow, the eyes
# and the soles are where the scene has them.

Corners = tuple["Point", ...]

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
class FigureOutlines:
    """Outlines that belong together, from far to near."""

    body: tuple[Corners, ...]
    arm: tuple[Corners, ...]
    shoe: Corners
    eye: Point


def figure(joints: Joints) -> FigureOutlines:
    return FigureOutlines(
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


def head(middle: Point, radius: float) -> Corners:
    """A head in profile, looking along x."""
    return smooth([(middle[0] + x * radius, middle[1] + y * radius) for x, y in _PROFILE])


def torso(hip: Point, shoulder: Point, thigh: float) -> Corners:
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


def shoe(heel: Point, toe: Point, ankle: Point) -> Corners:
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


def limb(start: Point, end: Point, wide: float, narrow: float) -> Corners:
    """Two round ends and the straight lines that touch both; radii at ``one`` and ``other``."""
    apart = math.hypot(end[0] - start[0], end[1] - start[1])
    if apart <= abs(wide - narrow):
        return round_points(start if wide >= narrow else end, max(wide, narrow))
    along = math.atan2(end[1] - start[1], end[0] - start[0])
    lean = math.acos((wide - narrow) / apart)
    ends = ((start, wide, along + lean, along + math.tau - lean),
            (end, narrow, along - lean, along + lean))  # fmt: skip
    return tuple(
        (middle[0] + radius * math.cos(turn), middle[1] + radius * math.sin(turn))
        for middle, radius, first, last in ends
        for turn in (first + (last - first) * step / 18 for step in range(19))
    )
