"""A drawing as plain shapes, in mm of paper with y down, ready for SVG, PDF or PNG.

Shapes are painted in order, later over earlier. There is paper and there is ink and nothing
between, so a drawing means the same on any printer. No shape needs to be clipped: whatever is to
end at a border has been cut before (see ``within``).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from html import escape
from itertools import pairwise
from typing import Literal

from consult.visible import visible

SvgPoint = tuple[float, float]
"""x to the right, y down; mm of paper."""

Fill = Literal["none", "paper", "ink"]
Anchor = Literal["start", "middle", "end"]


@dataclass(frozen=True, slots=True)
class Line:
    """A line through two or more points, its ends and corners round."""

    points: tuple[SvgPoint, ...]
    weight: float
    """Width of the line."""
    dash: tuple[float, ...] = ()
    """Ink and gap in turn; empty for a whole line."""
    part: str = ""
    """What it shows, for tests and for styling: "dimension: seat height"."""


@dataclass(frozen=True, slots=True)
class Polygon:
    """A closed outline; its line lies half inside and half outside, its corners round."""

    points: tuple[SvgPoint, ...]
    fill: Fill
    weight: float = 0.0
    """Width of the outline; 0 for none."""
    dash: tuple[float, ...] = ()
    part: str = ""


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle; its line lies half inside and half outside."""

    middle: SvgPoint
    radius: float
    fill: Fill
    weight: float = 0.0
    part: str = ""


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text; ``at`` is on its base line."""

    at: SvgPoint
    text: str
    size: float
    """Height of the letter box (font size)."""
    anchor: Anchor = "start"
    bold: bool = False
    part: str = ""


Shape = Line | Polygon | Circle | Text


@dataclass(frozen=True, slots=True)
class Sheet:
    shapes: tuple[Shape, ...]
    size: SvgPoint
    """Width and height; mm."""
    scale: float
    """mm of paper for one mm of the world."""


@dataclass(frozen=True, slots=True)
class View:
    """From the world (mm, y up) to paper (mm, y down)."""

    scale: float
    left: float
    """Paper x of the world's origin."""
    floor: float
    """Paper y of the world's floor."""

    def at(self, point: SvgPoint) -> SvgPoint:
        """Where a point of the world stands on paper."""
        return self.left + point[0] * self.scale, self.floor - point[1] * self.scale

    def all(self, points: Iterable[SvgPoint]) -> tuple[SvgPoint, ...]:
        return tuple(self.at(point) for point in points)


def hatch(
    points: Sequence[SvgPoint], degrees: float, spacing: float, weight: float, part: str = ""
) -> Iterator[Line]:
    """Parallel lines that fill an outline, whatever its form; they lean by ``degrees``."""
    turn = math.radians(degrees)
    along, across = (math.cos(turn), -math.sin(turn)), (math.sin(turn), math.cos(turn))
    depth = [x * across[0] + y * across[1] for x, y in points]
    first, last = math.ceil(min(depth) / spacing), math.floor(max(depth) / spacing)
    for step in range(first, last + 1):
        level = step * spacing
        cuts = sorted(_cuts(points, depth, level, along))
        for start, end in zip(cuts[::2], cuts[1::2], strict=False):
            ends = tuple(
                (along[0] * at + across[0] * level, along[1] * at + across[1] * level)
                for at in (start, end)
            )
            yield Line(ends, weight, part=part)


def _cuts(
    points: Sequence[SvgPoint], depth: Sequence[float], level: float, along: SvgPoint
) -> Iterator[float]:
    """Where the outline crosses the level, measured along it."""
    for number in range(len(points)):
        following = (number + 1) % len(points)
        if (depth[number] < level) != (depth[following] < level):
            share = (level - depth[number]) / (depth[following] - depth[number])
            x = points[number][0] + share * (points[following][0] - points[number][0])
            y = points[number][1] + share * (points[following][1] - points[number][1])
            yield x * along[0] + y * along[1]


def silhouette(
    outlines: Iterable[Sequence[SvgPoint]], weight: float, part: str = ""
) -> Iterator[Polygon]:
    """Several outlines as one white body with one line around it, and none where they overlap."""
    every = [tuple(points) for points in outlines]
    for points in every:
        yield Polygon(points, "ink", 2 * weight, part=part)
    for points in every:
        yield Polygon(points, "paper", part=part)


def smooth(
    points: Sequence[SvgPoint], steps: int = 6, *, closed: bool = True
) -> tuple[SvgPoint, ...]:
    """A curve through all the points (Catmull-Rom), as a line of short pieces."""
    count, curve = len(points), list[SvgPoint]()
    for number in range(count if closed else count - 1):
        a, b, c, d = (
            points[(number + ahead) % count if closed else min(max(number + ahead, 0), count - 1)]
            for ahead in (-1, 0, 1, 2)
        )
        for step in range(steps):
            t = step / steps
            curve.append((_curve(a[0], b[0], c[0], d[0], t), _curve(a[1], b[1], c[1], d[1], t)))
    return tuple(curve) if closed else (*curve, points[-1])


def _curve(a: float, b: float, c: float, d: float, t: float) -> float:
    return b + 0.5 * t * (
        c - a + t * (2 * a - 5 * b + 4 * c - d + t * (3 * (b - c) + d - a))
    )  # fmt: skip


def round_points(middle: SvgPoint, radius: float) -> tuple[SvgPoint, ...]:
    x, y = middle
    turns = [math.tau * step / 32 for step in range(32)]
    return tuple((x + radius * math.cos(a), y + radius * math.sin(a)) for a in turns)


def clip_shape(shape: Shape, low: SvgPoint, high: SvgPoint) -> Iterator[Shape]:
    """What of a shape lies in a rectangle; a text is kept if it begins there."""
    if isinstance(shape, Text):
        inside = low[0] <= shape.at[0] <= high[0] and low[1] <= shape.at[1] <= high[1]
        yield from [shape] if inside else []
    elif isinstance(shape, Circle):
        edge = round_points(shape.middle, shape.radius)
        yield from clip_shape(Polygon(edge, shape.fill, shape.weight, part=shape.part), low, high)
    elif isinstance(shape, Polygon):
        points = _cut_outline(shape.points, low, high)
        yield from [replace(shape, points=points)] if len(points) > 2 else []
    else:
        for start, end in pairwise(shape.points):
            piece = _cut_piece(start, end, low, high)
            yield from [replace(shape, points=piece)] if piece else []


def _cut_outline(
    points: tuple[SvgPoint, ...], low: SvgPoint, high: SvgPoint
) -> tuple[SvgPoint, ...]:
    """Side by side, keep what is inside and add where the outline crosses."""
    for axis in (0, 1):
        for limit, sign in ((low[axis], 1.0), (high[axis], -1.0)):
            kept = list[SvgPoint]()
            for point, following in zip(points, (*points[1:], *points[:1]), strict=True):
                inside = [(p[axis] - limit) * sign >= 0 for p in (point, following)]
                if inside[0]:
                    kept.append(point)
                if inside[0] != inside[1]:
                    share = (limit - point[axis]) / (following[axis] - point[axis])
                    kept.append(_between(point, following, share))
            points = tuple(kept)
    return points


def _cut_piece(
    start: SvgPoint, end: SvgPoint, low: SvgPoint, high: SvgPoint
) -> tuple[SvgPoint, ...]:
    first, last = 0.0, 1.0
    for axis in (0, 1):
        run = end[axis] - start[axis]
        if run == 0:
            if not low[axis] <= start[axis] <= high[axis]:
                return ()
            continue
        ends = sorted(((low[axis] - start[axis]) / run, (high[axis] - start[axis]) / run))
        first, last = max(first, ends[0]), min(last, ends[1])
    return (_between(start, end, first), _between(start, end, last)) if first < last else ()


def _between(start: SvgPoint, end: SvgPoint, share: float) -> SvgPoint:
    return start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1])


# -- shapes written as one SVG that needs nothing from outside: no script, no link, no font -------

_INK = "#1a1a1a"
_PAPER = "#ffffff"
_NOT_XML = {0xFFFE: "\N{REPLACEMENT CHARACTER}", 0xFFFF: "\N{REPLACEMENT CHARACTER}"}


def svg_text(
    shapes: Iterable[Shape], size: SvgPoint, *, title: str, description: str, prefix: str = ""
) -> str:
    """The drawing as SVG, ``size`` (width, height) in mm.

    ``title`` and ``description`` are what a screen reader says. ``prefix`` begins every id, so
    that several drawings can stand in one page: letters, digits, "-" and "_".
    """
    names = f"{prefix}title", f"{prefix}desc"
    wide, high = (svg_number(value) for value in size)
    return "\n".join(
        [
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide} {high}"'
            f' width="{wide}mm" height="{high}mm" role="img"'
            f' aria-labelledby="{names[0]} {names[1]}" font-family="sans-serif">',
            f'<title id="{names[0]}">{_words(title)}</title>',
            f'<desc id="{names[1]}">{_words(description)}</desc>',
            f'<rect width="{wide}" height="{high}" fill="{_PAPER}"/>',
            f'<g fill="{_INK}" stroke="{_INK}"'
            ' stroke-width="0" stroke-linecap="round" stroke-linejoin="round">',
            *map(_shape, shapes),
            "</g>",
            "</svg>\n",
        ]
    )


def _shape(shape: Shape) -> str:
    part = f' data-part="{escape(_safe(shape.part))}"' if shape.part else ""
    match shape:
        case Line():
            stroke = _stroke(shape.weight, shape.dash)
            return f'<polyline points="{pairs(shape.points)}" fill="none"{stroke}{part}/>'
        case Polygon():
            stroke = _stroke(shape.weight, shape.dash)
            return f'<polygon points="{pairs(shape.points)}"{_fill(shape.fill)}{stroke}{part}/>'
        case Circle():
            x, y = (svg_number(value) for value in shape.middle)
            centred = f'cx="{x}" cy="{y}" r="{svg_number(shape.radius)}"'
            return f"<circle {centred}{_fill(shape.fill)}{_stroke(shape.weight)}{part}/>"
        case Text():
            x, y = (svg_number(value) for value in shape.at)
            anchor = "" if shape.anchor == "start" else f' text-anchor="{shape.anchor}"'
            weight = ' font-weight="bold"' if shape.bold else ""
            size = svg_number(shape.size)
            return (
                f'<text x="{x}" y="{y}" font-size="{size}" stroke="none"{anchor}{weight}{part}>'
                f"{_words(shape.text)}</text>"
            )


def _fill(fill: str) -> str:
    return {"none": ' fill="none"', "paper": f' fill="{_PAPER}"'}.get(fill, "")


def _stroke(weight: float, dash: tuple[float, ...] = ()) -> str:
    if weight <= 0:
        return ""
    dashes = f' stroke-dasharray="{" ".join(map(svg_number, dash))}"' if dash else ""
    return f' stroke-width="{svg_number(weight)}"{dashes}'


def pairs(points: Iterable[SvgPoint]) -> str:
    """Points as an attribute lists them."""
    return " ".join(f"{svg_number(x)},{svg_number(y)}" for x, y in points)


def svg_number(value: float) -> str:
    """To a hundredth of a mm, which no printer can tell."""
    written = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if written == "-0" else written


def _words(text: str) -> str:
    return escape(_safe(text), quote=False)


def _safe(text: str) -> str:
    """Without what XML cannot hold."""
    return visible(text).translate(_NOT_XML)
