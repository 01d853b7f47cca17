"""What holds of every document of every demo call, in several units and countries."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from consult.call.basis import Basis
from consult.call.state import State, state
from consult.summary import PAPERS, Paper
from consult.summary.blocks import DocumentBlock, Items, Table
from consult.summary.lines import DeliveryLine
from consult.summary.model import Summary, summarise
from consult.summary.pdf_paper import PdfPaper
from consult.summary.pictures import pictures
from consult.summary.readers import Reader
from consult.summary.render import Writer, document, reader_of
from consult.summary.text import to_text
from consult.units import System
from tests.call.calls import DEMOS as FILES
from tests.call.calls import basis_of, replayed, transcript_of
from tests.long import LONG
from tests.summary.papers import in_order, pdf_text, texts

SETTINGS: tuple[tuple[System, str], ...] = (
    ("metric", "DE"),
    ("imperial", "US"),
    ("both", "GB"),
    ("imperial", "IE"),
)
SOME = [
    (file, *setting)
    for number, file in enumerate(FILES)
    for place, setting in enumerate(SETTINGS)
    if LONG or place == number % len(SETTINGS)
]
"""Every call with every setting; in a short run each call with one, in turn."""
PAGES: Mapping[Paper, int] = {"caller": 2, "card": 1, "order": 1, "employer": 1, "file": 2}

_SURELY_ONE_PAGE = 45
"""Lines of text, in one unit, that are on one page however they are set; a page holds twice as
many."""
_LEGIBLE = 7.99
"""Points: 8, and what is lost in writing them down."""
_NUMBER = r"(?:\d+(?:\.\d+)?[¼½¾]?|[¼½¾])"
_METRIC = re.compile(rf"{_NUMBER} ?(?:mm|cm|kg|centimetres?|kilos?|kilograms?)\b")
_IMPERIAL = re.compile(
    rf"{_NUMBER} ?(?:in\b(?! (?:ten|a|the|every|each|of|order|GB)\b)|inch(?:es)?\b|ft\b|feet\b"
    r"|st\b|stone\b|lb\b|pounds?\b)"
)
_BOTH = re.compile(
    rf"{_NUMBER}(?: to {_NUMBER})? (?:cm|kg) \([^()]*(?:in|ft|st|lb)\)|\([^()]*\)|" + "less than"
)
_FEET = re.compile(r"(\d+) ft")
_LENGTH = re.compile(rf"{_NUMBER} (?:cm|in)\b")
_SPOKEN_TO = re.compile(r"\b(?:you|your|yours|yourself)\b", re.IGNORECASE)
_BUY = (
    r"\b(?:look for|buy|get|choose|order|have|you need|it has to be)\b (?!the )(?:an? )?"
    r"(?:[\w-]+ ){{0,2}}{}"
)
_THINGS = {
    "castors": "castors",
    "footrest": "footrest",
    "desk_raiser": "desk feet",
    "lumbar": "lumbar support",
    "gas_lift": "gas lift",
    "seat": "seat at least",
}
"""Kind of part -> what advice calls it; armrests apart, as a chair may have none."""


@cache
def finished(file: Path, system: System, country: str) -> tuple[Basis, State]:
    """A demo call as somebody of other units and another country would have had it."""
    transcript = transcript_of(file)
    basis = basis_of(transcript.tree)
    if (transcript.call.system, transcript.call.country) == (system, country):
        return basis, replayed(file)
    return basis, state(basis, replace(transcript.call, system=system, country=country))


@cache
def made(file: Path, system: System, country: str, reader: Reader) -> Summary:
    basis, now = finished(file, system, country)
    return summarise(basis, now, reader=reader, reference="7K3-M2Q", adviser="Wren Abara")


@cache
def alts_of(file: Path, system: System, country: str) -> dict[str, str]:
    """The words of the drawings."""
    drawn = pictures(finished(file, system, country)[1], system)
    return {name: one.alt for name, one in drawn.items()}


@cache
def blocks_of(file: Path, system: System, country: str, paper: Paper) -> tuple[DocumentBlock, ...]:
    """A document, the words of its drawings with it."""
    basis, _ = finished(file, system, country)
    summary = made(file, system, country, reader_of(paper))
    return document(basis, summary, system, paper, alts_of(file, system, country), strict=True)


def in_our_words(file: Path, system: System, country: str, paper: Paper) -> Iterator[str]:
    """What the document says, without what is quoted: answers in free text, notes, sources."""
    basis, now = finished(file, system, country)
    quoted = {answer.note for answer in now.call.answers}
    quoted |= {answer.said for answer in now.call.answers}
    if paper == "file":
        entries = basis.sources.entries.values()
        quoted |= {text for one in entries for text in (str(one), one.brief)}
    long = [one for one in sorted(quoted, key=len, reverse=True) if len(one) > 12]
    for text in texts(blocks_of(file, system, country, paper)):
        for one in long:
            text = text.replace(one, "")
        yield text


def mixed(text: str, system: System) -> list[str]:
    """The lengths and masses that are in units the reader did not ask for."""
    if system == "metric":
        return _IMPERIAL.findall(text)
    if system == "imperial":
        # People know their height in feet; a tape measure is marked in inches.
        short = [one for one in _FEET.findall(text) if int(one) < 6 and "tature" not in text]
        return [*_METRIC.findall(text), *short]
    bare = _BOTH.sub("", text)
    return [*_METRIC.findall(bare), *_IMPERIAL.findall(bare)]


def in_tenths(words: str) -> float:
    """The first figure of a length, in its own unit."""
    found = re.match(r"(\d*(?:\.\d+)?)([¼½¾]?)", words)
    assert found is not None
    return float(found[1] or 0) + {"": 0.0, "¼": 0.25, "½": 0.5, "¾": 0.75}[found[2]]


def outside(figure: str, band: str) -> bool:
    """Whether a figure lies outside the acceptable range beside it, as both are written."""
    if not band or not figure:
        return False
    ends = [in_tenths(end) for end in band.partition(" (")[0].split(" to ")]
    if band.endswith("or more"):
        ends.append(float("inf"))
    return not min(ends) <= in_tenths(figure) <= max(ends)


def figures(blocks: tuple[DocumentBlock, ...]) -> Iterator[tuple[str, str]]:
    """Figure and acceptable range of every row that has them."""
    for block in blocks:
        if isinstance(block, Table) and "Acceptable range" in block.head and "Figure" in block.head:
            at = block.head.index("Figure"), block.head.index("Acceptable range")
            yield from ((row[at[0]], row[at[1]]) for row in block.rows)


@pytest.mark.parametrize(("file", "system", "country"), SOME, ids=lambda one: Path(one).stem)
def test_documents(file: Path, system: System, country: str) -> None:
    """One unit system, figures inside their ranges, nobody spoken to in the employer's note,
    nothing to buy that is ordered, and no figure on the card that the summary does not have.

    The card has as many steps as the summary, each with its check; the summary has none. Two pages
    for the caller and the file, one for all others; nothing is lost on a card.
    """
    for paper in PAPERS:
        said = list(in_our_words(file, system, country, paper))
        for text in said:
            assert mixed(text, system) == [], (paper, text)
        blocks = blocks_of(file, system, country, paper)
        astray = [figure for figure, band in figures(blocks) if outside(figure, band)]
        # A desk that does not suit is named as it stands, with what would suit beside it.
        for figure in astray:
            assert any(f"the desk stands at {figure} now" in text for text in said), paper
        bought = re.compile("|".join(wishes(file, system, country)) or "(?!)", re.IGNORECASE)
        assert [text for text in said if bought.search(text)] == [], paper
    # Not even in what the note is made of.
    assert made(file, system, country, "employer").delivery == DeliveryLine()
    employer = list(texts(blocks_of(file, system, country, "employer")))
    assert not [text for text in employer if _SPOKEN_TO.search(text)]
    assert len(employer) == len(set(employer)) or has_prices(employer)
    card = lengths(file, system, country, "card")
    assert card <= lengths(file, system, country, "caller")
    check_steps(file, system, country)
    check_pages(file, system, country)


def has_prices(said: list[str]) -> bool:
    """What is said twice is a cell: a price, or nothing."""
    twice = {one for one in said if said.count(one) > 1}
    return all(not one or re.fullmatch(r"[A-Z]{3} [\d.,]+|no charge", one) for one in twice)


def lengths(file: Path, system: System, country: str, paper: Paper) -> set[str]:
    """Every length a document names."""
    blocks = blocks_of(file, system, country, paper)
    return {one for text in texts(blocks) for one in _LENGTH.findall(text)}


def wishes(file: Path, system: System, country: str) -> Iterator[str]:
    """What no document may say because it is ordered."""
    now = finished(file, system, country)[1]
    if now.picked is None or now.agreed not in ("recommended", "other"):
        return
    for part in now.picked.parts.values():
        yield rf"\b(?:look for|buy|get|choose|order) (?:an? |the )?{re.escape(part.name)}"
    for kind, thing in _THINGS.items():
        if kind in now.picked.parts:
            yield _BUY.format(thing)
    if "castors" in now.picked.parts:
        yield r"\buse (?:hard|soft) castors"
    if "armrest_height" in now.picked.settings:
        yield _BUY.format("armrests")


def check_steps(file: Path, system: System, country: str) -> None:
    """Those of the card and of the summary are the same."""
    card, caller = (
        [one for one in blocks_of(file, system, country, paper) if isinstance(one, Items)]
        for paper in ("card", "caller")
    )
    steps = [item for one in card if one.numbered for item in one.items]
    told = [item for one in caller if one.numbered for item in one.items]
    assert [item.text for item in steps] == [item.text for item in told]
    assert all(any(line.startswith("Check: ") for line in item.under) for item in steps)
    assert not any(line.startswith("Check: ") for item in told for line in item.under)


def check_pages(file: Path, system: System, country: str) -> None:
    """In both units, where everything is longest, each paper has room on its pages."""
    if LONG and (system, country) != SETTINGS[0]:
        return
    long = {
        paper: lines
        for paper, most in PAGES.items()
        if (lines := len(to_text(blocks_of(file, system, country, paper)).splitlines()) / most)
        >= _SURELY_ONE_PAGE
    }
    fullest = max(long, key=long.__getitem__, default=None)
    in_turn = list(PAGES)[FILES.index(file) % len(PAGES)]
    # In a short run the one most likely to run over, and another in turn.
    tried = [one for one in long if LONG or one in (fullest, in_turn)]
    if not tried:
        return
    basis, now = finished(file, "both", "GB")
    drawn = pictures(now, "both")

    def writer() -> Writer:
        return Writer(basis, now, reference="7K3-M2Q", adviser="Wren Abara", strict=True)

    for paper in tried:
        sheet = as_set(writer(), paper)
        assert sheet.pages_count <= PAGES[paper], paper
        assert smallest_letters(sheet) >= _LEGIBLE, paper
        if paper == "card":
            reader = pdf_text(writer().write("pdf", paper))
            assert len(reader.pages) == sheet.pages_count
            found = "".join("".join(page.extract_text().split()) for page in reader.pages)
            blocks = blocks_of(file, "both", "GB", paper)
            wanted = [word for text in texts(blocks, drawn) for word in text.split()]
            assert in_order(wanted, found) == ""


def as_set(writer: Writer, paper: Paper) -> PdfPaper:
    """The pages of a PDF, before they are written down."""
    sheets: list[PdfPaper] = []

    def output(sheet: PdfPaper) -> bytes:
        sheets.append(sheet)
        return b""

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(PdfPaper, "output", output)
        writer.write("pdf", paper)
    return sheets[-1]


def smallest_letters(sheet: PdfPaper) -> float:
    """Points; those of the drawings too."""
    pages: list[Any] = [page.contents for page in sheet.pages.values()]
    return min(float(size) for page in pages for size in re.findall(rb" ([\d.]+) Tf ", page))


def test_feet_only_under_a_desk_that_stands() -> None:
    """What raises a desk is ordered for one that stands, and never where it could slip."""
    ordered = {
        number: "desk_raiser" in now.picked.parts
        for number in ("02", "16", "17")
        for file in FILES
        if file.name.startswith(number)
        for now in [finished(file, "metric", "DE")[1]]
        if now.picked is not None and now.fit is not None and now.fit.quantities["desk_too_low"]
    }
    # A desk; one that moves; a board on trestles.
    assert ordered == {"02": True, "16": False, "17": False}
