"""A table as strips: one for each row, the head repeated where a page begins."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from consult.summary.pdf_paper import MM
from consult.summary.pdf_strips import Strip, kept_lines
from consult.summary.pdf_words import runs_left

if TYPE_CHECKING:
    from consult.summary.blocks import Table
    from consult.summary.pdf_paper import Paper
    from consult.summary.pdf_tags import Tag

_GAP = 3.0
"""Between columns."""
_PAD = 0.5
"""Above and below the lines of a row."""
_TOO_WIDE = 1.3
"""Of the width of a column; a table that needs more is better laid across the columns."""
_SHORT = 14
"""Rows, the head counted, of a table that is not divided."""
_WHOLE = 12
"""Lines of a row that is not broken; a head of more is not repeated."""


@dataclass(frozen=True, slots=True)
class _Cell:
    lines: Sequence[str]
    wide: float
    bold: bool
    tag: Tag | None

    def draw(
        self, paper: Paper, part: range, x: float, base: float, size: float, leading: float
    ) -> None:
        """Some of its lines, the first on ``base``."""
        leftward = any(map(runs_left, self.lines[:1]))
        for at in part:
            if at < len(self.lines) and self.lines[at]:
                said = self.lines[at] + (" " if at < len(self.lines) - 1 else "")
                with paper.tagged(self.tag):
                    paper.put(said, x, base, size, self.wide, bold=self.bold, leftward=leftward)
            base += leading


def table(paper: Paper, block: Table, room: float, size: float, leading: float) -> Iterator[Strip]:
    """Its head, and its rows, ``room`` mm wide; lines of ``size`` points, ``leading`` mm apart."""
    whole = paper.tags.add("Table")
    rows, bold = _cells(block)
    rooms = _rooms(paper, rows, bold, size, room)

    def row(at: int, tags: Sequence[Tag | None], rule: float) -> list[Strip]:
        cells = [
            _Cell(paper.lines(cell, size, wide, heavy), wide, heavy, tag)
            for cell, wide, heavy, tag in zip(rows[at], rooms, bold[at], tags, strict=True)
        ]
        count = max(len(cell.lines) for cell in cells)
        # Cell after cell, as they are read; line after line only where the row has to be broken.
        parts = [range(count)] if count <= _WHOLE else [range(n, n + 1) for n in range(count)]
        strips = []
        for part, joined in zip(parts, kept_lines(len(parts), 1), strict=True):
            above, below = part.start == 0, part.stop == count
            high = leading * len(part) + _PAD * (above + below)

            def draw(
                x: float, y: float, part: range = part, high: float = high, above: bool = above,
                below: bool = below,
            ) -> None:  # fmt: skip
                left = x
                for cell in cells:
                    base = y + _PAD * above + leading / 2 + 0.3 * size / MM
                    cell.draw(paper, part, left, base, size, leading)
                    left += cell.wide + _GAP
                if below:
                    paper.rule(x, y + high, room, rule)

            strips.append(Strip(high, draw, 0.0, joined))
        return strips

    top = paper.tags.add("TR", whole)
    head = row(0, [paper.tags.head(top, "Column") for _ in block.head], 0.35)
    again = tuple(row(0, [None] * len(block.head), 0.35)) if len(head) == 1 else ()
    for at, one in enumerate(head):
        # The head never stands alone at the end of a page.
        yield Strip(one.high, one.draw, 1.4 if at == 0 else 0.0, joined=True)
    for at in range(1, len(rows)):
        line = paper.tags.add("TR", whole)
        cells = [
            paper.tags.add("TD", line) if column else paper.tags.head(line, "Row")
            for column in range(len(rows[at]))
        ]
        # A short table is read at a glance only where it stands in one piece.
        held = len(rows) <= _SHORT and at < len(rows) - 1
        for one in row(at, cells, 0.12):
            yield Strip(one.high, one.draw, 0.0, one.joined or held, again)


def is_wide(paper: Paper, block: Table, room: float, size: float) -> bool:
    """Whether most of its rows would take several lines in so narrow a column."""
    whole, _ = _needed(paper, *_cells(block), size)
    return sum(whole) + _GAP * (len(whole) - 1) > _TOO_WIDE * room


def _cells(block: Table) -> tuple[list[Sequence[str]], list[list[bool]]]:
    """All its rows, the head first, and which of their cells are bold."""
    bold = [[True] * len(block.head), *([at == 0 for at in range(len(r))] for r in block.rows)]
    return [block.head, *block.rows], bold


def _rooms(
    paper: Paper, rows: Sequence[Sequence[str]], bold: Sequence[Sequence[bool]], size: float,
    room: float,
) -> list[float]:  # fmt: skip
    """As wide as the cells need, what is left shared out; too wide, the widest give way.

    A column gives way as far as its longest word, and further only where even that is too wide.
    """
    whole, least = _needed(paper, rows, bold, size)
    room -= _GAP * (len(whole) - 1)
    if sum(whole) <= room:
        spare = (room - sum(whole)) / len(whole)
        return [one + spare for one in whole]
    if sum(least) >= room:
        return _cut(least, room)
    low, high = 0.0, max(whole)
    for _ in range(30):
        limit = (low + high) / 2
        taken = sum(max(short, min(long, limit)) for short, long in zip(least, whole, strict=True))
        low, high = (limit, high) if taken < room else (low, limit)
    return [max(short, min(long, low)) for short, long in zip(least, whole, strict=True)]


def _needed(
    paper: Paper, rows: Sequence[Sequence[str]], bold: Sequence[Sequence[bool]], size: float
) -> tuple[list[float], list[float]]:
    """The width of each column with every cell on one line, and of its longest word."""
    whole, least = [0.0] * len(rows[0]), [0.0] * len(rows[0])
    for cells, heavy in zip(rows, bold, strict=True):
        for at, cell in enumerate(cells):
            words = [
                paper.wide(one, size, heavy[at]) for one in paper.spell(cell, heavy[at]).split(" ")
            ]
            space = paper.wide(" ", size, heavy[at]) * (len(words) - 1)
            whole[at] = max(whole[at], sum(words) + space)
            least[at] = max(least[at], *words)
    return whole, least


def _cut(widths: Sequence[float], room: float) -> list[float]:
    """The widths, those above one limit cut to it, so that together they are ``room``."""
    left = len(widths)
    for one in sorted(widths):
        if one * left >= room:
            return [min(wide, room / left) for wide in widths]
        room -= one
        left -= 1
    return list(widths)
