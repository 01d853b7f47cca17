"""Shapes as dots: 2 wide and 4 high in every cell, one whole number per row of dots."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from consult.picture.model import Point

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
