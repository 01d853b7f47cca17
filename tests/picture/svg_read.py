"""Reading an SVG back, for the tests."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from itertools import combinations
from xml.etree import ElementTree

from consult.picture.labels import Box, label_width
from consult.picture.svg_shapes import Shape, Text
from consult.picture.svg_side import LEADING

SPACE = "{http://www.w3.org/2000/svg}"
HAIR = 1e-6


def read(svg: str) -> ElementTree.Element:
    return ElementTree.fromstring(svg)


def parts(svg: str, tag: str, part: str) -> list[ElementTree.Element]:
    """Elements of this kind whose part begins so."""
    found = read(svg).iter(f"{SPACE}{tag}")
    return [one for one in found if (one.get("data-part") or "").startswith(part)]


def texts(svg: str, part: str) -> list[str]:
    return ["".join(one.itertext()) for one in parts(svg, "text", part)]


def length(line: ElementTree.Element) -> float:
    """From the first point to the last, mm of paper."""
    points = [tuple(map(float, pair.split(","))) for pair in (line.get("points") or "").split()]
    return math.dist(points[0], points[-1])


def text_box(text: Text) -> Box:
    """The paper a text may cover, its line spacing included."""
    wide = label_width(text.text, text.size, bold=text.bold)
    left = text.at[0] - {"start": 0.0, "middle": 0.5, "end": 1.0}[text.anchor] * wide
    # The middle of a letter is about a third of its size above the base line.
    middle, half = text.at[1] - 0.36 * text.size, LEADING * text.size / 2
    return Box(left, middle - half, left + wide, middle + half)


def boxes(shapes: Iterable[Shape]) -> list[Box]:
    """The paper each text may cover, a hair smaller, for neighbours may touch."""
    found = [text_box(one) for one in shapes if isinstance(one, Text)]
    return [
        Box(one.left + HAIR, one.top + HAIR, one.right - HAIR, one.bottom - HAIR) for one in found
    ]


def overlaps(found: Iterable[Box]) -> Iterator[tuple[Box, Box]]:
    for one, other in combinations(found, 2):
        if one.meets(other):
            yield one, other


def inside(one: Box, other: Box) -> bool:
    """Whether a box lies in another, its edges included."""
    across = other.left <= one.left and one.right <= other.right
    return across and other.top <= one.top and one.bottom <= other.bottom
