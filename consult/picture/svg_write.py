"""Shapes written as one SVG that needs nothing from outside: no script, no link, no font."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import TYPE_CHECKING
from xml.sax.saxutils import escape, quoteattr

from consult.picture.svg_shapes import Circle, Line, Polygon, Shape, Text
from consult.visible import visible

if TYPE_CHECKING:
    from consult.picture.svg_shapes import Point

INK = "#1a1a1a"
_PAPER = "#ffffff"
_PREFIX = re.compile(r"[A-Za-z0-9_-]*\Z")
_NOT_XML = {0xFFFE: "\N{REPLACEMENT CHARACTER}", 0xFFFF: "\N{REPLACEMENT CHARACTER}"}


def svg_text(
    shapes: Iterable[Shape],
    size: Point,
    *,
    title: str,
    description: str,
    prefix: str = "",
    ink: str = INK,
) -> str:
    """The drawing as SVG, ``size`` (width, height) in mm.

    ``title`` and ``description`` are what a screen reader says. ``prefix`` begins every id, so
    that several drawings can stand in one page: letters, digits, "-" and "_" (ValueError
    otherwise). ``ink`` is any SVG colour.
    """
    if not _PREFIX.match(prefix):
        raise ValueError(f"'{prefix}' cannot begin an id: letters, digits, - and _ can.")
    names = f"{prefix}title", f"{prefix}desc"
    wide, high = (number(one) for one in size)
    return "\n".join(
        [
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide} {high}"'
            f' width="{wide}mm" height="{high}mm" role="img"'
            f' aria-labelledby="{names[0]} {names[1]}" font-family="sans-serif">',
            f'<title id="{names[0]}">{_words(title)}</title>',
            f'<desc id="{names[1]}">{_words(description)}</desc>',
            f'<rect width="{wide}" height="{high}" fill="{_PAPER}"/>',
            f"<g fill={quoteattr(_safe(ink))} stroke={quoteattr(_safe(ink))}"
            ' stroke-width="0" stroke-linecap="round" stroke-linejoin="round">',
            *map(_shape, shapes),
            "</g>",
            "</svg>\n",
        ]
    )


def _shape(shape: Shape) -> str:
    part = f" data-part={quoteattr(_safe(shape.part))}" if shape.part else ""
    match shape:
        case Line():
            stroke = _stroke(shape.weight, shape.dash)
            return f'<polyline points="{pairs(shape.points)}" fill="none"{stroke}{part}/>'
        case Polygon():
            stroke = _stroke(shape.weight, shape.dash)
            return f'<polygon points="{pairs(shape.points)}"{_fill(shape.fill)}{stroke}{part}/>'
        case Circle():
            x, y = (number(one) for one in shape.middle)
            at = f'cx="{x}" cy="{y}" r="{number(shape.radius)}"'
            return f"<circle {at}{_fill(shape.fill)}{_stroke(shape.weight)}{part}/>"
        case Text():
            x, y = (number(one) for one in shape.at)
            anchor = "" if shape.anchor == "start" else f' text-anchor="{shape.anchor}"'
            weight = ' font-weight="bold"' if shape.bold else ""
            size = number(shape.size)
            return (
                f'<text x="{x}" y="{y}" font-size="{size}" stroke="none"{anchor}{weight}{part}>'
                f"{_words(shape.text)}</text>"
            )


def _fill(fill: str) -> str:
    return {"none": ' fill="none"', "paper": f' fill="{_PAPER}"'}.get(fill, "")


def _stroke(weight: float, dash: tuple[float, ...] = ()) -> str:
    if weight <= 0:
        return ""
    dashes = f' stroke-dasharray="{" ".join(map(number, dash))}"' if dash else ""
    return f' stroke-width="{number(weight)}"{dashes}'


def pairs(points: Iterable[Point]) -> str:
    """Points as an attribute lists them."""
    return " ".join(f"{number(x)},{number(y)}" for x, y in points)


def number(value: float) -> str:
    """To a hundredth of a mm, which no printer can tell."""
    written = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if written == "-0" else written


def _words(text: str) -> str:
    return escape(_safe(text))


def _safe(text: str) -> str:
    """Without what XML cannot hold."""
    return visible(text).translate(_NOT_XML)
