"""A finished drawing in the cells of a terminal: 2 dots wide and 4 high in each, as braille."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.picture.glyphs import braille
from consult.picture.raster import ACROSS, DOWN
from consult.picture.svg_png import dots
from consult.picture.svg_shapes import Text

if TYPE_CHECKING:
    from consult.picture.svg_shapes import Sheet

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
