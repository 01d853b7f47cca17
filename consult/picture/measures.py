"""A drawing for each measure a call may ask for: a person or a thing, and the tape beside it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from functools import partial

from consult.picture.model import Point, joints_of
from consult.picture.steps import shoe_alone
from consult.picture.svg_furniture import FigureOutlines, figure, limb
from consult.picture.svg_shapes import (
    Anchor,
    Line,
    Polygon,
    Shape,
    Text,
    View,
    hatch,
    silhouette,
    smooth,
)
from consult.picture.svg_stage import (
    PEN,
    SITTER,
    Study,
    arm,
    dashed,
    draw_person,
    ground,
    standing,
    study,
    view_around,
)

MEASURES: dict[str, Study] = {}
"""The drawing of each measure that has one, in the order of the measuring sheet: by body dimension,
or fact of the workplace."""
_measure = partial(study, MEASURES)

_BAREFOOT = replace(SITTER, heel=0)
_SEAT = 418.0
_STOOL = 250.0
"""Where the stool ends, so that the back of the knee is free."""
_WIDE = 2.4
"""mm of paper; the tape."""
_LETTERS = 4.1


@_measure(
    "Height",
    "A person stands against a wall with a book flat on the head. The tape starts on the floor"
    " and ends level with the underside of the book.",
)
def stature() -> Iterator[Shape]:
    view, top = view_around((240, 905), 43), SITTER.stature + SITTER.heel
    yield from ground(view)
    yield from _wall(view, -112, 1880)
    who = standing()
    yield from draw_person(who, view)
    yield from arm(who, view)
    yield _box(view, (-110, top), (170, top + 50), "book")
    yield dashed(view.all([(170, top), (560, top)]))
    yield from _upright(view, 480, 0, top, aside=1)


@_measure(
    "Lower leg",
    "A person sits with bare feet flat. The tape starts on the floor and ends level with the"
    " crease behind the knee.",
)
def popliteal_height() -> Iterator[Shape]:
    view = view_around((370, 340), 18)
    yield from _seated(view, _sitter())
    yield dashed(view.all([(280, _SEAT), (480, _SEAT)]))
    yield from _upright(view, 395, 0, _SEAT, aside=-1)


@_measure(
    "Thigh length",
    "A person sits with the bottom against a wall. The tape starts at the wall, runs level"
    " along the thigh and ends at the crease behind the knee.",
)
def buttock_popliteal_length() -> Iterator[Shape]:
    view, high, knee = view_around((205, 500), 18), _SEAT + 66, SITTER.thigh_length
    yield from _seated(view, _sitter(), stool=(4, _STOOL))
    yield from _wall(view, 0, 1100)
    yield dashed(view.all([(knee, _SEAT - 130), (knee, high + 110)]))
    yield from _tape(view, (0, high), (knee, high))
    yield _word(view.at((-75, high)), 0.0, 1.7, "start", "end")
    yield _word(view.at((knee, high + 110)), 0.0, -1.0, "end", "middle")


@_measure(
    "Elbow height",
    "A person sits upright, the upper arm hanging, the forearm level. The tape starts on the"
    " seat and ends level with the underside of the elbow.",
)
def elbow_rest_height() -> Iterator[Shape]:
    view, under = view_around((100, 690), 15), _SEAT + SITTER.elbow
    yield from _seated(view, _sitter(level=True))
    yield dashed(view.all([(-150, under), (130, under)]))
    yield from _upright(view, -90, _SEAT, under, aside=-1)


@_measure(
    "Elbow height, standing",
    "A person stands, the upper arm hanging, the forearm level. The tape starts on the floor"
    " and ends level with the underside of the elbow.",
)
def elbow_height_standing() -> Iterator[Shape]:
    view = view_around((240, 905), 43)
    under = SITTER.stature - SITTER.sitting_height + SITTER.elbow + SITTER.heel
    yield from ground(view)
    who = standing(level=True)
    yield from draw_person(who, view)
    yield from arm(who, view)
    yield dashed(view.all([(-320, under), (60, under)]))
    yield from _upright(view, -240, 0, under, aside=-1)


@_measure(
    "Hip width",
    "A person sits, seen from the front, a book standing against each hip. The tape starts at"
    " one book and ends at the other.",
)
def hip_breadth_sitting() -> Iterator[Shape]:
    view, seat, half = view_around((0, 645), 30), 440.0, 190.0
    yield from ground(view)
    for side in (-1, 1):
        yield _box(view, (side * 320 - 18, 0), (side * 320 + 18, seat - 38), "stool")
    yield _box(view, (-380, seat - 38), (380, seat), "stool")
    trunk = smooth(
        [(-half, seat + 70), (-150, seat + 220), (-150, seat + 400), (-195, seat + 530),
         (-120, seat + 590), (120, seat + 590), (195, seat + 530), (150, seat + 400),
         (150, seat + 220), (half, seat + 70), (165, seat), (-165, seat)]
    )  # fmt: skip
    head = smooth([(0, 880), (80, 850), (96, 770), (60, 670), (-60, 670), (-96, 770), (-80, 850)])
    top = [(x, y + seat) for x, y in head]
    neck = limb((0, seat + 560), (0, seat + 700), 50, 46)
    yield from silhouette(map(view.all, (trunk, neck, top)), PEN.body, "body")
    for side in (-1, 1):
        upper = limb((side * 175, seat + 520), (side * 205, seat + 330), 46, 38)
        fore = limb((side * 205, seat + 330), (side * 40, seat + 300), 38, 28)
        yield from silhouette(map(view.all, (upper, fore)), PEN.body, "arm")
        leg = limb((side * 92, seat + 44), (side * 84, 80), 84, 42)
        foot = limb((side * 84, 42), (side * 96, 40), 44, 42)
        yield from silhouette(map(view.all, (leg, foot)), PEN.body, "body")
        edges = sorted((side * half, side * (half + 50)))
        yield _box(view, (edges[0], seat), (edges[1], seat + 260), "book")
    yield from _tape(view, (-half, seat + 40), (half, seat + 40))
    yield _word(view.at((-half - 80, seat + 110)), 0.0, 1.7, "start", "end")
    yield _word(view.at((half + 80, seat + 110)), 0.0, 1.7, "end", "start")


@_measure(
    "Thigh thickness",
    "A person sits with a ruler flat across the thigh. The tape starts on the seat and ends at"
    " the underside of the ruler.",
)
def thigh_clearance() -> Iterator[Shape]:
    view, top, across = view_around((260, 520), 14), _SEAT + SITTER.thigh, 222.0
    yield from _seated(view, _sitter(), stool=(-270, 285), arms=False)
    yield _box(view, (across - 45, top), (across + 45, top + 26), "ruler")
    yield from _tape(view, (across, _SEAT), (across, top))
    yield _word(view.at((across, _SEAT)), 5.2, 4.4, "start", "start")
    yield _word(view.at((across, top)), 5.2, -1.2, "end", "start")


@_measure(
    "Eye height",
    "A person sits upright and looks straight ahead. The tape starts on the seat and ends level"
    " with the eyes.",
)
def eye_height_sitting() -> Iterator[Shape]:
    view, who = view_around((110, 830), 24), _sitter()
    yield from _seated(view, who)
    high = who.eye[1]
    yield dashed(view.all([(-230, high), who.eye]))
    yield from _upright(view, -140, _SEAT, high, aside=-1)


@_measure(
    "Desk height",
    "A desk from the side. The tape starts on the floor and ends level with the top, at the"
    " front edge.",
)
def desk_height() -> Iterator[Shape]:
    view, top = view_around((460, 400), 22), 720.0
    yield from ground(view)
    for x in (330, 900):
        yield _box(view, (x, 0), (x + 40, top - 28), "desk")
    yield _box(view, (260, top - 28), (980, top), "desk")
    yield _box(view, (400, top), (590, top + 22), "keyboard")
    yield dashed(view.all([(60, top), (260, top)]))
    yield from _upright(view, 150, 0, top, aside=-1)


@_measure(
    "Desk thickness",
    "The front of a desk with a drawer under it, above a thigh. The tape starts level with the"
    " top and ends level with the underside of the drawer.",
)
def desk_thickness() -> Iterator[Shape]:
    view, low = view_around((95, -85), 8), -95.0
    thigh = limb((-300, -205), (430, -200), 78, 72)
    yield from silhouette([view.all(thigh)], PEN.body, "body")
    yield _word(view.at((150, -220)), 0.0, 0.0, "thigh", "middle")
    yield _box(view, (60, -28), (500, 0), "desk")
    yield _box(view, (120, low), (500, -28), "drawer")
    yield dashed(view.all([(-20, 0), (60, 0)]))
    yield dashed(view.all([(-20, low), (120, low)]))
    yield from _tape(view, (10, 0), (10, low))
    yield _word(view.at((10, 0)), -5.2, 1.7, "start", "end")
    yield _word(view.at((10, low)), -5.2, 1.7, "end", "end")


@_measure(
    "Heel of the shoe",
    "A shoe on a table. The tape starts on the table and ends level with the sole inside, at"
    " the back.",
)
def heel() -> Iterator[Shape]:
    view, rise = view_around((36, 62), 8), 34.0
    yield from ground(view)
    yield from shoe_alone(view, rise)
    yield dashed(view.all([(-90, rise), (30, rise)]))
    yield from _tape(view, (-52, 0), (-52, rise), tick=1.0)
    yield _word(view.at((-52, rise)), -5.2, 0.6, "end", "end")
    yield _word(view.at((-52, 0)), -5.2, 4.4, "start", "end")


def _sitter(*, level: bool = False) -> FigureOutlines:
    """A person on a hard seat, barefoot; the forearm level, or the hand on the thigh."""
    joints = joints_of(_BAREFOOT, _SEAT, 0.0, _SEAT + 240)
    (x, y), thigh = joints.elbow, _SEAT + SITTER.thigh
    if level:
        return figure(replace(joints, wrist=(x + 250, y), fingers=(x + 390, y - 4)))
    wrist, fingers = (x + 145, thigh + 62), (x + 245, thigh + 14)
    return figure(replace(joints, elbow=(x - 20, y), wrist=wrist, fingers=fingers))


def _seated(
    view: View,
    who: FigureOutlines,
    *,
    stool: tuple[float, float] = (-270, _STOOL),
    arms: bool = True,
) -> Iterator[Shape]:
    """A person on a hard seat that is open behind the knees."""
    yield from ground(view)
    back, front = stool
    # The front leg stands back, so that the words of a tape have room before it.
    for x in (back + 40, front - min(170.0, 0.3 * (front - back))):
        yield _box(view, (x, 0), (x + 34, _SEAT - 38), "stool")
    yield from draw_person(who, view)
    yield _box(view, (stool[0], _SEAT - 38), (stool[1], _SEAT), "stool")
    if arms:
        yield from arm(who, view)


def _wall(view: View, x: float, high: float) -> Iterator[Shape]:
    """A wall seen from its edge."""
    outline = view.all([(x - 60, 0), (x, 0), (x, high), (x - 60, high)])
    yield Polygon(outline, "paper", part="wall")
    yield from hatch(outline, 45, PEN.gap * 1.3, PEN.fine, part="wall")
    yield Line(view.all([(x, 0), (x, high)]), PEN.heavy, part="wall")


def _box(view: View, low: Point, high: Point, part: str) -> Polygon:
    corners = [low, (high[0], low[1]), high, (low[0], high[1])]
    return Polygon(view.all(corners), "paper", PEN.heavy, part=part)


def _upright(view: View, x: float, low: float, high: float, *, aside: int) -> Iterator[Shape]:
    """A tape from below to above, its words between its ends, left of it (-1) or right (1)."""
    yield from _tape(view, (x, low), (x, high))
    anchor: Anchor = "end" if aside < 0 else "start"
    yield _word(view.at((x, low)), aside * 2.4, -1.3, "start", anchor)
    yield _word(view.at((x, high)), aside * 2.4, 4.6, "end", anchor)


def _tape(view: View, start: Point, end: Point, *, tick: float = 2.0) -> Iterator[Shape]:
    """A tape measure between two bars, marked every ``tick`` mm of paper."""
    (x, y), (to_x, to_y) = view.at(start), view.at(end)
    long = math.hypot(to_x - x, to_y - y)
    along = ((to_x - x) / long, (to_y - y) / long)

    def at(far: float, off: float) -> Point:
        return x + along[0] * far - along[1] * off, y + along[1] * far + along[0] * off

    half = _WIDE / 2
    band = (at(0, -half), at(long, -half), at(long, half), at(0, half))
    yield Polygon(band, "paper", PEN.body, part="tape")
    for mark in range(1, math.ceil(long / tick)):
        reach = half if mark % 5 == 0 else 0.0
        yield Line((at(mark * tick, -half), at(mark * tick, reach)), PEN.fine, part="tape")
    for far, name in ((0.0, "start"), (long, "end")):
        yield Line((at(far, -1.6 * _WIDE), at(far, 1.6 * _WIDE)), 0.9, part=f"tape {name}")


def _word(at: Point, right: float, down: float, word: str, anchor: Anchor) -> Text:
    """A word beside a place of the paper."""
    place = at[0] + right, at[1] + down
    return Text(place, word, _LETTERS, anchor, bold=True, part=f"word: {word}")
