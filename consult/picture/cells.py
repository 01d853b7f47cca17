"""The side view in the cells of a terminal, to scale.

Each part has characters of its own, so that it is told apart without colour: the body small dots,
the chair solid blocks, the desk double lines, the footrest shading, the screen heavy lines.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Literal

from consult.picture.model import (
    SHAPE_NAMES,
    DrawnDesk,
    Misfit,
    Outline,
    Scene,
    Screen,
    castors,
    outlines,
)
from consult.picture.raster import Dots, Grid, braille
from consult.sentence import Sentence
from consult.units import System

CellPart = Literal["body", "chair", "desk", "footrest", "screen", "floor", "mark", "empty"]

SIGNS = dict(zip("123456789", "①②③④⑤⑥⑦⑧⑨", strict=True))
"""Of the numbered problems."""
_QUARTERS = " ▘▝▀▖▌▞▛▗▚▐▜▄▙▟█"
"""By which quarters are filled: upper left 1, upper right 2, lower left 4, lower right 8."""
_TOP_LINE = 0b11
"""The uppermost two of a cell's dots."""
_MARGIN = 25.0
"""mm of air left, right and on top."""
_ASPECT = 2.0
"""How many times higher than wide a cell is."""


def cells_legend(scene: Scene, system: System) -> tuple[str, ...]:
    """A line for each sign in the picture, and one on its scale."""
    lines = [f"{SIGNS[misfit.mark]} {misfit.text.text(system)}" for misfit in scene.problems]
    desk = "desk" if scene.table.stands else "wanted desk"
    sizes = Sentence(
        f"To scale, body as estimated: seat <seat>, {desk} <desk>.",
        {"seat": scene.chair.seat, "desk": scene.table.top},
    )
    return (*(lines or ["Nothing in the way."]), sizes.text(system))


def _quarters(bits: int) -> str:
    """A quarter holds four dots; it is filled from one on, so that nothing thin vanishes."""
    filled = [bool(bits & mask) for mask in (0x05, 0x0A, 0x50, 0xA0)]
    return _QUARTERS[sum(1 << at for at, is_filled in enumerate(filled) if is_filled)]


_BODY, _CHAIR = (tuple(map(sign, range(256))) for sign in (braille, _quarters))
"""By the eight dots of a cell."""


def grid_of(scene: Scene, shapes: Sequence[Outline], width: int, height: int) -> Grid:
    """The largest scale at which everything fits, the back support between two columns."""
    rows = height - 1 if height > 1 else 1
    left, right, top = _extent(scene, shapes)
    row_mm = max((top + _MARGIN) / rows, (right - left) * _ASPECT / max(width - 1, 1), 1.0)
    column_mm = row_mm / _ASPECT
    spare = width - (right - left) / column_mm
    before = round(-left / column_mm + spare / 2)
    return Grid(width, rows, column_mm, row_mm, -before * column_mm)


def _extent(scene: Scene, shapes: Sequence[Outline]) -> tuple[float, float, float]:
    points = [point for outline in shapes for point in outline.points]
    points += [(scene.table.edge, scene.table.top), (scene.table.far, scene.table.top)]
    if scene.screen is not None:
        points.append((scene.screen.x, scene.screen.top))
    across = [x for x, _ in points]
    return min(across) - _MARGIN, max(across) + _MARGIN, max(y for _, y in points)


class CellPicture:
    """The picture, as large as fits, in ``height`` rows of exactly ``width`` cells, at least one.

    It is painted part by part, what lies nearer to the eye later. The last of two or more rows is
    the floor. Every problem's sign stands where the problem is, or in the nearest cell free of
    other signs; signs that find no room in a very small picture are left out, never the picture.
    """

    def __init__(self, scene: Scene, width: int, height: int) -> None:
        self.scene, self.outlines = scene, outlines(scene)
        self.grid = grid = grid_of(scene, self.outlines, width, height)
        self.text = [[" "] * grid.columns for _ in range(grid.rows)]
        self.part: list[list[CellPart]] = [["empty"] * grid.columns for _ in range(grid.rows)]
        self._shapes()
        for x, _ in castors(scene.chair):
            self._put(grid.rows - 1, grid.column(x), "●", "chair")
        self._table(scene.table)
        if scene.screen is not None:
            self._screen(scene.screen)
            self._sight(scene.screen)
        if height > 1:
            self.text.append(["▔"] * grid.columns)
            self.part.append(["floor"] * grid.columns)
        self._marks(scene.problems)

    @property
    def rows(self) -> tuple[str, ...]:
        """As text."""
        return tuple("".join(row) for row in self.text)

    def _shapes(self) -> None:
        """A cell shows the part that covers most of it; armrests are always in front."""
        dots = {name: Dots(self.grid) for name in SHAPE_NAMES}
        for outline in self.outlines:
            dots[outline.name].fill(outline.points)
        body = dots["trunk"]
        body.carve(dots["arm"])
        body.join(dots["arm"])
        dots["armrest"].join(dots["post"])
        dots["chair"].join(dots["armrest"])
        for row in range(self.grid.rows):
            of_body, arms = body.cells(row), dots["armrest"].cells(row)
            for column, bits in of_body.items():
                self._put(row, column, _BODY[bits], "body")
            for column, bits in dots["chair"].cells(row).items():
                if column in arms or bits.bit_count() >= of_body.get(column, 0).bit_count():
                    self._put(row, column, _CHAIR[bits], "chair")
            for column, bits in dots["footrest"].cells(row).items():
                if bits.bit_count() > of_body.get(column, 0).bit_count():
                    self._put(row, column, "▒" if bits & _TOP_LINE else "░", "footrest")

    def _table(self, table: DrawnDesk) -> None:
        grid = self.grid
        top = grid.row_below(table.top)
        under = top + max(0, math.floor((table.top - table.under) / grid.row_mm))
        first, last = grid.column(table.edge), grid.column(table.far)
        leg = last - max(1, (last - first) // 8)
        for column in range(first, last + 1):
            self._put(top, column, "═", "desk")
            self._put(under, column, "═", "desk")
        if under > top:
            for row, column, corner in (
                (top, first, "╔"), (top, last, "╗"), (under, first, "╚"), (under, last, "╝"),
            ):  # fmt: skip
                self._put(row, column, corner, "desk")
            for row in range(top + 1, under):
                self._put(row, first, "║", "desk")
                self._put(row, last, "║", "desk")
        self._put(under, leg, "╦", "desk")
        for row in range(max(under + 1, 0), grid.rows):
            self._put(row, leg, "║", "desk")

    def _screen(self, screen: Screen) -> None:
        grid = self.grid
        column = grid.column(screen.x)
        top, bottom = grid.row_below(screen.top), grid.row(screen.bottom)
        desk = grid.row_below(self.scene.table.top)
        for row in range(max(top, 0), min(desk, grid.rows)):
            self._put(row, column, "┃" if row <= bottom else "│", "screen")

    def _sight(self, screen: Screen) -> None:
        """From the eye to the top of the screen, where nothing else is."""
        grid = self.grid
        x, y = self.scene.joints.eye
        for column in range(max(grid.column(x), 0), min(grid.column(screen.x), grid.columns)):
            share = ((column + 0.5) * grid.column_mm + grid.left - x) / max(screen.x - x, 1.0)
            row = grid.row_below(y + min(max(share, 0.0), 1.0) * (screen.top - y))
            if 0 <= row < grid.rows and self.part[row][column] == "empty":
                self._put(row, column, "┄", "screen")

    def _marks(self, problems: Iterable[Misfit]) -> None:
        """Each where its problem is, or as near as there is room."""
        for problem in problems:
            row, column = self.grid.row_below(problem.where[1]), self.grid.column(problem.where[0])
            free = (
                (abs(r - row) * 2 + abs(c - column), r, c)
                for r, parts in enumerate(self.part)
                for c, part in enumerate(parts)
                if part != "mark"
            )
            if nearest := min(free, default=None):
                self._put(*nearest[1:], SIGNS[problem.mark], "mark")

    def _put(self, row: int, column: int, text: str, part: CellPart) -> None:
        """What lies outside is left out."""
        if 0 <= row < len(self.text) and 0 <= column < self.grid.columns:
            self.text[row][column] = text
            self.part[row][column] = part
