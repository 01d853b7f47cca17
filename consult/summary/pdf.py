"""Writes a document as a PDF: the same text and drawings, for printing and for keeping."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import datetime

from consult.summary.blocks import (
    Alert,
    DocumentBlock,
    Drawing,
    Fields,
    Heading,
    Items,
    NewPage,
    Paragraph,
    Picture,
    Table,
)
from consult.summary.pdf_items import Lists, is_wide, table_strips
from consult.summary.pdf_paper import SIDE, TOP, PaperSize, PdfPaper, Rare, TagKind
from consult.summary.pdf_strips import (
    LARGE,
    SMALL,
    USUAL,
    WHOLE,
    Put,
    Strip,
    TextSetting,
    alt_words,
    draw_strips,
    kept_lines,
    kept_together,
    nothing,
    plan,
    set_text,
)
from consult.visible import harmless

_SHEET = 2
"""Pages of a sheet of paper."""
_FOOT, _FOOT_SIZE = 7.0, 8.0


def to_pdf(
    blocks: Sequence[DocumentBlock],
    pictures: Mapping[str, Drawing],
    *,
    title: str,
    made: datetime,
    paper: PaperSize = "A4",
    pages: int = _SHEET,
) -> bytes:
    """The document as a PDF; the same arguments always give the same bytes.

    A picture that is not in ``pictures`` is said in its words. A letter for which there is no face
    is shown as its code: "[U+4E2D]". ``made`` is the date the file says it was made on.
    ``pages`` is how many it should be on, if smaller letters suffice for that.
    """

    def written(*, whole: bool) -> bytes:
        sheet = PdfPaper(paper, title=harmless(title), made=made, whole=whole)
        _set(blocks, pictures, sheet, pages)
        return bytes(sheet.output())

    try:
        return written(whole=False)
    except Rare:
        return written(whole=True)


def _set(
    blocks: Sequence[DocumentBlock], pictures: Mapping[str, Drawing], sheet: PdfPaper, wanted: int
) -> None:
    """Large on one page if it can be, else in two columns, whose short lines are easily read.

    What would be on one page too many is set smaller where that suffices: three pages on both
    sides of a sheet.
    """

    def planned(columns: int, size: float) -> list[Put]:
        sheet.untag()
        strips = list(set_blocks(blocks, sheet, pictures, columns, size))
        return plan(strips, columns, sheet.end)

    columns, puts = 1, planned(1, LARGE)
    if _pages(puts) > 1 and wanted == 1:
        columns, puts = 2, planned(2, LARGE)
    if _pages(puts) > 1:
        columns, puts = 2, planned(2, USUAL)
    if _pages(puts) == wanted + 1:
        puts = planned(columns, SMALL)
        if _pages(puts) > wanted:
            puts = planned(columns, USUAL)
    draw_strips(puts, sheet, columns)
    _number_pages(sheet)


def _pages(puts: Sequence[Put]) -> int:
    return puts[-1].page + 1 if puts else 1


def _number_pages(sheet: PdfPaper) -> None:
    count = sheet.pages_count
    for number in range(1, count + 1):
        sheet.page = number
        sheet.current_font_is_set_on_page = False
        message = f"{number} of {count}"
        with sheet.tagged(None):
            x = SIDE + sheet.column(1) - sheet.wide(message, _FOOT_SIZE)
            sheet.put(message, x, sheet.h - _FOOT, _FOOT_SIZE, sheet.column(1))


# -- blocks set as strips of a page: type sizes, indents, and what must not be torn apart ---------

_HEADS = {1: 15.0, 2: 10.5}
_LESSER = 9.0
_AFTER_OPENING = 1.5
_BAR = 1.6
_WRITTEN, _SPACE = 7.0, 1.2
"""How high a line is that is written on by hand, and what stands between its parts."""
_BLANK, _LEAST_BLANK = 30.0, 11.0
"""How wide a blank is, and the least it may be."""
_DRAWN = 0.75
"""Of its own size, what a drawing is at least: its letters are then as small as text may be."""
_TALLEST = 0.75
"""Of a page, what a drawing may take."""


def set_blocks(
    blocks: Sequence[DocumentBlock],
    paper: PdfPaper,
    pictures: Mapping[str, Drawing],
    columns: int,
    size: float,
) -> Iterator[Strip]:
    """The whole document; the title and what stands right under it lie across the columns."""
    across, within = (_Setter(paper, pictures, paper.column(count), size) for count in (1, columns))
    opening, new_page = columns > 1, False
    for at, block in enumerate(blocks):
        if isinstance(block, NewPage):
            new_page = True
            continue
        if opening and not _opens(block):
            opening = False
            yield Strip(_AFTER_OPENING, nothing, across=True)
        headed = isinstance(block, Heading) and at + 1 < len(blocks)
        lies_across = opening or (
            columns > 1 and within.too_small(blocks[at + 1] if headed else block)
        )
        setter = across if lies_across else within
        strips: Iterable[Strip] = setter.block(block)
        if at + 1 < len(blocks) and isinstance(blocks[at + 1], Fields):
            # What is to be written is never torn from how it is found out.
            strips = [replace(strip, joined=True) for strip in strips]
        for strip in strips:
            yield replace(strip, new_page=new_page, across=lies_across)
            new_page = False
        if lies_across and not opening and not headed:
            yield Strip(_AFTER_OPENING, nothing, across=True)


def _opens(block: DocumentBlock) -> bool:
    return isinstance(block, Paragraph | Alert) or (isinstance(block, Heading) and block.level == 1)


class _Setter(Lists):
    def block(self, block: DocumentBlock) -> Iterator[Strip]:
        """One block; page breaks are not set."""
        whole = TextSetting(0.0, self.room, self.size)
        match block:
            case Heading():
                return self._heading(block)
            case Alert():
                return self._alert(block)
            case Picture() if block.name in self.pictures:
                return self._drawing(block)
            case Paragraph(text) | Picture(alt=text):
                text = text if isinstance(block, Paragraph) else alt_words(text)
                return set_text(self.paper, text, whole, self.paper.tags.add("P"), gap=1.4)
            case Items():
                return self.items(block)
            case Fields():
                return self._fields(block)
            case Table():
                return table_strips(self.paper, block, self.room, whole.size, whole.high)
            case NewPage():
                raise AssertionError("page breaks are not set")

    def _heading(self, block: Heading) -> Iterator[Strip]:
        level = min(max(block.level, 1), 6)
        words = TextSetting(0.0, self.room, _HEADS.get(level, _LESSER), bold=True)
        kind: TagKind = "H1" if level == 1 else "H2" if level == 2 else "H3"
        strips = list(set_text(self.paper, block.text, words, self.paper.tags.add(kind)))
        ruled = level == 2

        def draw(x: float, y: float) -> None:
            self.paper.set_xy(x, y)
            self.paper.start_section(self.paper.spell(block.text), level - 1, strict=False)
            if ruled:
                self.paper.rule(x, y, self.room, 0.3)
            strips[0].draw(x, y + ruled * 1.2)

        first = replace(strips[0], draw=draw, high=strips[0].high + ruled * 1.2, gap=2.6)
        yield from kept_together([first, *strips[1:]], joined=True)

    def _alert(self, block: Alert) -> Iterator[Strip]:
        words = TextSetting(2.5 * _BAR, self.room - 2.5 * _BAR, self.size)
        tag = self.paper.tags.add("Note")
        strips = [
            *set_text(self.paper, f"{block.label}:", replace(words, bold=True), tag),
            *set_text(self.paper, block.text, words, tag),
        ]
        kept = kept_lines(len(strips), WHOLE)
        for at, (strip, joined) in enumerate(zip(strips, kept, strict=True)):

            def draw(x: float, y: float, strip: Strip = strip) -> None:
                self.paper.bar(x, y, _BAR, strip.high)
                strip.draw(x, y)

            yield Strip(strip.high, draw, 2.0 if at == 0 else 0.0, joined)

    def _fields(self, block: Fields) -> Iterator[Strip]:
        """Names, lines to write on, units; all in one row if they have room, else a row each."""
        paper, size, tag = self.paper, self.size, self.paper.tags.add("P")
        rows = [
            [
                (paper.spell(field.name, bold=True), True),
                *((paper.spell(u), False) for u in field.units),
            ]
            for field in block.fields
        ]
        one_row = [piece for row in rows for piece in row]
        if self._taken(one_row) + _LEAST_BLANK * sum(not bold for _, bold in one_row) <= self.room:
            rows = [one_row]
        for at, row in enumerate(rows):
            count = sum(not bold for _, bold in row)
            blank = min(_BLANK, max(0.0, self.room - self._taken(row)) / max(count, 1))

            def draw(
                x: float, y: float, row: list[tuple[str, bool]] = row, blank: float = blank
            ) -> None:
                base = y + _WRITTEN - 1.2
                for text, bold in row:
                    if not bold:
                        paper.rule(x, base + 0.6, blank, 0.3)
                        x += blank + _SPACE
                    with paper.tagged(tag):
                        # The space keeps a name and its unit apart when they are read out.
                        paper.put(f"{text} ", x, base, size, self.room, bold=bold)
                    x += paper.wide(text, size, bold) + (_SPACE if bold else 2 * _SPACE)

            yield Strip(_WRITTEN, draw, 0.4 if at == 0 else 0.0, joined=at < len(rows) - 1)

    def _taken(self, row: Sequence[tuple[str, bool]]) -> float:
        """The width of a row without its blanks."""
        words = sum(self.paper.wide(text, self.size, bold) for text, bold in row)
        return words + _SPACE * sum(1 if bold else 3 for _, bold in row)

    def too_small(self, block: DocumentBlock) -> bool:
        """Whether the letters of a drawing, or the rows of a table, could hardly be read in a
        column of this width."""
        if isinstance(block, Table):
            return is_wide(self.paper, block, self.room, self.size)
        drawing = self.pictures.get(block.name) if isinstance(block, Picture) else None
        return drawing is not None and drawing.size[0] * _DRAWN > self.room

    def _drawing(self, block: Picture) -> Iterator[Strip]:
        """As small as it can be read; its words are for those who do not see it."""
        drawing, paper = self.pictures[block.name], self.paper
        wide, high = drawing.size
        scale = min(_DRAWN, self.room / wide, (paper.end - TOP) * _TALLEST / high)
        tag = paper.tags.add("Figure", alt=paper.spell(block.alt)) if block.alt else None

        def draw(x: float, y: float) -> None:
            with paper.tagged(tag):
                paper.picture(drawing, x, y, scale)

        yield Strip(high * scale, draw, 2.0)
