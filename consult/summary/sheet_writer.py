"""The measuring sheet written out: text, page, PDF on one sheet of paper, or an e-mail draft."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import TYPE_CHECKING, Literal, get_args

from jinja2 import TemplateError

from consult.picture import measures
from consult.summary.blocks import Alert, Drawing, Heading
from consult.summary.render import UNFILLED
from consult.summary.text import to_text
from consult.summary.wording import SHEET, own_wording, wording_for

if TYPE_CHECKING:
    from datetime import datetime

    from consult.call.basis import Basis
    from consult.summary.blocks import Block
    from consult.summary.measuring_sheet import MeasuringSheet
    from consult.summary.pdf_paper import PaperSize
    from consult.units import System

SheetForm = Literal["text", "html", "pdf", "eml"]
SHEET_FORMS: tuple[SheetForm, ...] = get_args(SheetForm)
_LETTER = frozenset({"US", "CA"})
"""Countries whose printers hold Letter; from memory."""


def paper_of(country: str) -> PaperSize:
    """What the printers of a country hold, by its code."""
    return "Letter" if country.partition("-")[0] in _LETTER else "A4"


def sheet_blocks(basis: Basis, sheet: MeasuringSheet) -> tuple[Block, ...]:
    """The sheet in the words of the trees in use."""
    system: System = "metric" if sheet.metric else "imperial"
    alts = {name: measures.words(name.partition(":")[2]) for name in _drawings()}
    wording = wording_for(basis)
    try:
        return wording.blocks(SHEET, sheet, system, alts)
    except TemplateError:
        if wording == own_wording():
            raise
        # An adviser with a caller on the line is not the one to mend a template.
        return (*own_wording().blocks(SHEET, sheet, system, alts), Alert("Wording", UNFILLED))


def write_sheet(
    basis: Basis,
    sheet: MeasuringSheet,
    form: SheetForm,
    made: datetime,
    paper: PaperSize = "A4",
) -> bytes:
    """The sheet in one form; ``made`` is the date in the PDF and the draft."""
    blocks = sheet_blocks(basis, sheet)
    title = next((one.text for one in blocks if isinstance(one, Heading)), basis.tree.title)
    if form == "text":
        return to_text(blocks).encode()
    # Loaded with the first page, not with the desk.
    if form == "html":
        from consult.summary.html import to_html

        return to_html(blocks, _drawings(), title=title).encode()
    if form == "pdf":
        from consult.summary.pdf import to_pdf

        return to_pdf(blocks, _drawings(), title=title, made=made, paper=paper, pages=1)
    from consult.summary.mail import to_eml

    return to_eml(
        to_text(blocks),
        write_sheet(basis, sheet, "html", made).decode(),
        {"measuring-sheet.pdf": write_sheet(basis, sheet, "pdf", made, paper)},
        subject=title,
        date=made,
    )


@cache
def _drawings() -> Mapping[str, Drawing]:
    """The drawing of every measure, by the name templates use."""
    found = {}
    for name in measures.MEASURES:
        drawn, svg = measures.sheet(name), measures.drawing(name, prefix=f"{name}-")
        found[f"measure:{name}"] = Drawing(svg, drawn.shapes, drawn.size, studied=True)
    return found
