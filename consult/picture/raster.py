"""Shapes as dots: 2 wide and 4 high in every cell, one whole number per row of dots."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from consult.picture.svg_png import dots
from consult.picture.svg_shapes import Text

if TYPE_CHECKING:
    from consult.picture.model import Point
    from consult.picture.svg_shapes import Sheet


# -- glyphs ---------------------------------------------------------------------------------------
# The characters of the picture: each part has its own, so that it is told apart without colour.
#
# The body is drawn in small dots, the chair in solid blocks, the desk in double lines, the
# footrest in shading, the screen in heavy lines; with plain letters, each part has a letter of
# its own.

_BRAILLE = (0x01, 0x08, 0x02, 0x10, 0x04, 0x20, 0x40, 0x80)
"""What each of a cell's eight dots, left to right and top to bottom, adds to U+2800."""
_QUARTERS = " ▘▝▀▖▌▞▛▗▚▐▜▄▙▟█"
"""By which quarters are filled: upper left 1, upper right 2, lower left 4, lower right 8."""
_RINGED = "①②③④⑤⑥⑦⑧⑨"


def braille(bits: int) -> str:
    """The braille sign of a cell; bit n is dot n, left to right and top to bottom."""
    return chr(0x2800 + sum(add for at, add in enumerate(_BRAILLE) if bits >> at & 1))


def _quarters(bits: int) -> str:
    """A quarter holds four dots; it is filled from one on, so that nothing thin vanishes."""
    filled = [bool(bits & mask) for mask in (0x05, 0x0A, 0x50, 0xA0)]
    return _QUARTERS[sum(1 << at for at, is_filled in enumerate(filled) if is_filled)]


def _density(bits: int) -> str:
    """The heavier the letter, the more of the cell is covered."""
    count = bits.bit_count()
    return " ..:::%%%"[count]


@dataclass(frozen=True, slots=True)
class Glyphs:
    """One way of writing every part."""

    body: tuple[str, ...]
    """By the eight dots of a cell."""
    chair: tuple[str, ...]
    footrest: str
    footrest_edge: str
    """A cell that it fills only in part."""
    castor: str
    desk: str
    leg: str
    joint: str
    box: Mapping[str, str]
    """Corners and side of a desk thick enough to show: tl, tr, bl, br, side."""
    screen: str
    stand: str
    sight: str
    floor: str
    marks: Mapping[str, str]


DRAWN = Glyphs(
    body=tuple(braille(bits) for bits in range(256)),
    chair=tuple(_quarters(bits) for bits in range(256)),
    footrest="▒",
    footrest_edge="░",
    castor="●",
    desk="═",
    leg="║",
    joint="╦",
    box={"tl": "╔", "tr": "╗", "bl": "╚", "br": "╝", "side": "║"},
    screen="┃",
    stand="│",
    sight="┄",
    floor="▔",
    marks={str(number): sign for number, sign in enumerate(_RINGED, start=1)},
)
PLAIN = Glyphs(
    body=tuple(_density(bits) for bits in range(256)),
    chair=tuple("#" if bits else " " for bits in range(256)),
    footrest="+",
    footrest_edge="+",
    castor="O",
    desk="=",
    leg="H",
    joint="=",
    box={"tl": "=", "tr": "=", "bl": "=", "br": "=", "side": "H"},
    screen="|",
    stand="!",
    sight="-",
    floor="_",
    marks={str(number): f"[{number}]" for number in range(1, 10)},
)


# -- shapes as dots: 2 wide and 4 high in every cell, one whole number per row of dots ------------

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

    def fill(self, points: Sequence[Point]) -> None:
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
        for line, at in crossed.items():
            at.sort()
            for left, right in zip(at[::2], at[1::2], strict=True):
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
        self.lines = [one | two for one, two in zip(self.lines, other.lines, strict=True)]

    def cells(self, row: int) -> dict[int, int]:
        """The cells of a row that are not empty: eight bits, left to right, top to bottom."""
        one, two, three, four = self.lines[row * DOWN : row * DOWN + DOWN]
        every = one | two | three | four
        if not every:
            return {}
        first = ((every & -every).bit_length() - 1) // ACROSS
        found = {}
        for column in range(first, (every.bit_length() + 1) // ACROSS):
            at = column * ACROSS
            bits = (
                (one >> at & 3)
                | (two >> at & 3) << 2
                | (three >> at & 3) << 4
                | (four >> at & 3) << 6
            )
            if bits:
                found[column] = bits
        return found


# -- sheet cells ----------------------------------------------------------------------------------
# A finished drawing in the cells of a terminal: 2 dots wide and 4 high in each, as braille.

_DARK = 190
"""Grey below which a dot is set: a line thinner than a dot still shows."""


def sheet_rows(sheet: Sheet, columns: int) -> tuple[str, ...]:
    """The drawing ``columns`` cells wide, each cell twice as high as wide; its words as letters."""
    wide, high = sheet.size
    per_mm = columns * ACROSS / wide
    rows = round(high * per_mm / DOWN)
    lines = (one for one in sheet.shapes if not isinstance(one, Text))
    grey = dots(lines, (columns * ACROSS, rows * DOWN), per_mm)
    cells = [
        [
            braille(
                sum(
                    1 << y * ACROSS + x
                    for y in range(DOWN)
                    for x in range(ACROSS)
                    if grey[row * DOWN + y][column * ACROSS + x] < _DARK
                )
            )
            for column in range(columns)
        ]
        for row in range(rows)
    ]
    for one in sheet.shapes:
        if isinstance(one, Text):
            _write(cells, one, per_mm)
    return tuple("".join(row).replace(braille(0), " ").rstrip() for row in cells)


def _write(cells: list[list[str]], text: Text, per_mm: float) -> None:
    """Letters in the row that the middle of the text is in, as far as there is room."""
    x, y = text.at[0] * per_mm / ACROSS, (text.at[1] - text.size / 3) * per_mm / DOWN
    row = min(max(int(y), 0), len(cells) - 1)
    back = {"start": 0.0, "middle": 0.5, "end": 1.0}[text.anchor] * len(text.text)
    first = min(max(round(x - back), 0), len(cells[row]) - len(text.text))
    cells[row][first : first + len(text.text)] = text.text
