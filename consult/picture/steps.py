"""A small drawing for each step of setting up: what to move, and how to see that it is right."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial

from consult.picture import svg_furniture as furniture
from consult.picture.model import Footrest, Screen, joints_of
from consult.picture.svg_furniture import figure, limb
from consult.picture.svg_shapes import (
    Circle,
    Line,
    Polygon,
    Shape,
    View,
    hatch,
    silhouette,
    smooth,
)
from consult.picture.svg_stage import (
    DESK,
    DRAWN_CHAIR,
    JOINTS,
    PEN,
    SEAT,
    SITTER,
    Study,
    arc,
    arm,
    arrow,
    dashed,
    draw_person,
    ground,
    leaning,
    standing,
    study,
    turned_about,
    view_around,
)

STEP_STUDIES: dict[str, Study] = {}
"""The drawing of each step of the set-up that has one, by its topic."""
_step = partial(study, STEP_STUDIES)
_WITHOUT_ARMS = replace(DRAWN_CHAIR, arm=None)


@_step(
    "The shoes you work in",
    "A shoe on the floor; an arrow shows how high its heel is.",
)
def shoes() -> Iterator[Shape]:
    view, rise = view_around((95, 118), 6.6), 34.0
    leg = limb((62, 400), (50, 150), 66, 46)
    yield from ground(view)
    yield from silhouette([view.all(leg)], PEN.body, "body")
    yield from shoe_alone(view, rise)
    yield dashed(view.all([(-85, rise), (-10, rise)]))
    yield from arrow(view.all([(-55, 0), (-55, rise)]))


def shoe_alone(view: View, rise: float) -> Iterator[Shape]:
    """A shoe whose heel is so high."""
    heel = [(2, 0), (68, 0), (76, rise), (-6, rise)]
    upper = smooth(
        [(-8, rise + 4), (70, rise - 2), (140, 16), (240, 8), (268, 18), (258, 46), (206, 68),
         (150, 96), (112, 136), (56, 142), (2, 138), (-14, 92)], 8,
    )  # fmt: skip
    sole = [*smooth([(74, rise), (140, 16), (240, 6), (268, 16)], 6, closed=False), (262, 0),
            (150, 0), (110, 14), (74, rise - 8)]  # fmt: skip
    yield Polygon(view.all(upper), "paper", PEN.heavy, part="shoe")
    yield Polygon(view.all(sole), "ink", PEN.body, part="shoe")
    yield Polygon(view.all(heel), "paper", PEN.heavy, part="shoe")
    yield from hatch(view.all(heel), 45, PEN.gap, PEN.fine, part="shoe")


@_step(
    "Height of the seat",
    "A person sits on a chair, the feet flat on the floor; an arrow beside the seat points"
    " up and down.",
)
def seat_height() -> Iterator[Shape]:
    view = view_around((250, 420), 21)
    yield from _seated(view)
    yield from arrow(view.all([(-170, SEAT - 150), (-170, SEAT + 130)]))
    yield dashed(view.all([(-230, SEAT), (-75, SEAT)]))
    (heel, _), (toe, _) = JOINTS.heel, JOINTS.toe
    yield Line(view.all([(heel - 20, -14), (toe + 20, -14)]), 1.0, part="guide")


@_step(
    "A footrest",
    "Both feet rest flat on a footrest in front of the chair; an arrow shows its height.",
)
def footrest() -> Iterator[Shape]:
    view, rise = view_around((470, 330), 16), 110.0
    joints = joints_of(SITTER, SEAT + rise, rise, DESK.top + rise)
    chair = replace(_WITHOUT_ARMS, seat=SEAT + rise, back_top=DRAWN_CHAIR.back_top + rise)
    rest = Footrest(rise, joints.heel[0] - 60, joints.toe[0] + 40)
    yield from ground(view)
    yield from furniture.chair_behind(chair, view, PEN)
    yield from furniture.footrest_shapes(rest, view, PEN)
    yield from draw_person(figure(joints), view)
    side = rest.end + 60
    yield from arrow(view.all([(side, 0), (side, rise)]))
    yield dashed(view.all([(rest.end, rise), (side + 50, rise)]))


@_step(
    "Depth of the seat",
    "A hand reaches up between the front edge of the seat and the back of the knee: three"
    " fingers fit.",
)
def seat_depth() -> Iterator[Shape]:
    view = view_around((410, 430), 8.5)
    yield from furniture.chair_behind(_WITHOUT_ARMS, view, PEN)
    yield from draw_person(figure(JOINTS), view)
    fingers = [limb((x, 330), (x, tip), 10, 9) for x, tip in ((431, 408), (451, 420), (471, 410))]
    thumb = limb((428, 305), (398, 342), 11, 9)
    palm = smooth([(418, 338), (484, 338), (488, 300), (478, 262), (424, 262), (414, 300)])
    wrist = limb((451, 275), (455, 150), 27, 30)
    yield from silhouette(map(view.all, (wrist, thumb, palm)), PEN.body, "hand")
    # Each finger with its own line, or they would be one broad one.
    for finger in fingers:
        yield Polygon(view.all(finger), "paper", PEN.body * 1.4, part="hand")
    yield Polygon(view.all(palm), "paper", part="hand")


@_step(
    "The back",
    "A person leans back and the back of the chair follows; a curved arrow points there and"
    " back again.",
)
def back() -> Iterator[Shape]:
    view, lean = view_around((180, 715), 34), turned_about((DRAWN_CHAIR.lift * 0.2, SEAT - 40), 17)
    straight = figure(JOINTS)
    yield from ground(view)
    yield from furniture.chair_base(DRAWN_CHAIR, view, PEN)
    for outline in (straight.body[0], furniture.back_pad(DRAWN_CHAIR)):
        yield dashed(view.all([*outline, outline[0]]))
    swung = tuple(map(lean, furniture.carrier(DRAWN_CHAIR)))
    yield Polygon(view.all(swung), "paper", PEN.heavy, part="chair")
    yield from furniture.pad(furniture.seat_pad(DRAWN_CHAIR), view, PEN)
    yield from furniture.pad(tuple(map(lean, furniture.back_pad(DRAWN_CHAIR))), view, PEN)
    who = leaning(17)
    yield from draw_person(who, view)
    yield from furniture.armrest(DRAWN_CHAIR, view, PEN)
    yield from arm(who, view)
    yield from arrow(view.all(arc(JOINTS.hip, 890, 83, 112)))


@_step(
    "Lumbar support",
    "The support fills the hollow of the back, just above the belt; an arrow beside it points"
    " up and down.",
)
def lumbar() -> Iterator[Shape]:
    view, low = view_around((90, SEAT + 250), 16), SEAT + 190
    yield from furniture.chair_behind(_WITHOUT_ARMS, view, PEN)
    support = smooth([(-30, low - 85), (-4, low - 70), (15, low), (-4, low + 70), (-30, low + 85)])
    yield from draw_person(figure(JOINTS), view)
    yield Polygon(view.all(support), "ink", PEN.body, part="lumbar support")
    belt = low - 105
    for edge in (belt - 16, belt + 16):
        yield Line(view.all([(3, edge), (205, edge - 12)]), PEN.body, part="belt")
    yield from arm(figure(JOINTS), view)
    yield from arrow(view.all([(-120, low - 90), (-120, low + 90)]))


@_step(
    "Armrests",
    "The upper arm hangs, the forearm is level and just touches the armrest; an arrow beside"
    " it points up and down.",
)
def armrests() -> Iterator[Shape]:
    view = view_around((150, 740), 16)
    yield from _seated(view)
    assert DRAWN_CHAIR.arm is not None
    yield from arrow(view.all([(-150, DRAWN_CHAIR.arm - 110), (-150, DRAWN_CHAIR.arm + 110)]))
    yield dashed(view.all([(-230, DRAWN_CHAIR.arm), (-85, DRAWN_CHAIR.arm)]))


@_step(
    "Height of the desk",
    "A dashed line shows that the elbow is level with the top of the desk; an arrow on the"
    " desk points up and down.",
)
def desk() -> Iterator[Shape]:
    view = view_around((450, 640), 21)
    yield from furniture.desk_shapes(DESK, view, PEN)
    yield from _seated(view)
    yield from arrow(view.all([(880, DESK.top - 120), (880, DESK.top + 120)]))
    level = JOINTS.elbow[1] - 38
    yield dashed(view.all([(-150, level), (1000, level)]))


@_step(
    "The screen",
    "A person touches the screen with an outstretched arm; a dashed line runs level from the"
    " eyes to the top of the screen.",
)
def screen() -> Iterator[Shape]:
    view = view_around((480, 1000), 20)
    (x, up), (eye, high) = JOINTS.shoulder, JOINTS.eye
    away = x + 700
    elbow, wrist, fingers = (x + 290, up - 8), (x + 540, up + 6), (away, up + 22)
    who = figure(replace(JOINTS, elbow=elbow, wrist=wrist, fingers=fingers))
    shown = Screen(high, high - 340, away)
    yield from furniture.chair_behind(_WITHOUT_ARMS, view, PEN)
    yield from furniture.desk_shapes(DESK, view, PEN)
    yield from furniture.screen_shapes(shown, DESK, view, PEN)
    yield from draw_person(who, view)
    yield from arm(who, view)
    yield dashed(view.all([(eye + 30, high), (away, high)]))
    yield from arrow(view.all([(x + 30, up - 140), (away - 10, up - 140)]))


@_step(
    "Breaks",
    "A person stands beside the chair; on a clock, ten minutes of the hour are hatched.",
)
def breaks() -> Iterator[Shape]:
    view = view_around((300, 880), 42)
    aside = view_around((860, 880), 42)
    yield from ground(view)
    yield from furniture.chair_behind(DRAWN_CHAIR, aside, PEN)
    yield from furniture.armrest(DRAWN_CHAIR, aside, PEN)
    who = standing()
    yield from draw_person(who, view)
    yield from arm(who, view)
    middle, radius = (45.0, 16.0), 10.0
    yield Circle(middle, radius, "paper", PEN.heavy, part="clock")
    rim = [(middle[0] + a, middle[1] - b) for a, b in arc((0, 0), radius, 90, 30)]
    yield Polygon((middle, *rim), "paper", PEN.body, part="clock")
    yield from hatch((middle, *rim), 45, 0.8, 0.3, part="clock")
    for degrees in range(0, 360, 30):
        tick = [arc((0, 0), r, degrees, degrees)[0] for r in (0.86 * radius, radius)]
        yield Line(tuple((middle[0] + a, middle[1] - b) for a, b in tick), 0.3, part="clock")


def _seated(view: View) -> Iterator[Shape]:
    """Person and chair, complete."""
    who = figure(JOINTS)
    yield from ground(view)
    yield from furniture.chair_behind(DRAWN_CHAIR, view, PEN)
    yield from draw_person(who, view)
    yield from furniture.armrest(DRAWN_CHAIR, view, PEN)
    yield from arm(who, view)
