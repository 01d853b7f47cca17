"""The side view in the cells of a terminal, to scale."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from consult.picture.model import (
    NAMES,
    DrawnDesk,
    Misfit,
    Outline,
    Scene,
    Screen,
    castors,
    outlines,
)
from consult.picture.raster import DRAWN, PLAIN, Dots, Glyphs, Grid
from consult.sentence import Sentence
from consult.units import System

Kind = Literal["body", "chair", "desk", "footrest", "screen", "floor", "mark", "empty"]

_TOP_LINE = 0b11
"""The uppermost two of a cell's dots."""
_MARGIN = 25.0
"""mm of air left, right and on top."""


@dataclass(frozen=True, slots=True)
class Run:
    """Neighbouring cells of one part, to colour them as well."""

    text: str
    part: Kind


Row = tuple[Run, ...]


def draw_cells(
    scene: Scene, width: int, height: int, *, ascii_only: bool = False, aspect: float = 2.0
) -> tuple[Row, ...]:
    """The picture, as large as fits, in ``height`` rows of exactly ``width`` cells.

    ``aspect`` is how many times higher than wide a cell is. The last of two or more rows is the
    floor. Every problem's sign stands where the problem is, or in the nearest cell free of other
    signs; signs that find no room in a very small picture are left out, never the picture.
    """
    if width < 1 or height < 1:
        return ()
    shapes = outlines(scene)
    grid = grid_of(scene, shapes, width, height, aspect)
    return _Drawing(scene, shapes, grid, ascii_only).rows(height)


def rows_as_text(rows: Iterable[Row]) -> tuple[str, ...]:
    """The rows as text alone."""
    return tuple("".join(run.text for run in row) for row in rows)


def cells_legend(scene: Scene, system: System, *, ascii_only: bool = False) -> tuple[str, ...]:
    """A line for each sign in the picture, and one on its scale."""
    marks = (PLAIN if ascii_only else DRAWN).marks
    lines = [f"{marks[one.mark]} {one.text.text(system)}" for one in scene.problems]
    desk = "desk" if scene.table.stands else "wanted desk"
    sizes = Sentence(
        f"To scale, body as estimated: seat <seat>, {desk} <desk>.",
        {"seat": scene.chair.seat, "desk": scene.table.top},
    )
    return (*(lines or ["Nothing in the way."]), sizes.text(system))


def grid_of(
    scene: Scene, shapes: Sequence[Outline], width: int, height: int, aspect: float
) -> Grid:
    """The largest scale at which everything fits, the back support between two columns."""
    rows = height - 1 if height > 1 else 1
    left, right, top = _extent(scene, shapes)
    row_mm = max((top + _MARGIN) / rows, (right - left) * aspect / max(width - 1, 1), 1.0)
    column_mm = row_mm / aspect
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


class _Drawing:
    """Cells painted part by part, what lies nearer to the eye later."""

    def __init__(
        self, scene: Scene, shapes: Sequence[Outline], grid: Grid, ascii_only: bool
    ) -> None:
        self.scene = scene
        self.outlines = shapes
        self.grid = grid
        self.glyphs: Glyphs = PLAIN if ascii_only else DRAWN
        self.text = [[" "] * grid.columns for _ in range(grid.rows)]
        self.part: list[list[Kind]] = [["empty"] * grid.columns for _ in range(grid.rows)]

    def rows(self, height: int) -> tuple[Row, ...]:
        """The finished picture, with its floor."""
        scene = self.scene
        self._shapes()
        self._castors()
        self._table(scene.table)
        if scene.screen is not None:
            self._screen(scene.screen)
            self._sight(scene.screen)
        if height > 1:
            self.text.append([self.glyphs.floor] * self.grid.columns)
            self.part.append(["floor"] * self.grid.columns)
        self._marks(scene.problems)
        return tuple(
            tuple(_runs(text, part)) for text, part in zip(self.text, self.part, strict=True)
        )

    def _shapes(self) -> None:
        dots = {name: Dots(self.grid) for name in NAMES}
        for outline in self.outlines:
            dots[outline.name].fill(outline.points)
        body = dots["trunk"]
        body.carve(dots["arm"])
        body.join(dots["arm"])
        dots["armrest"].join(dots["post"])
        dots["chair"].join(dots["armrest"])
        for row in range(self.grid.rows):
            of_body = body.cells(row)
            self._row(row, of_body, dots["chair"].cells(row), dots["armrest"].cells(row))
            self._footrest(row, of_body, dots["footrest"].cells(row))

    def _row(
        self, row: int, body: dict[int, int], chair: dict[int, int], arms: dict[int, int]
    ) -> None:
        """A cell shows the part that covers most of it; armrests are always in front."""
        for column, bits in body.items():
            self._put(row, column, self.glyphs.body[bits], "body")
        for column, bits in chair.items():
            if column in arms or bits.bit_count() >= body.get(column, 0).bit_count():
                self._put(row, column, self.glyphs.chair[bits], "chair")

    def _footrest(self, row: int, body: dict[int, int], rest: dict[int, int]) -> None:
        for column, bits in rest.items():
            if bits.bit_count() > body.get(column, 0).bit_count():
                full = bits & _TOP_LINE
                text = self.glyphs.footrest if full else self.glyphs.footrest_edge
                self._put(row, column, text, "footrest")

    def _castors(self) -> None:
        row = self.grid.rows - 1
        for x, _ in castors(self.scene.chair):
            self._put(row, self.grid.column(x), self.glyphs.castor, "chair")

    def _table(self, table: DrawnDesk) -> None:
        grid, glyphs = self.grid, self.glyphs
        top = grid.row_below(table.top)
        under = top + max(0, math.floor((table.top - table.under) / grid.row_mm))
        first, last = grid.column(table.edge), grid.column(table.far)
        leg = last - max(1, (last - first) // 8)
        for column in range(first, last + 1):
            self._put(top, column, glyphs.desk, "desk")
            self._put(under, column, glyphs.desk, "desk")
        if under > top:
            for row, column, corner in (
                (top, first, "tl"), (top, last, "tr"), (under, first, "bl"), (under, last, "br"),
            ):  # fmt: skip
                self._put(row, column, glyphs.box[corner], "desk")
            for row in range(top + 1, under):
                self._put(row, first, glyphs.box["side"], "desk")
                self._put(row, last, glyphs.box["side"], "desk")
        self._put(under, leg, glyphs.joint, "desk")
        for row in range(max(under + 1, 0), grid.rows):
            self._put(row, leg, glyphs.leg, "desk")

    def _screen(self, screen: Screen) -> None:
        grid = self.grid
        column = grid.column(screen.x)
        top, bottom = grid.row_below(screen.top), grid.row(screen.bottom)
        desk = grid.row_below(self.scene.table.top)
        for row in range(max(top, 0), min(desk, grid.rows)):
            text = self.glyphs.screen if row <= bottom else self.glyphs.stand
            self._put(row, column, text, "screen")

    def _sight(self, screen: Screen) -> None:
        """From the eye to the top of the screen, where nothing else is."""
        grid = self.grid
        x, y = self.scene.joints.eye
        for column in range(max(grid.column(x), 0), min(grid.column(screen.x), grid.columns)):
            share = ((column + 0.5) * grid.column_mm + grid.left - x) / max(screen.x - x, 1.0)
            row = grid.row_below(y + min(max(share, 0.0), 1.0) * (screen.top - y))
            if 0 <= row < grid.rows and self.part[row][column] == "empty":
                self._put(row, column, self.glyphs.sight, "screen")

    def _marks(self, problems: Iterable[Misfit]) -> None:
        for problem in problems:
            x, y = problem.where
            at = (self.grid.row_below(y), self.grid.column(x))
            sign = self.glyphs.marks[problem.mark]
            if not self._mark(at, sign) and len(sign) > 1:
                self._mark(at, problem.mark)

    def _mark(self, at: tuple[int, int], sign: str) -> bool:
        """Whether the sign found room; it goes as near as it can."""
        wide = len(sign)
        row, middle = place = at[0], at[1] - wide // 2
        if not self._free(place, wide):
            free = (
                (r, c)
                for r in range(len(self.part))
                for c in range(self.grid.columns - wide + 1)
                if self._free((r, c), wide)
            )
            nearest = min(
                free, key=lambda cell: (abs(cell[0] - row) * 2 + abs(cell[1] - middle), cell),
                default=None,
            )  # fmt: skip
            if nearest is None:
                return False
            place = nearest
        for ahead, letter in enumerate(sign):
            self._put(place[0], place[1] + ahead, letter, "mark")
        return True

    def _free(self, cell: tuple[int, int], wide: int) -> bool:
        row, column = cell
        inside = 0 <= row < len(self.part) and 0 <= column <= self.grid.columns - wide
        return inside and "mark" not in self.part[row][column : column + wide]

    def _put(self, row: int, column: int, text: str, part: Kind) -> None:
        """What lies outside is left out."""
        if 0 <= row < len(self.text) and 0 <= column < self.grid.columns:
            self.text[row][column] = text
            self.part[row][column] = part


def _runs(text: list[str], parts: list[Kind]) -> Iterator[Run]:
    start = 0
    for at in range(1, len(parts) + 1):
        if at == len(parts) or parts[at] != parts[start]:
            yield Run("".join(text[start:at]), parts[start])
            start = at
