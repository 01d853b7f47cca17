"""A call's papers and the measuring sheet written out, in one of several forms."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, time
from functools import cached_property
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Literal, get_args

from consult.picture.measures import MEASURES
from consult.sentence import CHAIR, of_thing
from consult.summary import Form, Paper
from consult.summary.blocks import Alert, Drawing, Heading, Picture
from consult.summary.model import summarise
from consult.summary.readers import HEALTHLESS, Reader, for_reader
from consult.summary.text import to_markdown, to_text
from consult.summary.wording import SHEET, BrokenWordingError, own_wording, wording_of

if TYPE_CHECKING:
    from consult.call.basis import Basis
    from consult.call.follow_up import ThenAndNow
    from consult.call.state import State
    from consult.retention import Retention
    from consult.summary.blocks import DocumentBlock
    from consult.summary.measuring_sheet import MeasuringSheet
    from consult.summary.model import Summary
    from consult.summary.pdf_paper import PaperSize
    from consult.units import System

UNFILLED = (
    "The wording in use could not be filled, so this is the wording consult comes with. "
    "consult check says what is wrong."
)


_PAGES: Mapping[Paper, int] = {"card": 1, "order": 1, "employer": 1}
"""How many pages a document should be on, where that is not both sides of a sheet."""


_NAMES: Mapping[Reader, str] = {
    "caller": "call-summary",
    "employer": "chair-and-workplace",
    "order": "order",
    "file": "case-file",
}
"""What a document is called where it is attached."""


def reader_of(paper: Paper) -> Reader:
    """Whose paper it is."""
    return "caller" if paper == "card" else paper


def document(
    basis: Basis,
    summary: Summary,
    system: System,
    paper: Paper = "caller",
    pictures: Mapping[str, str] | None = None,
    *,
    strict: bool = False,
) -> tuple[DocumentBlock, ...]:
    """The blocks of a paper, in the reader's units; ``pictures`` are the words of those there are.

    A template that cannot be filled is replaced by ours, and the paper says so; where ``strict``,
    that is a BrokenWordingError. A paper for the employer or the order team needs a summary made
    without health (``summarise(..., reader=...)``); ValueError for any other.
    """
    reader = reader_of(paper)
    if reader in HEALTHLESS and not summary.healthless:
        raise ValueError(f"this summary holds health and must not become the {paper} paper")
    cut = for_reader(summary, reader)
    return _worded(basis, paper, cut, system, pictures or {}, basis.thing, strict=strict)


def _worded(
    basis: Basis,
    template: str,
    filling: Summary | MeasuringSheet,
    system: System,
    pictures: Mapping[str, str],
    thing: str,
    *,
    strict: bool,
) -> tuple[DocumentBlock, ...]:
    """A template filled; ours where that of the trees in use cannot be."""
    try:
        folder = Path(basis.tree.files[0]).parent if basis.tree.files else None
        return wording_of(folder).blocks(template, filling, system, pictures, thing)
    except BrokenWordingError:
        if strict:
            raise
        # An adviser with a caller on the line is not the one to mend a template.
        own = own_wording().blocks(template, filling, system, pictures, thing)
        return (*own, Alert("Wording", UNFILLED))


def render(
    basis: Basis,
    summary: Summary,
    form: Literal["text", "md"],
    system: System,
    paper: Paper = "file",
) -> str:
    """A summary as plain text or Markdown, lengths and masses in the reader's units.

    What the tree said during the call, its blanks filled, stays in the units of the call.
    """
    blocks = document(basis, summary, system, paper)
    return to_text(blocks) if form == "text" else to_markdown(blocks)


@dataclass(frozen=True)
class Writer:
    """Writes the papers of one call; same call and time, same bytes.

    What several forms share is made once: the summary of a reader, the drawings, and the text, page
    and PDF that go into an e-mail draft.
    """

    basis: Basis
    state: State
    """With its chair chosen."""
    made: datetime | None = None
    """Stands in the PDF and the draft; noon of the call's day if not said."""
    reference: str = ""
    adviser: str = ""
    then_and_now: tuple[ThenAndNow, ...] = ()
    retention: Retention | None = None
    """How long calls are stored here; the default if not said."""
    strict: bool = False
    """A template that cannot be filled is an error, as there is no caller on the line."""
    _made: dict[Reader, Summary] = field(default_factory=dict, init=False, repr=False)
    _written: dict[tuple[Form, Paper], bytes] = field(default_factory=dict, init=False, repr=False)

    @property
    def at(self) -> datetime:
        """When the papers were made; nothing here reads a clock."""
        return self.made or datetime.combine(self.state.call.today, time(12), tzinfo=UTC)

    def write(self, form: Form, paper: Paper) -> bytes:
        """One paper in one form; 'png' is its side view alone.

        ValueError, in words, where there is no such picture, or it is not for that reader.
        """
        if (form, paper) not in self._written:
            self._written[form, paper] = self._write(form, paper)
        return self._written[form, paper]

    def _write(self, form: Form, paper: Paper) -> bytes:
        if form == "png":
            return self._side_view(paper)
        reader, system = reader_of(paper), self.state.call.system
        summary = self._summary(reader)
        match form:
            case "ics":
                return self._calendar(for_reader(summary, reader), paper).encode()
            case "json":
                content = for_reader(summary, reader).as_json()
                return json.dumps(content, indent=2, ensure_ascii=False).encode()
            case "eml":
                return self._draft(reader, for_reader(summary, reader))
            case "text" | "md":
                words = document(self.basis, summary, system, paper, strict=self.strict)
                return (to_text(words) if form == "text" else to_markdown(words)).encode()
        drawings = self._shown_to(reader)
        alts = _alts_of(drawings)
        blocks = document(self.basis, summary, system, paper, alts, strict=self.strict)
        titles = (block.text for block in blocks if isinstance(block, Heading) and block.level == 1)
        title = next(titles, summary.title)
        # Loaded with the first page, not with the desk.
        if form == "html":
            from consult.summary.html import to_html

            return to_html(blocks, drawings, title=title).encode()
        from consult.summary.pdf import to_pdf

        return to_pdf(blocks, drawings, title=title, made=self.at, pages=_PAGES.get(paper, 2))

    def _side_view(self, paper: Paper) -> bytes:
        from consult.picture.raster import png

        if reader_of(paper) in HEALTHLESS:
            raise ValueError(f"a picture of the caller is not for the {paper} paper")
        drawn = self._pictures.get("side_view")
        if drawn is None:
            raise ValueError("there is no side view of this call: no chair was worked out")
        return png(drawn.shapes, drawn.size)

    def _summary(self, reader: Reader) -> Summary:
        if reader not in self._made:
            self._made[reader] = summarise(
                self.basis,
                self.state,
                reader=reader,
                reference=self.reference,
                adviser=self.adviser,
                then_and_now=self.then_and_now,
                retention=self.retention,
            )
        return self._made[reader]

    @cached_property
    def _pictures(self) -> Mapping[str, Drawing]:
        """The drawings of the caller by name."""
        from consult.summary.pictures import pictures

        return pictures(self.state, self.state.call.system)

    def _calendar(self, cut: Summary, paper: Paper) -> str:
        """The day we ring, for the calendar of whoever reads the paper: named by caller and
        reference in our own. The same call has the same event, so an amended day moves it."""
        from consult.summary.mail import to_ics

        if cut.follow_up is None:
            raise ValueError(f"no day for a follow-up call is in the {paper} document")
        named = f" ({self.reference})" if self.reference else ""
        words = f"{cut.sender.name or 'We'}: call about your {self.state.thing}{named}"
        if paper == "file":
            whom = cut.call.caller.strip() or "the caller"
            words = f"Ring {whom} about the {self.state.thing}{named}"
        # Without a reference only the day of the call and the name tell calls apart.
        call = self.reference or f"{cut.call.date.isoformat()} {cut.call.caller}"
        uid = f"{sha256(call.encode()).hexdigest()[:24]}@consult.invalid"
        return to_ics(cut.follow_up, words, uid=uid, made=self.at)

    def _shown_to(self, reader: Reader) -> Mapping[str, Drawing]:
        """What a reader sees: a picture of the caller is for the caller and the file alone, one of
        the chair for whoever may buy it."""
        from consult.summary.pictures import logo, photographs

        shown = {} if reader in HEALTHLESS else dict(self._pictures)
        shown |= logo(self.basis.settings)
        if reader != "order":
            shown |= photographs(self.basis, self._summary(reader).specification)
        return shown

    def _draft(self, paper: Reader, cut: Summary) -> bytes:
        """An e-mail to be looked at and sent: a letter in text and as a page, and its documents.

        The caller gets the card too, and the day we ring.
        """
        from consult.summary.html import content_id, to_html
        from consult.summary.mail import address_in, to_eml
        from consult.summary.pictures import logo

        shown = logo(self.basis.settings, mailed=True)
        basis, system, alts = self.basis, self.state.call.system, _alts_of(shown)
        letter = _worded(basis, f"mail_{paper}", cut, system, alts, basis.thing, strict=self.strict)
        head, *body = letter
        subject = head.text if isinstance(head, Heading) else cut.title
        named = of_thing(f"{_NAMES[paper]}.pdf", self.state.thing)
        files: dict[str, bytes | str] = {named: self.write("pdf", paper)}
        if paper == "caller":
            if cut.setup_steps:
                files["set-up-card.pdf"] = self.write("pdf", "card")
            if cut.follow_up is not None:
                files["follow-up.ics"] = self._calendar(cut, "caller")
        return to_eml(
            to_text([block for block in body if not isinstance(block, Picture)]),
            to_html(letter, shown, title=subject, mailed=True),
            files,
            subject=subject,
            date=self.at,
            to=address_in(cut.delivery.contact) if paper == "caller" else "",
            images={
                content_id(name): drawing.photo.content
                for name, drawing in shown.items()
                if drawing.photo
            },
        )


def _alts_of(shown: Mapping[str, Drawing]) -> Mapping[str, str]:
    return {name: drawing.alt for name, drawing in shown.items()}


# -- the measuring sheet, which has a model of its own --------------------------------------------

SheetForm = Literal["text", "html", "pdf", "eml"]
SHEET_FORMS: tuple[SheetForm, ...] = get_args(SheetForm)
_LETTER = frozenset({"US", "CA"})
"""Countries whose printers hold Letter; from memory."""


def paper_of(country: str) -> PaperSize:
    """What the printers of a country hold, by its code."""
    return "Letter" if country.partition("-")[0] in _LETTER else "A4"


def sheet_blocks(basis: Basis, sheet: MeasuringSheet) -> tuple[DocumentBlock, ...]:
    """The sheet in the words of the trees in use."""
    system: System = "metric" if sheet.metric else "imperial"
    alts = {f"measure:{name}": study.description for name, study in MEASURES.items()}
    return _worded(basis, SHEET, sheet, system, alts, CHAIR, strict=False)


def write_sheet(
    basis: Basis,
    sheet: MeasuringSheet,
    form: SheetForm,
    made: datetime,
    paper: PaperSize = "A4",
) -> bytes:
    """The sheet in one form; ``made`` is the date in the PDF and the draft."""
    blocks = sheet_blocks(basis, sheet)
    title = next((block.text for block in blocks if isinstance(block, Heading)), basis.tree.title)
    if form == "text":
        return to_text(blocks).encode()
    # Loaded with the first page, not with the desk.
    from consult.summary.pictures import studies

    if form == "html":
        from consult.summary.html import to_html

        return to_html(blocks, studies("measure"), title=title).encode()
    if form == "pdf":
        from consult.summary.pdf import to_pdf

        return to_pdf(blocks, studies("measure"), title=title, made=made, paper=paper, pages=1)
    from consult.summary.mail import to_eml

    return to_eml(
        to_text(blocks),
        write_sheet(basis, sheet, "html", made).decode(),
        {"measuring-sheet.pdf": write_sheet(basis, sheet, "pdf", made, paper)},
        subject=title,
        date=made,
    )
