"""The side view on paper: the caller on the chair at the desk, with what to measure beside it.

Heights above the floor stand at the right on one line, the chair's own at the left, the seat's
depth and the knee gap below the floor. What does not suit has a numbered sign; the words for it are
listed beneath.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from consult.picture import svg_furniture as furniture
from consult.picture.labels import Box, label_width, spread_apart, wrap
from consult.picture.model import CASTOR, DimensionLine, Scene
from consult.picture.svg_furniture import Pen, figure
from consult.picture.svg_shapes import (
    Anchor,
    Circle,
    Line,
    Polygon,
    Shape,
    Sheet,
    SvgPoint,
    Text,
    View,
    silhouette,
)
from consult.units import System, format_length

VIEW_NAMES = {
    "seat height": "Seat height",
    "seat depth": "Seat depth",
    "knee gap": "Knee gap",
    "armrest above seat": "Armrest above seat",
    "desk top": "Desk top",
    "footrest height": "Footrest height",
    "screen top": "Top of screen",
    "eye height": "Eye line",
}
_CHAIR = ("seat height", "armrest above seat")
_ABOVE_FLOOR = ("footrest height", "desk top", "screen top", "eye height")
_BELOW = ("seat depth", "knee gap")
_AIR = 30.0
"""mm of the world, left, right and above."""


def side_sheet(scene: Scene, system: System, *, width_mm: float = 170.0) -> Sheet:
    """The side view with its lengths, and the list of what does not suit."""
    return _Side(scene, system, width_mm).sheet()


def extent(scene: Scene) -> tuple[float, float, float]:
    """How far everything reaches: left, right and up; mm of the world."""
    chair, table, joints = scene.chair, scene.table, scene.joints
    right = [table.far, joints.toe[0], joints.fingers[0], chair.depth, chair.lift + 245]
    high = [joints.head[1] + joints.head_radius, table.top, chair.back_top, chair.arm or 0.0]
    if scene.footrest is not None:
        right.append(scene.footrest.end)
    if scene.screen is not None:
        right.append(scene.screen.x + 120)
        high.append(scene.screen.top)
    left = min(-75.0, chair.lift - 215 - CASTOR)
    return left - _AIR, max(right) + _AIR, max(high) + _AIR


def painted(
    scene: Scene, view: View, pen: furniture.Pen, *, seat_known: bool = True
) -> Iterator[Shape]:
    """Everything that is to scale, from far to near."""
    person = figure(scene.joints)
    if scene.footrest is not None:
        yield from furniture.footrest_shapes(scene.footrest, view, pen)
    yield from furniture.chair_behind(scene.chair, view, pen, known=seat_known)
    yield from furniture.desk_shapes(scene.table, view, pen)
    if scene.screen is not None:
        yield from furniture.screen_shapes(scene.screen, scene.table, view, pen)
    yield from silhouette(map(view.all, person.body), pen.body, "body")
    yield Polygon(view.all(person.shoe), "paper", pen.body, part="shoe")
    yield Circle(view.at(person.eye), 9 * view.scale, "ink", part="eye")
    yield from furniture.armrest(scene.chair, view, pen)
    yield from silhouette(map(view.all, person.arm), pen.body, "arm")


class _Side:
    """One drawing being laid out; all places in mm of paper."""

    def __init__(self, scene: Scene, system: System, wide: float) -> None:
        self.scene, self.system, self.wide = scene, system, wide
        self.style = style = Style.of(wide)
        unit = style.unit
        self.labels = {dimension.name: self._label(dimension) for dimension in scene.dimensions}
        self.left = self._widest(_CHAIR) + 7.0 * unit
        self.right = wide - self._widest(_ABOVE_FLOOR) - 10.0 * unit
        first, last, high = extent(scene)
        scale = (self.right - self.left) / (last - first)
        floor = unit + high * scale
        self.view = View(scale, self.left - first * scale, floor)
        self.ends = {
            dimension.name: (self.view.at(dimension.start), self.view.at(dimension.end))
            for dimension in scene.dimensions
        }
        self.area = Box(self.left, 0.0, self.right, floor)

    def sheet(self) -> Sheet:
        """Everything, and how high it has become."""
        style, floor = self.style, self.view.floor
        shapes = [
            *self._chair_lines(),
            *self._heights(),
            *furniture.floor(self.left - 2 * style.unit, self.right + 3 * style.unit, floor,
                             style.pen),
            *painted(self.scene, self.view, style.pen),
            *self._depths(),
            *self._signs(),
        ]  # fmt: skip
        below = floor + 17.5 * style.unit
        listed, end = legend(self._rows(), style.unit, below, self.wide - style.unit, style)
        return Sheet((*shapes, *listed), (self.wide, end + style.unit), self.view.scale)

    def _label(self, dimension_line: DimensionLine) -> Label:
        name = VIEW_NAMES[dimension_line.name]
        if dimension_line.name == "desk top" and not self.scene.table.stands:
            name = "Wanted desk top"
        return Label(name, format_length(dimension_line.mm, self.system), dimension_line.name)

    def _widest(self, names: Iterable[str]) -> float:
        shown = (self.labels[name].wide(self.style) for name in names if name in self.labels)
        return max(shown, default=0.0)

    def _spread(self, middles: list[float]) -> tuple[float, ...]:
        """Middles of labels above one another, each of two lines."""
        unit, high = self.style.unit, [2 * self.style.leading] * len(middles)
        last = self.view.floor + 4.5 * unit
        return spread_apart(middles, high, 0.5 * unit, last, 0.8 * unit)

    def _chair_lines(self) -> Iterator[Shape]:
        """Seat and armrest, at the left."""
        x = self.left - 4.0 * self.style.unit
        shown = [(name, *self.ends[name]) for name in _CHAIR if name in self.ends]
        middles = self._spread([(start[1] + end[1]) / 2 for _, start, end in shown])
        for (name, start, end), y in zip(shown, middles, strict=True):
            reach = self.view.left if name == "seat height" else end[0]
            yield helper_line([(x, end[1]), (reach, end[1])], self.style)
            yield from measure_line((x, start[1]), (x, end[1]), name, self.style)
            yield from self.labels[name].shapes(x - 2.2 * self.style.unit, y, "end", self.style)

    def _heights(self) -> Iterator[Shape]:
        """What is measured from the floor, at the right."""
        unit, floor = self.style.unit, self.view.floor
        x = self.right + 2.0 * unit
        shown = [(name, *self.ends[name][1]) for name in _ABOVE_FLOOR if name in self.ends]
        middles = self._spread([y for *_, y in shown])
        for (name, start, y), middle in zip(shown, middles, strict=True):
            yield helper_line([(start, y), (x, y)], self.style)
            yield from measure_line((x, floor), (x, y), name, self.style)
            yield helper_line([(x, y), (x + 1.6 * unit, y), (x + 5.2 * unit, middle)], self.style)
            yield from self.labels[name].shapes(x + 6.2 * unit, middle, "start", self.style)

    def _depths(self) -> Iterator[Shape]:
        """Seat depth and knee gap, below the floor."""
        unit, style = self.style.unit, self.style
        y = self.view.floor + 5.5 * unit
        wide = [self.labels[name].wide(style) for name in _BELOW]
        depth, gap = ([x for x, _ in self.ends[name]] for name in _BELOW)
        # The gap is too narrow for words: its own begin below it and go on to the right.
        wanted = [sum(depth) / 2, max(gap) + wide[1] / 2]
        middles = spread_apart(wanted, wide, unit, self.wide - unit, 3 * unit)
        for name, middle in zip(_BELOW, middles, strict=True):
            start, end = self.ends[name]
            for point in (start, end):
                yield helper_line([point, (point[0], y)], style)
            yield from measure_line((start[0], y), (end[0], y), name, style)
            below = y + 1.4 * unit + style.leading
            yield from self.labels[name].shapes(middle, below, "middle", style)

    def _signs(self) -> Iterator[Shape]:
        placed: list[Box] = []
        signs: list[tuple[SvgPoint, SvgPoint, str]] = []
        for problem in self.scene.problems:
            spot = self.view.at(problem.where)
            at = sign_place(spot, self.area, placed, self.style)
            placed.append(sign_box(at, self.style))
            signs.append((spot, at, problem.mark))
        for spot, at, _ in signs:
            yield from signed(spot, at, self.style)
        for _, at, mark in signs:
            yield from sign(at, mark, self.style)

    def _rows(self) -> Iterator[tuple[str, str]]:
        for problem in self.scene.problems:
            yield problem.mark, problem.text.text(self.system)
        if not self.scene.problems:
            yield "", "Nothing in the way."
        dashed = "" if self.scene.table.stands else " Dashed: the desk that would suit."
        yield "", f"To scale, 1 : {1 / self.view.scale:.1f}; the body as estimated.{dashed}"


# -- labels, dimension lines and numbered signs as shapes -----------------------------------------

LEADING = 1.24
"""Line to line, of the font size."""
_DROP = 0.36
"""From the middle of a letter down to its base line, of the font size."""
_DOTS = (0.02, 0.9)


@dataclass(frozen=True, slots=True)
class Style:
    """Sizes of everything that is not to scale, mm."""

    unit: float
    """1 for a drawing that is 170 mm wide."""
    size: float
    """Of letters."""
    leading: float
    """From base line to base line."""
    sign: float
    """Radius of a numbered sign."""
    pen: Pen

    @classmethod
    def of(cls, wide: float) -> Style:
        """For a drawing ``wide`` mm wide."""
        unit = wide / 170.0
        size = 3.9 * unit
        return cls(unit, size, LEADING * size, 2.5 * unit, Pen().times(unit))


@dataclass(frozen=True, slots=True)
class Label:
    """What a dimension is called, and below it in bold its value."""

    name: str
    value: str
    part: str

    def wide(self, style: Style) -> float:
        """mm, at the most."""
        bold = label_width(self.value, style.size, bold=True)
        return max(label_width(self.name, style.size), bold)

    def shapes(self, x: float, middle: float, anchor: Anchor, style: Style) -> Iterator[Shape]:
        """The label at ``x``, its two lines about the height ``middle``."""
        base = middle + _DROP * style.size
        for text, line, bold in ((self.name, -0.5, False), (self.value, 0.5, True)):
            at = (x, base + line * style.leading)
            yield Text(at, text, style.size, anchor, bold, f"label: {self.part}")


def measure_line(start: SvgPoint, end: SvgPoint, part: str, style: Style) -> Iterator[Shape]:
    """A dimension line between two points, with a slanting stroke at each end."""
    pen, reach = style.pen, 0.85 * style.unit
    yield Line((start, end), pen.fine * 1.4, part=f"dimension: {part}")
    for x, y in (start, end):
        yield Line(((x - reach, y + reach), (x + reach, y - reach)), pen.body)


def helper_line(points: Sequence[SvgPoint], style: Style) -> Line:
    """A dotted line that leads from a part to where it is measured."""
    dash = tuple(value * style.unit for value in _DOTS)
    return Line(tuple(points), style.pen.fine * 1.6, dash, "helper")


def sign(at: SvgPoint, mark: str, style: Style) -> Iterator[Shape]:
    yield Circle(at, style.sign, "paper", style.pen.heavy, part="sign")
    size = style.size * (1.0 if len(mark) == 1 else 0.8)
    base = at[1] + _DROP * size
    yield Text((at[0], base), mark, size, "middle", True, "sign")


def sign_box(at: SvgPoint, style: Style) -> Box:
    """The paper a sign covers."""
    half = style.sign + style.pen.heavy / 2
    return Box(at[0] - half, at[1] - half, at[0] + half, at[1] + half)


def sign_place(spot: SvgPoint, area: Box, taken: Sequence[Box], style: Style) -> SvgPoint:
    """Where the sign for a spot goes: as near as it can in ``area``, clear of the other signs."""
    inner = sign_box((0, 0), style).right
    for ring in range(2, 60):
        for step in range(16):
            turn = math.tau * (step * 5 % 16) / 16 + math.pi * 1.75
            away = ring * 2.6 * style.unit
            at = (
                min(max(spot[0] + away * math.cos(turn), area.left + inner), area.right - inner),
                min(max(spot[1] + away * math.sin(turn), area.top + inner), area.bottom - inner),
            )
            if not any(sign_box(at, style).meets(other) for other in taken):
                return at
    return spot


def signed(spot: SvgPoint, at: SvgPoint, style: Style) -> Iterator[Shape]:
    """From a sign to the spot it is about."""
    yield Line((at, spot), style.pen.body, part="sign")
    yield Circle(spot, 0.55 * style.unit, "ink", part="sign")


def legend(
    rows: Iterable[tuple[str, str]], left: float, top: float, right: float, style: Style
) -> tuple[tuple[Shape, ...], float]:
    """A sign and its words, row by row, and where the next thing may begin; '' for no sign."""
    shapes: list[Shape] = []
    y = top
    for mark, text in rows:
        start = left + (2 * style.sign + 2 * style.unit if mark else 0.0)
        lines = wrap(text, style.size, right - start)
        first = y + max(style.leading / 2, style.sign + 0.2 * style.unit if mark else 0.0)
        if mark:
            shapes.extend(sign((left + style.sign, first), mark, style))
        for row, line in enumerate(lines):
            base = first + row * style.leading + _DROP * style.size
            shapes.append(Text((start, base), line, style.size, part="legend"))
        y = first + (len(lines) - 0.5) * style.leading + 1.0 * style.unit
        if mark:
            y = max(y, first + style.sign + 0.9 * style.unit)
    return tuple(shapes), y
