"""Lists and tables set as strips."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from consult.summary.pdf_paper import MM, runs_left
from consult.summary.pdf_strips import (
    WHOLE,
    Strip,
    TextSetting,
    alt_words,
    kept_lines,
    kept_together,
    nothing,
    set_text,
)

if TYPE_CHECKING:
    from consult.summary.blocks import Drawing, Items, ListItem, Table
    from consult.summary.pdf_paper import PdfPaper, Tag

_INDENT, _DEEPER = 5.0, 3.2
_MARK = 1.6
"""Between a mark and its text."""
_DRAWING, _SMALLER, _NARROW = 30.0, 20.0, 120.0
"""How wide a drawing is; the smaller one in columns that are narrow."""
_LARGER = 1.5
"""How much wider one is that has to be looked at closely."""
_BESIDE, _LOWERED = 2.0, 0.6


@dataclass(frozen=True, slots=True)
class Lists:
    paper: PdfPaper
    pictures: Mapping[str, Drawing]
    room: float
    size: float

    def items(self, block: Items) -> Iterator[Strip]:
        listed = self.paper.tags.add("L")
        for number, item in enumerate(block.items, start=1):
            mark = f"{number}." if block.numbered else "•"
            yield from self._item(item, mark, listed)

    def _item(self, item: ListItem, mark: str, listed: Tag) -> Iterator[Strip]:
        paper, tags = self.paper, self.paper.tags
        tag = tags.add("LI", listed)
        picture = item.picture
        drawing = self.pictures.get(picture.name) if picture else None
        wide = _DRAWING if self.room > _NARROW else _SMALLER
        wide *= _LARGER if drawing and drawing.studied else 1.0
        scale = wide / drawing.size[0] if drawing else 0.0
        tall = drawing.size[1] * scale + _LOWERED if drawing else 0.0
        beside = wide + _BESIDE

        def words(indent: float, down: float) -> TextSetting:
            room = self.room - indent
            return TextSetting(indent, room - beside if down < tall else room, self.size)

        strips, body = self._marked(mark, item.text, words(_INDENT, 0.0), tag)
        if item.under:
            under = tags.add("L", body)
            for line in item.under:
                down = sum(strip.high for strip in strips)
                set_in = words(_INDENT + _DEEPER, down)
                strips += self._marked("–", line, set_in, tags.add("LI", under))[0]
        if picture and picture.alt and not drawing:
            whole = words(_INDENT, 0.0)
            strips += set_text(paper, alt_words(picture.alt), whole, tags.add("P", body))
        if picture and drawing:
            alt = paper.spell(picture.alt)
            # One that says nothing in words only repeats the item.
            figure = tags.add("Figure", body, alt=alt) if alt else None
            left = self.room - wide

            def beside_it(x: float, y: float) -> None:
                with paper.tagged(figure):
                    paper.picture(drawing, x + left, y + _LOWERED, scale)

            yield from _with_drawing(strips, beside_it, tall)
            return
        yield from kept_together(strips, gap=0.8)

    def _marked(
        self, mark: str, text: str, words: TextSetting, item: Tag
    ) -> tuple[list[Strip], Tag]:
        """A text with a mark before its first line, and the tag of what stands under it."""
        tags = self.paper.tags
        label, body = tags.add("Lbl", item), tags.add("LBody", item)
        first, *rest = set_text(self.paper, text, words, tags.add("P", body))

        def draw(x: float, y: float) -> None:
            left = x + words.x - _MARK - self.paper.wide(mark, words.size)
            with self.paper.tagged(label):
                self.paper.put(mark, left, y + words.base, words.size, words.room)
            first.draw(x, y)

        return [replace(first, draw=draw), *rest], body


def _with_drawing(
    strips: Sequence[Strip], drawing: Callable[[float, float], None], tall: float
) -> Iterator[Strip]:
    """The strips and a drawing beside the first of them, which stands whole in one column."""
    first = strips[0]

    def draw(x: float, y: float) -> None:
        first.draw(x, y)
        drawing(x, y)

    down = 0.0
    kept = kept_lines(len(strips), WHOLE)
    for strip, stays in zip([replace(first, draw=draw, gap=1.0), *strips[1:]], kept, strict=True):
        down += strip.high
        yield replace(strip, joined=stays or down < tall)
    if down < tall:
        yield Strip(tall - down, nothing)


# -- A table as strips: one for each row, the head repeated where a page begins -------------------

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


def table_strips(
    paper: PdfPaper, block: Table, room: float, size: float, leading: float
) -> Iterator[Strip]:
    """Its head, and its rows, ``room`` mm wide; lines of ``size`` points, ``leading`` mm apart."""
    whole = paper.tags.add("Table")
    rows = [block.head, *block.rows]
    rooms = _rooms(paper, rows, size, room)

    def row(at: int, tags: Sequence[Tag | None], rule: float) -> list[Strip]:
        bold = [_is_bold(at, column) for column in range(len(rooms))]
        cells = [
            paper.lines(cell, size, wide, heavy)
            for cell, wide, heavy in zip(rows[at], rooms, bold, strict=True)
        ]
        count = max(map(len, cells))
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
                for lines, wide, heavy, tag in zip(cells, rooms, bold, tags, strict=True):
                    base = y + _PAD * above + leading / 2 + 0.3 * size / MM
                    leftward = any(map(runs_left, lines[:1]))
                    for number in part:
                        if number < len(lines) and lines[number]:
                            message = lines[number] + (" " if number < len(lines) - 1 else "")
                            with paper.tagged(tag):
                                paper.put(
                                    message, left, base, size, wide, bold=heavy, leftward=leftward
                                )
                        base += leading
                    left += wide + _GAP
                if below:
                    paper.rule(x, y + high, room, rule)

            strips.append(Strip(high, draw, 0.0, joined))
        return strips

    top = paper.tags.add("TR", whole)
    head = row(0, [paper.tags.head(top, "Column") for _ in block.head], 0.35)
    again = tuple(row(0, [None] * len(block.head), 0.35)) if len(head) == 1 else ()
    for at, strip in enumerate(head):
        # The head never stands alone at the end of a page.
        yield Strip(strip.high, strip.draw, 1.4 if at == 0 else 0.0, joined=True)
    for at in range(1, len(rows)):
        line = paper.tags.add("TR", whole)
        cells = [
            paper.tags.add("TD", line) if column else paper.tags.head(line, "Row")
            for column in range(len(rows[at]))
        ]
        # A short table is read at a glance only where it stands in one piece.
        held = len(rows) <= _SHORT and at < len(rows) - 1
        for strip in row(at, cells, 0.12):
            yield Strip(strip.high, strip.draw, 0.0, strip.joined or held, again)


def is_wide(paper: PdfPaper, block: Table, room: float, size: float) -> bool:
    """Whether most of its rows would take several lines in so narrow a column."""
    whole, _ = _needed(paper, [block.head, *block.rows], size)
    return sum(whole) + _GAP * (len(whole) - 1) > _TOO_WIDE * room


def _is_bold(row: int, column: int) -> bool:
    """The head, and what each row is about."""
    return row == 0 or column == 0


def _rooms(paper: PdfPaper, rows: Sequence[Sequence[str]], size: float, room: float) -> list[float]:
    """As wide as the cells need, what is left shared out; too wide, the widest give way.

    A column gives way as far as its longest word, and further only where even that is too wide.
    """
    whole, least = _needed(paper, rows, size)
    room -= _GAP * (len(whole) - 1)
    if sum(whole) <= room:
        spare = (room - sum(whole)) / len(whole)
        return [value + spare for value in whole]
    if sum(least) >= room:
        return _cut(least, room)
    low, high = 0.0, max(whole)
    for _ in range(30):
        limit = (low + high) / 2
        taken = sum(max(short, min(long, limit)) for short, long in zip(least, whole, strict=True))
        low, high = (limit, high) if taken < room else (low, limit)
    return [max(short, min(long, low)) for short, long in zip(least, whole, strict=True)]


def _needed(
    paper: PdfPaper, rows: Sequence[Sequence[str]], size: float
) -> tuple[list[float], list[float]]:
    """The width of each column with every cell on one line, and of its longest word."""
    whole, least = [0.0] * len(rows[0]), [0.0] * len(rows[0])
    for number, cells in enumerate(rows):
        for at, cell in enumerate(cells):
            bold = _is_bold(number, at)
            words = [paper.wide(word, size, bold) for word in paper.spell(cell, bold).split(" ")]
            space = paper.wide(" ", size, bold) * (len(words) - 1)
            whole[at] = max(whole[at], sum(words) + space)
            least[at] = max(least[at], *words)
    return whole, least


def _cut(widths: Sequence[float], room: float) -> list[float]:
    """The widths, those above one limit cut to it, so that together they are ``room``."""
    left = len(widths)
    for width in sorted(widths):
        if width * left >= room:
            return [min(wide, room / left) for wide in widths]
        room -= width
        left -= 1
    return list(widths)
