"""Strips of a page, laid under one another in columns; where a page is full, the next begins."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate, groupby

from consult.summary.pdf_paper import GUTTER, MM, SIDE, TOP, PdfPaper, Tag, runs_left

_STEP = 2.0
"""mm; how finely columns are made equally long."""


@dataclass(frozen=True, slots=True)
class Strip:
    """Something as wide as its column that is not broken; mm."""

    high: float
    draw: Callable[[float, float], None]
    """Draws it, its upper left corner there (x, y)."""
    gap: float = 0.0
    """Empty paper above it, but not at the top of a column."""
    joined: bool = False
    """Whether the next one is to stand in the same column."""
    again: tuple[Strip, ...] = ()
    """What is repeated above it where it begins a column: the head of its table."""
    new_page: bool = False
    across: bool = False
    """Whether it lies across all columns; what stands before it ends above it."""


@dataclass(frozen=True, slots=True)
class Put:
    """Where a strip goes: the page, counted from 0, the column, and how far down."""

    strip: Strip
    page: int
    column: int
    y: float


def plan(strips: Sequence[Strip], columns: int, end: float) -> list[Put]:
    """All strips, in so many columns, on as many pages as they need, each as far as ``end``."""
    planned: list[Put] = []
    page, top = 0, TOP
    # Strips that are set in the same number of columns, and on pages of their own.
    pages = accumulate(strip.new_page for strip in strips)
    runs = groupby(zip(pages, strips, strict=True), lambda pair: (pair[0], pair[1].across))
    for run in ([strip for _, strip in members] for _, members in runs):
        if run[0].new_page and top > TOP:
            page, top = page + 1, TOP
        count = 1 if run[0].across else columns
        groups = [*_groups(run)]
        puts = _fill(groups, count, top, end)
        if not puts[-1].page:
            puts = _level(groups, count, top, end)
        planned += [replace(put, page=page + put.page) for put in puts]
        top = max(put.y + put.strip.high for put in puts if put.page == puts[-1].page)
        page += puts[-1].page
    return planned


def draw_strips(puts: Sequence[Put], paper: PdfPaper, columns: int) -> None:
    """What was planned, on paper; at least one page."""
    paper.add_page()
    for put in puts:
        while put.page >= paper.pages_count:
            paper.add_page()
        put.strip.draw(SIDE + put.column * (paper.column(columns) + GUTTER), put.y)


def _fill(groups: Sequence[Sequence[Strip]], columns: int, top: float, end: float) -> list[Put]:
    """Column after column, each as far as ``end``; those of later pages begin at the very top."""
    puts: list[Put] = []
    page, column, start, y = 0, 0, top, top
    for group in groups:
        needed = sum(strip.gap + strip.high for strip in group)
        for at, strip in enumerate(group):
            whole = at == 0 and TOP + needed <= end
            high = needed if whole else strip.gap + strip.high
            again: Sequence[Strip] = ()
            # What does not fit at the very top of a page fits nowhere.
            while y > TOP and y + high > end:
                column = (column + 1) % columns
                if not column:
                    page, start = page + 1, TOP
                y, again = start, strip.again
            for head in again:
                puts.append(Put(head, page, column, y))
                y += head.high
            # What lies across keeps its distance from what is above it.
            y += strip.gap if y > (TOP if strip.across else start) else 0.0
            puts.append(Put(strip, page, column, y))
            y += strip.high
    return puts


def _level(groups: Sequence[Sequence[Strip]], columns: int, top: float, end: float) -> list[Put]:
    """The columns of one page as nearly equally long as they can be."""
    total = sum(strip.gap + strip.high for group in groups for strip in group)
    limit = top + total / columns
    while limit < end:
        puts = _fill(groups, columns, top, limit)
        if not puts[-1].page:
            return puts
        limit += _STEP
    return _fill(groups, columns, top, end)


def _groups(strips: Iterable[Strip]) -> Iterator[Sequence[Strip]]:
    """Strips that are to stand together."""
    group: list[Strip] = []
    for strip in strips:
        group.append(strip)
        if not strip.joined:
            yield group
            group = []
    if group:
        yield group


def kept_lines(count: int, whole: int) -> Iterator[bool]:
    """For each of so many lines, whether the next must be in its column.

    Up to ``whole`` lines stay together; of more, two at least stand at the end of a column and two
    at the beginning of the next.
    """
    for line in range(count):
        yield line < count - 1 and (count <= whole or line == 0 or line == count - 2)


# -- text set as strips, a line each: how large, how wide, and which lines stay together ----------

WHOLE = 12
"""Lines that are kept together in an item or an alert."""
_LEADING = 1.2
LARGE, USUAL, SMALL = 9.5, 8.4, 8.0
"""Points. What is smaller can hardly be read. Common practice, no source. The face is large for its
size: this is as tall as a sixth more of most others."""


@dataclass(frozen=True, slots=True)
class TextSetting:
    x: float
    """From the left edge of the column, mm."""
    room: float
    """Width of the lines, mm."""
    size: float
    """Points."""
    bold: bool = False

    @property
    def high(self) -> float:
        """From line to line."""
        return self.size / MM * _LEADING

    @property
    def base(self) -> float:
        """From the top of a line to its base line."""
        return self.high / 2 + 0.3 * self.size / MM


def set_text(
    paper: PdfPaper, text: str, words: TextSetting, tag: Tag, gap: float = 0.0
) -> Iterator[Strip]:
    """A paragraph, a strip for each of its lines, ``gap`` mm above the first."""
    lines = paper.lines(text, words.size, words.room, words.bold)
    leftward = runs_left(" ".join(lines))
    kept = kept_lines(len(lines), 3)
    for at, (line, joined) in enumerate(zip(lines, kept, strict=True)):
        last = at == len(lines) - 1

        def draw(x: float, y: float, line: str = line, last: bool = last) -> None:
            with paper.tagged(tag):
                # The space keeps the words of two lines apart when they are read out.
                message = line if last else f"{line} "
                paper.put(
                    message, x + words.x, y + words.base, words.size, words.room,
                    bold=words.bold, leftward=leftward,
                )  # fmt: skip

        yield Strip(words.high, draw, gap if at == 0 else 0.0, joined)


def kept_together(
    strips: Sequence[Strip], gap: float | None = None, *, joined: bool = False
) -> Iterator[Strip]:
    """The strips on one page where they are few; ``joined`` with what follows them."""
    kept = kept_lines(len(strips), WHOLE)
    for at, (strip, stays) in enumerate(zip(strips, kept, strict=True)):
        last = at == len(strips) - 1
        above = gap if at == 0 and gap is not None else strip.gap
        yield replace(strip, joined=joined if last else stays or strip.joined, gap=above)


def alt_words(alt: str) -> str:
    """A drawing that is not there."""
    return f"In the picture: {alt}"


def nothing(_x: float, _y: float) -> None:
    """Empty paper."""
