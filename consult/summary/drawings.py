"""A drawing as the written forms take it: SVG text for a page, shapes for a PDF."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from consult.picture.svg_shapes import Point, Shape


@dataclass(frozen=True, slots=True)
class Drawing:
    """One drawing, twice; what it says in words is the ``alt`` of its place in the document."""

    svg: str
    """A whole ``<svg>`` element whose ids no other drawing on the page has."""
    shapes: tuple[Shape, ...]
    """The same, painted in order; mm of paper, y down."""
    size: Point
    """Width and height, mm."""
    studied: bool = False
    """Has to be looked at closely, so it is larger than others beside an item of a list."""
