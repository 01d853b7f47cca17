"""Writes a document as a PDF: the same text and drawings, for printing and for keeping."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import TYPE_CHECKING

from consult.summary.harmless import harmless
from consult.summary.pdf_blocks import set_blocks
from consult.summary.pdf_faces import Rare
from consult.summary.pdf_lines import LARGE, SMALL, USUAL
from consult.summary.pdf_paper import SIDE, Paper, PaperSize
from consult.summary.pdf_strips import Put, draw, plan

if TYPE_CHECKING:
    from consult.summary.blocks import Block
    from consult.summary.drawings import Drawing

_SHEET = 2
"""Pages of a sheet of paper."""
_FOOT, _FOOT_SIZE = 7.0, 8.0


def to_pdf(
    blocks: Sequence[Block],
    pictures: Mapping[str, Drawing],
    *,
    title: str,
    made: datetime,
    paper: PaperSize = "A4",
    lang: str = "en",
    pages: int = _SHEET,
) -> bytes:
    """The document as a PDF; the same arguments always give the same bytes.

    A picture that is not in ``pictures`` is said in its words. A letter for which there is no face
    is shown as its code: "[U+4E2D]". ``made`` is the date the file says it was made on.
    ``pages`` is how many it should be on, if smaller letters suffice for that.
    """

    def written(*, whole: bool) -> bytes:
        sheet = Paper(paper, title=harmless(title), lang=harmless(lang), made=made, whole=whole)
        _set(blocks, pictures, sheet, pages)
        return bytes(sheet.output())

    try:
        return written(whole=False)
    except Rare:
        return written(whole=True)


def _set(
    blocks: Sequence[Block], pictures: Mapping[str, Drawing], sheet: Paper, wanted: int
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
    draw(puts, sheet, columns)
    _number_pages(sheet)


def _pages(puts: Sequence[Put]) -> int:
    return puts[-1].page + 1 if puts else 1


def _number_pages(sheet: Paper) -> None:
    count = sheet.pages_count
    for number in range(1, count + 1):
        sheet.page = number
        sheet.current_font_is_set_on_page = False
        said = f"{number} of {count}"
        with sheet.tagged(None):
            x = SIDE + sheet.column(1) - sheet.wide(said, _FOOT_SIZE)
            sheet.put(said, x, sheet.h - _FOOT, _FOOT_SIZE, sheet.column(1))
