"""The measuring sheet: what is on it, in every form, on one page."""

from __future__ import annotations

import asyncio
import base64
import re
from dataclasses import replace
from email import message_from_bytes
from email.message import EmailMessage
from email.policy import SMTP
from functools import cache
from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PageObject, PdfReader

from consult.call.ahead import to_measure
from consult.call.by_name import fact_named
from consult.call.call import Call
from consult.call.state import state_so_far
from consult.picture.measures import MEASURES as DRAWN
from consult.summary.blocks import BlankField, Fields, Heading, Items
from consult.summary.measuring_sheet import SAMPLES, MeasuringSheet, measuring_sheet
from consult.summary.pdf_paper import PaperSize
from consult.summary.render import SHEET_FORMS, paper_of, sheet_blocks, write_sheet
from consult.summary.wording import Wording, problems_in, template_files
from consult.tree.model import Tree
from consult.units import System
from tests.call.calls import TODAY, seating
from tests.long import AT_MOST, every_case, in_a_long_run
from tests.summary.papers import MADE, pdf_text
from tests.summary.test_html_checked import (
    SHEETS,
    SIZES,
    faults,
    needs_browser,
    opened,
    validated,
)
from tests.summary.test_pdf import elements

SYSTEMS: tuple[System, ...] = ("metric", "imperial", "both")

MEASURES = tuple(one for one in DRAWN if one != "elbow_height_standing")
"""What a chair is measured for."""


def sheet(system: System = "metric", *, only: str = "", reference: str = "") -> MeasuringSheet:
    """The sheet of the shipped tree, before a call; of one measure alone."""
    basis = seating()
    asked = to_measure(basis, state_so_far(basis, Call(TODAY, system)))
    return measuring_sheet(
        basis.tree, (q for q in asked if only in ("", q.measures, q.sets)), system, reference
    )


@cache
def text(system: System = "metric") -> str:
    """As plain text."""
    return write_sheet(seating(), sheet(system), "text", MADE).decode()


def written(
    system: System = "metric", paper: PaperSize = "A4", of: MeasuringSheet | None = None
) -> bytes:
    """As a PDF."""
    return write_sheet(seating(), of or sheet(system), "pdf", MADE, paper)


@cache
def first(count: int, paper: PaperSize) -> bytes:
    """A sheet of so many measures as a PDF, with the longest units."""
    whole = sheet("imperial")
    return written(paper=paper, of=replace(whole, measures=whole.measures[:count]))


def fields(of: MeasuringSheet) -> list[BlankField]:
    """The places to write in."""
    blocks = sheet_blocks(seating(), of)
    return [field for one in blocks if isinstance(one, Fields) for field in one.fields]


# -- what is on it ----------------------------------------------------------------------------


def test_only_what_the_tree_asks_for() -> None:
    """Each measure of the tree once, the body before the desk, and no other."""
    asked = {q.measures or q.sets for q in seating().tree.questions.values()}
    assert [one.name for one in sheet().measures] == [one for one in MEASURES if one in asked]


@pytest.mark.parametrize("system", SYSTEMS)
def test_every_name_means_its_question(system: System) -> None:
    """Told with a figure, the name beside a blank answers the question it stands for."""
    tree: Tree = seating().tree
    found = [
        fact_named(tree, f"{blank.name} 41").question
        for one in sheet(system).measures
        for blank in one.blanks
    ]
    assert len({one.name for one in found}) == len(found)
    facts = {one.measures or one.sets for one in found}
    assert facts == {*MEASURES, "desk_lowest", "desk_highest"}


@pytest.mark.parametrize("system", SYSTEMS)
def test_one_unit_system(system: System) -> None:
    """Every blank is in the caller's units; inches and centimetres never stand on one sheet."""
    units = {unit for field in fields(sheet(system)) for unit in field.units}
    assert units == ({"ft", "in"} if system == "imperial" else {"cm"})
    other = ("cm", "centimet") if system == "imperial" else (" in\n", "inch", " ft")
    assert not [one for one in other if one in text(system)]


@every_case(MEASURES)
def test_words_for_each(name: str) -> None:
    """Its heading, its steps and its blanks; its drawing beside the steps; nothing of others."""
    blocks = sheet_blocks(seating(), sheet(only=name))
    assert [type(one) for one in blocks if not isinstance(one, Heading)][-2:] == [Items, Fields]
    (steps,) = [one for one in blocks if isinstance(one, Items)]
    (item,) = steps.items
    assert item.picture is not None
    assert item.picture.name == f"measure:{name}"
    assert item.picture.alt == DRAWN[name].description
    assert len([one for one in blocks if isinstance(one, Heading)]) == 2
    of_the_body = name not in ("desk_height", "desk_thickness", "heel")
    said = " ".join(item.under)
    assert ("Alone:" in said) is of_the_body
    assert ("With a helper:" in said) is of_the_body


def test_a_desk_that_moves_has_two_heights() -> None:
    """They stand beside the height of the desk, and words say what they are."""
    (measure,) = [one for one in sheet().measures if one.name == "desk_height"]
    assert [one.name for one in measure.blanks] == ["desk", "lowest", "highest"]
    assert "all the way down" in text()
    alone = write_sheet(seating(), sheet(only="desk_height"), "text", MADE).decode()
    assert "all the way down" not in alone
    assert "shoes off" not in alone


def test_the_line_to_tell_is_on_it() -> None:
    """It lists every name, and says which call it belongs to where there is one."""
    told = " ".join(text().split())
    assert "height …, leg …, thigh …" in told
    assert "name" not in told.split("one line")[0].split("Then")[1]
    mine = write_sheet(seating(), sheet(reference="7K3-M2Q"), "text", MADE).decode()
    assert "name 7K3-M2Q" in " ".join(mine.split())


def test_the_wording_is_checked() -> None:
    """A mistake in the template of the sheet is found where it stands."""
    files = template_files(Path(__file__).parents[2] / "trees")
    sources = {name: path.read_text("utf-8") for name, path in files.items()}
    named = {name: str(path) for name, path in files.items()}
    assert problems_in(Wording(sources, named), []) == []
    wrong = sources | {"sheet": sources["sheet"].replace("b.units", "b.unit")}
    (problem,) = problems_in(Wording(wrong, named), [])
    assert problem.where.file == named["sheet"]
    assert "units" in problem.fix


# -- forms ------------------------------------------------------------------------------------


def test_text_has_words_only() -> None:
    """No picture is spoken of; a blank is a line to write on."""
    assert "picture" not in text()
    assert "leg: ________ cm" in text()
    assert "height: ________ ft ________ in" in text("imperial")
    assert max(map(len, text().splitlines())) <= 76


@pytest.mark.parametrize("form", SHEET_FORMS)
def test_same_sheet_same_bytes(form: str) -> None:
    """Nothing in it hangs on chance or on a clock."""
    made = {write_sheet(seating(), sheet(), form, MADE) for _ in range(2)}  # type: ignore[arg-type]
    assert len(made) == 1


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("system", ["metric", "imperial"])
def test_one_page(system: System, paper: PaperSize) -> None:
    """All measures there are have room on one page, every word, blank and drawing of them."""
    reader = pdf_text(written(system, paper))
    assert len(reader.pages) == 1
    found = "".join(reader.pages[0].extract_text().split())
    for block in sheet_blocks(seating(), sheet(system)):
        if isinstance(block, Items):
            said = [one for item in block.items for one in (item.text, *item.under)]
        elif isinstance(block, Fields):
            said = [" ".join((one.name, *one.units)) for one in block.fields]
        else:
            said = [getattr(block, "text", "")]
        # The words of a drawing may come between two lines.
        assert [word for one in said for word in one.split() if word not in found] == []
    assert found.count("start") >= len(MEASURES)


@pytest.mark.parametrize("count", range(1, len(MEASURES) + 1))
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_nothing_is_torn_apart(count: int, paper: PaperSize) -> None:
    """However many there are, a heading, its steps and its blank stand in one column."""
    of = replace(sheet("imperial"), measures=sheet("imperial").measures[:count])
    found: list[tuple[str, float]] = []
    (only,) = pdf_text(first(count, paper)).pages
    only.extract_text(
        # What is written in a drawing is smaller than any text.
        visitor_text=lambda said, _cm, matrix, _font, size: (
            found.append((said.strip(), matrix[4])) if size > 7 else None
        )
    )
    column, torn = 0.0, list[str]()
    headings = {one.text for one in sheet_blocks(seating(), of) if isinstance(one, Heading)}
    blanks = {one.name for one in fields(of)}
    for said, x in found:
        if said in headings:
            column = x
        elif said in blanks and abs(x - column) > 200:
            torn.append(said)
    assert torn == []


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("count", [6, len(MEASURES)])
def test_no_line_runs_into_a_drawing(count: int, paper: PaperSize) -> None:
    """A line that begins beside a drawing ends before it."""
    written = first(count, paper)
    (only,) = pdf_text(written).pages
    lines: list[tuple[float, float, float]] = []
    only.extract_text(
        visitor_text=lambda said, _cm, matrix, _font, size: (
            lines.append((matrix[4], matrix[5], len(said.strip()) * size * _NARROW))
            if size > 7 and said.strip()
            else None
        )
    )
    frames = _frames(PdfReader(BytesIO(written)).pages[0])
    assert len(frames) == count
    for x, y, wide in lines:
        for left, low, right, high in frames:
            beside = low < y + _TALL and y < high and x < right
            assert not (beside and x + wide > left and x > left - 200)


_TALL = 5.5
"""How high letters stand above their line where they are smallest; points."""
_NARROW = 0.4
"""Width of a letter to its size, at least, on the average of a line of DejaVu Sans."""


def _frames(of: PageObject) -> list[tuple[float, float, float, float]]:
    """The frames of the drawings: left, low, right, high; points."""
    contents = of.get_contents()
    assert contents is not None
    found = []
    number = r"(-?[\d.]+)"
    corner = rf"{number} {number}"
    closed = rf"{corner} m {corner} l {corner} l {corner} l h S"
    for each in re.findall(closed, contents.get_data().decode("latin-1")):
        xs, ys = [float(one) for one in each[::2]], [float(one) for one in each[1::2]]
        found.append((min(xs), min(ys), max(xs), max(ys)))
    return found


@pytest.mark.parametrize("name", MEASURES)
def test_one_alone_is_large(name: str) -> None:
    """One measure, or six of them, are set in larger letters than all ten, on one page too."""
    assert letters(pdf_text(written(of=sheet(only=name)))) > letters_of(len(MEASURES))
    assert letters_of(6) > letters_of(len(MEASURES))


def letters(reader: PdfReader) -> float:
    """The size of the letters on the one page."""
    (only,), sizes = reader.pages, list[float]()
    only.extract_text(
        visitor_text=lambda said, _cm, _tm, _font, points: (
            sizes.append(points) if "need" in said else None
        )
    )
    return max(sizes)


@cache
def letters_of(count: int) -> float:
    """The same of the first measures."""
    return letters(pdf_text(written(of=replace(sheet(), measures=sheet().measures[:count]))))


def test_drawings_in_the_pdf_have_words() -> None:
    """A screen reader is told what each shows."""
    alts = {
        str(one.get_object()["/Alt"])
        for one in elements(PdfReader(BytesIO(written())))
        if "/Alt" in one.get_object()
    }
    assert alts == {DRAWN[name].description for name in MEASURES}


def test_the_draft() -> None:
    """A mail to be looked at and sent: text, page and the PDF under its own name."""
    mail = message_from_bytes(write_sheet(seating(), sheet(), "eml", MADE), policy=SMTP)
    assert isinstance(mail, EmailMessage)
    assert (mail["Subject"], mail["X-Unsent"]) == ("Measuring sheet", "1")
    (pdf,) = mail.iter_attachments()
    assert pdf.get_filename() == "measuring-sheet.pdf"
    assert len(PdfReader(BytesIO(pdf.get_content())).pages) == 1
    plain = mail.get_body(("plain",))
    assert plain is not None
    assert "leg: ________ cm" in plain.get_content()


def test_the_paper_of_a_country() -> None:
    """Letter where printers hold it."""
    assert [paper_of(one) for one in ("GB", "GB-NIR", "US", "CA", "DE")] == [
        *("A4", "A4", "Letter", "Letter", "A4"),
    ]


def test_the_page_needs_no_markup_of_names() -> None:
    """What a tree calls its questions is shown as it is."""
    (first, *_) = SAMPLES
    blocks = sheet_blocks(seating(), first)
    assert any(isinstance(one, Fields) for one in blocks)
    html = write_sheet(seating(), first, "html", MADE).decode()
    assert html.count('class="blank"') == len(DRAWN) + 1
    assert html.count("<svg") == len(DRAWN)


@in_a_long_run
def test_validator_finds_nothing(tmp_path: Path) -> None:
    """The HTML validator finds nothing but the digest of the policy, which it does not reckon."""
    file = tmp_path / "sheet.html"
    file.write_bytes(write_sheet(seating(), sheet(), "html", MADE))
    messages = validated(tmp_path, file)
    assert [one for one in messages if "Inline style violates" not in one["message"]] == []


@needs_browser
@pytest.mark.parametrize("paper", SHEETS)
@in_a_long_run
async def test_printed_on_one_page(paper: str, tmp_path: Path, browser: str) -> None:
    """Printed by a browser, the page has room on one sheet too."""
    file = tmp_path / "sheet.html"
    file.write_bytes(write_sheet(seating(), sheet(), "html", MADE))
    wide, high = SHEETS[paper]
    async with opened(file, browser) as tab:
        told = await tab.ask("Page.printToPDF", paperWidth=wide, paperHeight=high)
    assert len(PdfReader(BytesIO(base64.b64decode(told["data"]))).pages) == 1


@needs_browser
@pytest.mark.parametrize("system", ["metric", "imperial"])
async def test_accessible_in_a_browser(
    system: System, axe: str, tmp_path: Path, browser: str
) -> None:
    """On a phone and on a desk axe finds no fault, and nothing runs off the page."""
    file = tmp_path / "sheet.html"
    file.write_bytes(write_sheet(seating(), sheet(system), "html", MADE))
    async with asyncio.timeout(AT_MOST), opened(file, browser) as tab:
        for width, height in SIZES:
            await tab.size(width, height)
            assert await faults(tab, axe) == []
            assert await tab.value("document.documentElement.scrollWidth") <= width
