"""The small drawings of the set-up, and the person, chair and desk that they share."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from consult.fit.rules import Sitter
from consult.picture.model import Chair, DrawnDesk, Joints, joints_of
from consult.picture.svg_furniture import FigureOutlines, Pen, figure
from consult.picture.svg_shapes import (
    Circle,
    Line,
    Polygon,
    Shape,
    Sheet,
    SvgPoint,
    View,
    clip_shape,
    silhouette,
    svg_text,
)

Sketch = Callable[[], Iterator[Shape]]


@dataclass(frozen=True, slots=True)
class Study:
    """Drawn when it is asked for."""

    title: str
    description: str
    """What it shows, for somebody who does not see it."""
    shapes: Sketch

    def sheet(self) -> Sheet:
        """Cut to the frame, and the frame."""
        inset = _FRAME / 2
        low, high = (inset, inset), (SIZE[0] - inset, SIZE[1] - inset)
        corners = (low, (high[0], low[1]), high, (low[0], high[1]))
        cut = (piece for shape in self.shapes() for piece in clip_shape(shape, low, high))
        return Sheet((*cut, Polygon(corners, "none", _FRAME, part="frame")), SIZE, 1.0)

    def svg(self, *, prefix: str = "") -> str:
        """The same as SVG; ``prefix`` as for ``svg_shapes.svg_text``."""
        drawn, text = self.sheet(), self.description
        return svg_text(drawn.shapes, drawn.size, title=self.title, description=text, prefix=prefix)


def study(into: dict[str, Study], title: str, description: str) -> Callable[[Sketch], Sketch]:
    """Puts what the function below it draws into a table, by the function's name."""

    def put(drawn: Sketch) -> Sketch:
        into[drawn.__name__] = Study(title, description, drawn)
        return drawn

    return put


# -- what the small drawings share: one person, one chair, one desk, arrows -----------------------
# The person is of no call: round numbers of nobody in particular, so that what is drawn is read
# as a sign and not as a measure.

SIZE = (60.0, 45.0)
"""mm of paper."""
PEN = Pen(heavy=0.5, body=0.4, fine=0.2, gap=1.2, dash=(1.2, 1.0))
_STRONG = 0.6
"""mm; arrows."""
_FRAME = 0.4

SITTER = Sitter(420, 480, 235, 140, 380, 760, 1700, 880, None, 25)
SEAT = 443.0
DESK = DrawnDesk(658, 633, 400, 1120, stands=True)
JOINTS = joints_of(SITTER, SEAT, 0.0, DESK.top)
DRAWN_CHAIR = Chair(SEAT, SEAT, 420, SEAT + 545, SEAT + 235, (75, 322), 210)


def view_around(middle: SvgPoint, one_to: float) -> View:
    """A view whose middle is this point of the world, at a scale of one to so many."""
    scale = 1 / one_to
    return View(scale, SIZE[0] / 2 - middle[0] * scale, SIZE[1] / 2 + middle[1] * scale)


def ground(view: View) -> Iterator[Shape]:
    """The floor from border to border."""
    yield Line(((0.0, view.floor), (SIZE[0], view.floor)), PEN.heavy * 1.3, part="floor")


def draw_person(who: FigureOutlines, view: View) -> Iterator[Shape]:
    """Body, shoe and eye; the arm comes last, over armrest and desk."""
    yield from silhouette(map(view.all, who.body), PEN.body, "body")
    yield Polygon(view.all(who.shoe), "paper", PEN.body, part="shoe")
    yield Circle(view.at(who.eye), 10 * view.scale, "ink", part="eye")


def arm(who: FigureOutlines, view: View) -> Iterator[Shape]:
    yield from silhouette(map(view.all, who.arm), PEN.body, "arm")


def arrow(points: Sequence[SvgPoint]) -> Iterator[Shape]:
    """A strong line with a head at both ends; mm of paper."""
    yield Line(tuple(points), _STRONG, part="arrow")
    yield _head(points[-2], points[-1])
    yield _head(points[1], points[0])


def arc(middle: SvgPoint, radius: float, first: float, last: float) -> tuple[SvgPoint, ...]:
    """Points from one angle to another, degrees, 90 being up; in the unit of the radius, y up."""
    x, y = middle
    turns = [math.radians(first + (last - first) * step / 16) for step in range(17)]
    return tuple((x + radius * math.cos(a), y + radius * math.sin(a)) for a in turns)


def dashed(points: Iterable[SvgPoint]) -> Line:
    """What is level, or was there before."""
    return Line(tuple(points), 0.3, PEN.dash, "guide")


def turned_about(pivot: SvgPoint, degrees: float) -> Callable[[SvgPoint], SvgPoint]:
    """Turns points about another, against the clock seen from the side."""
    turn = math.radians(degrees)
    cos, sin = math.cos(turn), math.sin(turn)

    def turn_it(point: SvgPoint) -> SvgPoint:
        x, y = point[0] - pivot[0], point[1] - pivot[1]
        return pivot[0] + cos * x - sin * y, pivot[1] + sin * x + cos * y

    return turn_it


def leaning(degrees: float) -> FigureOutlines:
    """The person leaning back from the hip, the forearms on the armrests."""
    turn = turned_about(JOINTS.hip, degrees)
    rest = DRAWN_CHAIR.seat + SITTER.elbow
    return figure(
        replace(
            JOINTS,
            shoulder=turn(JOINTS.shoulder),
            neck=turn(JOINTS.neck),
            head=turn(JOINTS.head),
            eye=turn(JOINTS.eye),
            elbow=(110.0, rest + 38),
            wrist=(350.0, rest + 30),
            fingers=(485.0, rest + 14),
        )
    )


def standing(*, level: bool = False) -> FigureOutlines:
    """The same person on the feet; the forearm hanging, or level."""
    hip = SITTER.stature + SITTER.heel - SITTER.sitting_height + SITTER.thigh / 2
    shoulder = hip + JOINTS.shoulder[1] - JOINTS.hip[1]
    radius = JOINTS.head_radius
    head = (45.0, SITTER.stature + SITTER.heel - radius)
    elbow = (-12.0, shoulder - 310)
    wrist, fingers = (40.0, shoulder - 550), (72.0, shoulder - 690)
    if level:
        wrist, fingers = (238.0, elbow[1]), (378.0, elbow[1] - 4)
    return figure(
        Joints(
            toe=(185, 0), heel=(-65, 0), ankle=(-18, 100), knee=(2, 510), hip=(0, hip),
            shoulder=(0, shoulder), elbow=elbow, wrist=wrist,
            fingers=fingers, neck=(15, shoulder + 20), head=head,
            head_radius=radius, eye=(head[0] + 0.8 * radius, head[1]), thigh=150,
        )
    )  # fmt: skip


def _head(before: SvgPoint, tip: SvgPoint) -> Polygon:
    along = math.atan2(tip[1] - before[1], tip[0] - before[0])
    wings = [
        (tip[0] - 2.6 * math.cos(along + by), tip[1] - 2.6 * math.sin(along + by))
        for by in (0.42, -0.42)
    ]
    return Polygon((tip, *wings), "ink", 0.3, part="arrow")
