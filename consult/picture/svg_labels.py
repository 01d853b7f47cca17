"""Labels, dimension lines and numbered signs as shapes."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from consult.picture.labels import Box, width, wrap
from consult.picture.svg_furniture import Pen
from consult.picture.svg_shapes import Anchor, Circle, Line, Point, Shape, Text

LEADING = 1.24
"""Line to line, of the font size."""
_DROP = 0.36
"""From the middle of a letter down to its base line, of the font size."""
_DOTS = (0.02, 0.9)


@dataclass(frozen=True, slots=True)
class Style:
    """Sizes of everything that is not to scale, for a drawing ``unit`` times 170 mm wide."""

    unit: float

    @classmethod
    def of(cls, wide: float) -> Style:
        """For a drawing ``wide`` mm wide; ValueError for none."""
        if not wide > 0:
            raise ValueError(f"A drawing cannot be {wide:g} mm wide.")
        return cls(wide / 170.0)

    @property
    def size(self) -> float:
        """Font size, mm."""
        return 3.9 * self.unit

    @property
    def leading(self) -> float:
        """From base line to base line, mm."""
        return LEADING * self.size

    @property
    def sign(self) -> float:
        """Radius of a numbered sign, mm."""
        return 2.5 * self.unit

    @property
    def pen(self) -> Pen:
        """Line widths."""
        return Pen().times(self.unit)


@dataclass(frozen=True, slots=True)
class Label:
    """What a dimension is called, and below it in bold its value."""

    name: str
    value: str
    part: str

    def wide(self, style: Style) -> float:
        """mm, at the most."""
        return max(width(self.name, style.size), width(self.value, style.size, bold=True))

    def high(self, style: Style) -> float:
        """mm."""
        return 2 * style.leading

    def shapes(self, x: float, middle: float, anchor: Anchor, style: Style) -> Iterator[Shape]:
        """The label at ``x``, its two lines about the height ``middle``."""
        base = middle + _DROP * style.size
        for text, line, bold in ((self.name, -0.5, False), (self.value, 0.5, True)):
            at = (x, base + line * style.leading)
            yield Text(at, text, style.size, anchor, bold, f"label: {self.part}")


def measure_line(one: Point, other: Point, part: str, style: Style) -> Iterator[Shape]:
    """A dimension line between two points, with a slanting stroke at each end."""
    pen, reach = style.pen, 0.85 * style.unit
    yield Line((one, other), pen.fine * 1.4, part=f"dimension: {part}")
    for x, y in (one, other):
        yield Line(((x - reach, y + reach), (x + reach, y - reach)), pen.body)


def helper_line(points: Sequence[Point], style: Style) -> Line:
    """A dotted line that leads from a part to where it is measured."""
    dash = tuple(one * style.unit for one in _DOTS)
    return Line(tuple(points), style.pen.fine * 1.6, dash, "helper")


def sign(at: Point, mark: str, style: Style) -> Iterator[Shape]:
    """A numbered sign."""
    yield Circle(at, style.sign, "paper", style.pen.heavy, part="sign")
    size = style.size * (1.0 if len(mark) == 1 else 0.8)
    base = at[1] + _DROP * size
    yield Text((at[0], base), mark, size, "middle", True, "sign")


def sign_box(at: Point, style: Style) -> Box:
    """The paper a sign covers."""
    half = style.sign + style.pen.heavy / 2
    return Box(at[0] - half, at[1] - half, at[0] + half, at[1] + half)


def sign_place(spot: Point, area: Box, taken: Iterable[Box], style: Style) -> Point:
    """Where the sign for a spot goes: as near as it can in ``area``, clear of the other signs."""
    others = tuple(taken)
    inner = sign_box((0, 0), style).right
    for ring in range(2, 60):
        for step in range(16):
            turn = math.tau * (step * 5 % 16) / 16 + math.pi * 1.75
            away = ring * 2.6 * style.unit
            at = (
                min(max(spot[0] + away * math.cos(turn), area.left + inner), area.right - inner),
                min(max(spot[1] + away * math.sin(turn), area.top + inner), area.bottom - inner),
            )
            if not any(sign_box(at, style).meets(other) for other in others):
                return at
    return spot


def signed(spot: Point, at: Point, style: Style) -> Iterator[Shape]:
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
