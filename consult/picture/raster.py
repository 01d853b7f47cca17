"""A drawing as dots: as a PNG, drawn with Pillow, and in the cells of a terminal.

Pillow is loaded only when a picture is asked for. Its own font is used so that a picture is the
same on every computer; what that font lacks (½, accents, other scripts) is written with what it
has.
"""

from __future__ import annotations

import io
import math
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise, product
from typing import TYPE_CHECKING

from consult.picture.svg_shapes import Circle, Line, Polygon, Shape, Text

if TYPE_CHECKING:
    from PIL import ImageDraw

    from consult.picture.svg_shapes import Sheet, SvgPoint


_FINER = 3
"""Drawn this much larger and then made smaller, for smooth edges."""
_GREY = {"none": None, "paper": 255, "ink": 26}
_INK = 26
_SIGNS = {"−": "-", "–": "-", "—": "-", "…": "...", "⁄": "/", "’": "'", "“": '"', "”": '"'}


def png(shapes: Iterable[Shape], size: SvgPoint, dpi: float = 150.0) -> bytes:
    """A picture of the drawing, ``size`` (width, height) in mm, in shades of grey."""
    from PIL import Image

    per_mm = dpi / 25.4
    wide, high = (math.ceil(value * per_mm) for value in size)
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
                if (grey := _GREY[shape.fill]) is not None:
                    self.on.polygon(self._dots(shape.points), fill=grey)
                if shape.weight > 0:
                    self._line((*shape.points, shape.points[0]), shape.weight, shape.dash)
            case Circle():
                self._circle(shape)
            case Text():
                self._text(shape)

    def _dots(self, points: Iterable[SvgPoint]) -> list[SvgPoint]:
        return [(x * self.per_mm, y * self.per_mm) for x, y in points]

    def _circle(self, shape: Circle) -> None:
        (x, y), r = shape.middle, shape.radius + shape.weight / 2
        box = self._dots([(x - r, y - r), (x + r, y + r)])
        wide = max(1, round(shape.weight * self.per_mm)) if shape.weight > 0 else 0
        self.on.ellipse(box, fill=_GREY[shape.fill], outline=_INK if wide else None, width=wide)

    def _line(self, points: Sequence[SvgPoint], weight: float, dash: tuple[float, ...]) -> None:
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
        (at,) = self._dots([shape.at])
        anchor = {"start": "ls", "middle": "ms", "end": "rs"}[shape.anchor]
        # The font has one weight; a line around the letters makes them bold.
        bold = max(1, round(shape.size * self.per_mm * 0.02)) if shape.bold else 0
        text = plain_colour(shape.text)
        self.on.text(at, text, fill=_INK, font=font, anchor=anchor, stroke_width=bold)


def plain_colour(text: str) -> str:
    """The text in the letters that the font has: "17½" as "17 1/2", "é" as "e", others "?"."""
    plain, before = "", ""
    for sign in text:
        if " " <= sign <= "~":
            plain += sign
        elif sign in _SIGNS:
            plain += _SIGNS[sign]
        elif not unicodedata.combining(sign):
            parts = "".join(_SIGNS.get(part, part) for part in unicodedata.normalize("NFKD", sign))
            kept = "".join(part for part in parts if " " <= part <= "~")
            # 17½ without the space would be read as 171/2.
            plain += (" " if "/" in kept and before.isdigit() else "") + (kept or "?")
        before = sign
    return plain


def _dashes(points: Sequence[SvgPoint], dash: tuple[float, ...]) -> Iterator[tuple[SvgPoint, ...]]:
    """The inked pieces of a dashed line; corners are kept."""
    inked, left, turn = True, dash[0], 0
    piece = [points[0]]
    for start, end in pairwise(points):
        length, done = math.dist(start, end), 0.0
        while length - done > left:
            done += left
            share = done / length
            at = (start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1]))
            if inked:
                yield (*piece, at)
            turn = (turn + 1) % len(dash)
            inked, left, piece = not inked, max(dash[turn], 0.01), [at]
        left -= length - done
        piece.append(end)
    if inked and len(piece) > 1:
        yield tuple(piece)


# -- what a part covers: 2 dots wide and 4 high in every cell, a whole number per row of dots -----

ACROSS, DOWN = 2, 4
"""Dots in a cell."""


@dataclass(frozen=True, slots=True)
class Grid:
    """How mm become cells: the floor is the lower edge of row ``rows - 1``."""

    columns: int
    rows: int
    column_mm: float
    row_mm: float
    left: float
    """x of the left edge."""

    def column(self, x: float) -> int:
        """The column x lies in; may be outside the grid."""
        return math.floor((x - self.left) / self.column_mm)

    def row(self, y: float) -> int:
        """The row whose upper edge is at y or next above; may be outside the grid."""
        return self.rows - 1 - math.floor(y / self.row_mm)

    def row_below(self, y: float) -> int:
        """The row just below a surface at height y."""
        return self.rows - math.ceil(y / self.row_mm)


class Dots:
    """What a part covers; bit n of a line is dot n from the left."""

    def __init__(self, grid: Grid) -> None:
        self.grid = grid
        self.lines = [0] * (grid.rows * DOWN)

    def fill(self, points: Sequence[SvgPoint]) -> None:
        """Cover the inside of an outline. However thin it is, it leaves a dot."""
        grid = self.grid
        wide, high = grid.column_mm / ACROSS, grid.row_mm / DOWN
        last = len(self.lines) - 1
        dots = [((x - grid.left) / wide, grid.rows * DOWN - y / high) for x, y in points]
        top, bottom = min(y for _, y in dots), max(y for _, y in dots)
        first, end = math.ceil(top - 0.5), math.ceil(bottom - 0.5) - 1
        if first > end:  # thinner than a line of dots
            line = math.floor((top + bottom) / 2)
            if 0 <= line <= last:
                self._span(line, min(x for x, _ in dots), max(x for x, _ in dots))
            return
        first, end = max(first, 0), min(end, last)
        crossed: dict[int, list[float]] = {line: [] for line in range(first, end + 1)}
        for (x0, y0), (x1, y1) in zip(dots, [*dots[1:], dots[0]], strict=True):
            if y0 == y1:
                continue
            slope = (x1 - x0) / (y1 - y0)
            start, stop = sorted((math.ceil(y0 - 0.5), math.ceil(y1 - 0.5)))
            for line in range(max(start, first), min(stop, end + 1)):
                crossed[line].append(x0 + (line + 0.5 - y0) * slope)
        for line, crossings in crossed.items():
            crossings.sort()
            for left, right in zip(crossings[::2], crossings[1::2], strict=True):
                self._span(line, left, right)

    def _span(self, line: int, left: float, right: float) -> None:
        """At least one dot of a line."""
        most = self.grid.columns * ACROSS
        start = round(left)
        at, to = min(max(start, 0), most), min(max(round(right), start + 1, 0), most)
        self.lines[line] |= (1 << to) - (1 << at)

    def carve(self, other: Dots) -> None:
        """Take away the dots beside and below another part's, so that its edge shows.

        Not above it: a shoulder has no edge towards the neck.
        """
        above = 0
        for at, line in enumerate(other.lines):
            self.lines[at] &= ~(line << 1 | line >> 1 | above) | line
            above = line

    def join(self, other: Dots) -> None:
        """Cover what another part covers, too."""
        self.lines = [line | two for line, two in zip(self.lines, other.lines, strict=True)]

    def cells(self, row: int) -> dict[int, int]:
        """The cells of a row that are not empty: eight bits, left to right, top to bottom."""
        top, second, third, bottom = self.lines[row * DOWN : row * DOWN + DOWN]
        every = top | second | third | bottom
        if not every:
            return {}
        first = ((every & -every).bit_length() - 1) // ACROSS
        cells = {}
        for column in range(first, (every.bit_length() + 1) // ACROSS):
            at = column * ACROSS
            bits = (
                (top >> at & 3)
                | (second >> at & 3) << 2
                | (third >> at & 3) << 4
                | (bottom >> at & 3) << 6
            )
            if bits:
                cells[column] = bits
        return cells


# -- a finished drawing in the cells of a terminal, as braille ------------------------------------

_BRAILLE = (0x01, 0x08, 0x02, 0x10, 0x04, 0x20, 0x40, 0x80)
"""What each of a cell's eight dots, left to right and top to bottom, adds to U+2800."""
_DARK = 190
"""Grey below which a dot is set: a line thinner than a dot still shows."""


def braille(bits: int) -> str:
    """The braille sign of a cell; bit n is dot n, left to right and top to bottom."""
    return chr(0x2800 + sum(add for at, add in enumerate(_BRAILLE) if bits >> at & 1))


def sheet_rows(sheet: Sheet, columns: int) -> tuple[str, ...]:
    """The drawing ``columns`` cells wide, each cell twice as high as wide; its words as letters."""
    wide, high = sheet.size
    per_mm = columns * ACROSS / wide
    rows = round(high * per_mm / DOWN)
    lines = (shape for shape in sheet.shapes if not isinstance(shape, Text))
    grey = dots(lines, (columns * ACROSS, rows * DOWN), per_mm)

    def bits(row: int, column: int) -> int:
        within = product(range(DOWN), range(ACROSS))
        dark = (grey[row * DOWN + y][column * ACROSS + x] < _DARK for y, x in within)
        return sum(1 << at for at, inked in enumerate(dark) if inked)

    cells = [[braille(bits(row, column)) for column in range(columns)] for row in range(rows)]
    for shape in sheet.shapes:
        if isinstance(shape, Text):
            _write(cells, shape, per_mm)
    return tuple("".join(row).replace(braille(0), " ").rstrip() for row in cells)


def _write(cells: list[list[str]], text: Text, per_mm: float) -> None:
    """Letters in the row that the middle of the text is in, as far as there is room."""
    x, y = text.at[0] * per_mm / ACROSS, (text.at[1] - text.size / 3) * per_mm / DOWN
    row = min(max(int(y), 0), len(cells) - 1)
    back = {"start": 0.0, "middle": 0.5, "end": 1.0}[text.anchor] * len(text.text)
    first = min(max(round(x - back), 0), len(cells[row]) - len(text.text))
    cells[row][first : first + len(text.text)] = text.text
