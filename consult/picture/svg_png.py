"""The same shapes as a PNG, drawn with Pillow and the font that comes with it.

Pillow is loaded only when a picture is asked for. Its own font is used so that a picture is the
same on every computer; what that font lacks (½, accents, other scripts) is written with what it
has.
"""

from __future__ import annotations

import io
import math
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from consult.picture.svg_shapes import Circle, Line, Polygon, Shape, Text

if TYPE_CHECKING:
    from PIL import ImageDraw

    from consult.picture.svg_shapes import Point

_FINER = 3
"""Drawn this much larger and then made smaller, for smooth edges."""
_GREY = {"none": None, "paper": 255, "ink": 26}
_INK = 26
_MOST = 100_000_000
"""Dots; a picture that needs more would only fill the memory."""
_SIGNS = {"−": "-", "–": "-", "—": "-", "…": "...", "⁄": "/", "’": "'", "“": '"', "”": '"'}


def png(shapes: Iterable[Shape], size: Point, dpi: float = 150.0) -> bytes:
    """A picture of the drawing, ``size`` (width, height) in mm, in shades of grey.

    ValueError for a resolution of nothing, or one at which the picture would be too large.
    """
    from PIL import Image

    per_mm = dpi / 25.4
    wide, high = (math.ceil(one * per_mm) for one in size)
    if dpi <= 0 or wide * high * _FINER**2 > _MOST:
        raise ValueError(f"At {dpi:g} dots per inch the picture is {wide} by {high} dots.")
    small = Image.frombytes("L", (wide, high), b"".join(dots(shapes, (wide, high), per_mm)))
    written = io.BytesIO()
    small.save(written, "PNG", dpi=(dpi, dpi), optimize=True)
    return written.getvalue()


def dots(shapes: Iterable[Shape], size: tuple[int, int], per_mm: float) -> list[bytes]:
    """The drawing in so many dots (width, height): a line each, a grey (0 to 255) for a dot."""
    from PIL import Image, ImageDraw

    picture = Image.new("L", (size[0] * _FINER, size[1] * _FINER), 255)
    canvas = _Canvas(ImageDraw.Draw(picture), per_mm * _FINER)
    for shape in shapes:
        canvas.draw(shape)
    grey = picture.resize(size, Image.Resampling.BOX).tobytes()
    return [grey[at : at + size[0]] for at in range(0, len(grey), size[0])]


class _Canvas:
    def __init__(self, draw: ImageDraw.ImageDraw, per_mm: float) -> None:
        self.on, self.per_mm = draw, per_mm

    def draw(self, shape: Shape) -> None:
        match shape:
            case Line():
                self._line(shape.points, shape.weight, shape.dash)
            case Polygon():
                self._outline(shape.points, shape.fill, shape.weight, shape.dash)
            case Circle():
                self._circle(shape)
            case Text():
                self._text(shape)

    def _dots(self, points: Iterable[Point]) -> list[Point]:
        return [(x * self.per_mm, y * self.per_mm) for x, y in points]

    def _outline(
        self, points: Sequence[Point], fill: str, weight: float, dash: tuple[float, ...]
    ) -> None:
        grey = _GREY[fill]
        if grey is not None:
            self.on.polygon(self._dots(points), fill=grey)
        if weight > 0:
            self._line((*points, points[0]), weight, dash)

    def _circle(self, shape: Circle) -> None:
        (x, y), r = shape.middle, shape.radius + shape.weight / 2
        box = self._dots([(x - r, y - r), (x + r, y + r)])
        wide = max(1, round(shape.weight * self.per_mm)) if shape.weight > 0 else 0
        self.on.ellipse(box, fill=_GREY[shape.fill], outline=_INK if wide else None, width=wide)

    def _line(self, points: Sequence[Point], weight: float, dash: tuple[float, ...]) -> None:
        wide = max(1, round(weight * self.per_mm))
        for piece in _dashes(points, dash) if dash else (tuple(points),):
            dots = self._dots(piece)
            self.on.line(dots, fill=_INK, width=wide)
            if wide > 2:
                # Pillow leaves a notch between two pieces, and no end is round.
                for x, y in dots:
                    r = (wide - 1) / 2
                    self.on.ellipse((x - r, y - r, x + r, y + r), fill=_INK)

    def _text(self, shape: Text) -> None:
        from PIL import ImageFont

        font = ImageFont.load_default(max(1.0, shape.size * self.per_mm))
        x, y = shape.at[0] * self.per_mm, shape.at[1] * self.per_mm
        anchor = {"start": "ls", "middle": "ms", "end": "rs"}[shape.anchor]
        # The font has one weight; a line around the letters makes them bold.
        bold = max(1, round(shape.size * self.per_mm * 0.02)) if shape.bold else 0
        self.on.text(
            (x, y), plain(shape.text), fill=_INK, font=font, anchor=anchor, stroke_width=bold
        )


def plain(text: str) -> str:
    """The text in the letters that the font has: "17½" as "17 1/2", "é" as "e", others "?"."""
    return "".join(_plain(text))


def _plain(text: str) -> Iterator[str]:
    before = ""
    for one in text:
        if "\N{SPACE}" <= one <= "~":
            yield one
        elif one in _SIGNS:
            yield _SIGNS[one]
        elif not unicodedata.combining(one):
            parts = unicodedata.normalize("NFKD", one)
            said = "".join(_SIGNS.get(part, part) for part in parts)
            kept = "".join(part for part in said if " " <= part <= "~")
            # 17½ without the space would be read as 171/2.
            yield (" " if "/" in kept and before.isdigit() else "") + (kept or "?")
        before = one


def _dashes(points: Sequence[Point], dash: tuple[float, ...]) -> Iterator[tuple[Point, ...]]:
    """The inked pieces of a dashed line; corners are kept."""
    inked, left, turn = True, dash[0], 0
    piece = [points[0]]
    for one, other in pairwise(points):
        length, done = math.dist(one, other), 0.0
        while length - done > left:
            done += left
            share = done / length
            at = (one[0] + share * (other[0] - one[0]), one[1] + share * (other[1] - one[1]))
            if inked:
                yield (*piece, at)
            turn = (turn + 1) % len(dash)
            inked, left, piece = not inked, max(dash[turn], 0.01), [at]
        left -= length - done
        piece.append(other)
    if inked and len(piece) > 1:
        yield tuple(piece)
