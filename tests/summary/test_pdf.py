"""The summary as a PDF: complete, the same every time, readable by machines and on paper."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from datetime import datetime, timedelta
from functools import cache
from io import BytesIO
from itertools import pairwise
from typing import Any, get_args

import pytest
from fontTools.pens.recordingPen import (  # type: ignore[import-untyped]
    DecomposingRecordingPen,
)
from fontTools.ttLib import TTFont  # type: ignore[import-untyped]
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader
from pypdf.generic import DictionaryObject

from consult.summary.blocks import (
    Alert,
    DocumentBlock,
    Heading,
    Items,
    ListItem,
    NewPage,
    Paragraph,
    Picture,
    Table,
)
from consult.summary.pdf import to_pdf
from consult.summary.pdf_paper import COMMON, PaperSize, face_file
from tests.long import examples
from tests.summary.papers import (
    DEMOS,
    HOSTILE,
    MADE,
    NUMBER,
    documents,
    hostile,
    in_order,
    paper_of,
    pdf_text,
    sketch,
    texts,
)

PAPERS: tuple[PaperSize, ...] = get_args(PaperSize)
SIZES = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
"""mm; ISO 216, and ANSI/ASME Y14.1 A."""


def written(blocks: Sequence[DocumentBlock], **more: Any) -> bytes:
    pictures = more.pop("pictures", {})
    return to_pdf(blocks, pictures, **{"title": "A title", "made": MADE, **more})


def read(blocks: Sequence[DocumentBlock], **more: Any) -> PdfReader:
    return pdf_text(written(blocks, **more))


def read_whole(blocks: Sequence[DocumentBlock], **more: Any) -> PdfReader:
    return PdfReader(BytesIO(written(blocks, **more)), strict=True)


@cache
def read_demo(number: str, paper: PaperSize) -> PdfReader:
    """The paper for the caller of a demo call."""
    blocks, drawn = paper_of(number)
    return read(blocks, pictures=drawn, paper=paper)


def words(reader: PdfReader) -> str:
    """All the text without the page numbers, white space taken out."""
    pages = [page.extract_text() for page in reader.pages]
    count = len(pages)
    kept = []
    for number, text in enumerate(pages, start=1):
        text = text.rstrip()
        assert text.endswith(f"{number} of {count}")
        kept.append(text.removesuffix(f"{number} of {count}"))
    return "".join("".join(kept).split())


def elements(reader: PdfReader) -> list[Any]:
    """Every element of the structure, in reading order."""
    found: list[Any] = []

    def walk(kids: Any) -> None:
        for kid in kids:
            kid = kid.get_object()
            if isinstance(kid, DictionaryObject) and kid.get("/Type") == "/StructElem":
                found.append(kid)
                walk(kid.get("/K", []))

    root: Any = reader.trailer["/Root"]
    walk(root["/StructTreeRoot"]["/K"])
    return found


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("number", DEMOS)
def test_demo_calls_are_complete(number: str, paper: PaperSize) -> None:
    """Every word of every block comes back, in the order of the blocks, on pages of the size."""
    blocks, drawn = paper_of(number)
    reader = read_demo(number, paper)
    wanted = [word for text in texts(blocks, drawn) for word in text.split()]
    assert in_order(wanted, words(reader)) == ""
    for page in reader.pages:
        size = [float(one) * 25.4 / 72 for one in page.mediabox[2:]]
        assert size == pytest.approx(SIZES[paper], abs=0.1)


@pytest.mark.parametrize("paper", PAPERS)
def test_an_ordinary_call_is_two_pages(paper: PaperSize) -> None:
    """With its drawings the paper for the caller of the first demo call is on two pages."""
    assert len(read_demo("01", paper).pages) <= 2


@given(documents, st.sampled_from(PAPERS))
@settings(deadline=None, max_examples=examples(25))
def test_numbers_read_back(blocks: list[DocumentBlock], paper: PaperSize) -> None:
    """Every length and price of the blocks comes back, once for each time it is said."""
    found = words(read(blocks, paper=paper))
    for text in texts(blocks):
        # A row of a table is read line by line, so a cell of several lines is not in one piece.
        assert in_order(NUMBER.findall(text.replace("GBP ", "")), found) == ""
    said = "".join(text for text in texts(blocks) if text)
    for digit in "0123456789¼½¾":
        numbered = [len(b.items) for b in blocks if isinstance(b, Items) and b.numbered]
        marks = "".join(str(n) for count in numbered for n in range(1, count + 1))
        assert found.count(digit) >= said.count(digit) + marks.count(digit)


@pytest.mark.parametrize("text", [one[:4_000] for one in HOSTILE], ids=range(len(HOSTILE)))
def test_text_is_literal(text: str) -> None:
    """Whatever was typed is shown or named by its code, and the file can be read."""
    drawn = {"sketch": sketch(), "small": sketch()}
    found = words(read(hostile(text), pictures=drawn, title=text))
    if text.isascii() and text.isprintable():
        assert found.count("".join(text.split())) >= 10
    for letter, code in (("中", "4E2D"), ("👩", "1F469"), ("\x1b", "241B")):
        assert (f"[U+{code}]" in found) == (letter in text)


def test_letters_of_names_come_back() -> None:
    """Names in Hebrew, Arabic, Greek and Cyrillic can be found in the file."""
    names = ("שלום", "עולם", "مرحبا", "Zoë", "Σεραφίμ", "Ирина", "😀")
    found = words(read([Heading(1, name) for name in names])).replace("\u200f", "")
    assert [name for name in names if name not in found] == []


def test_right_to_left_runs_that_way() -> None:
    """Of a Hebrew line the first letter stands at the right margin, the last to the left of it."""
    places: list[tuple[str, float]] = []

    def seen(text: str, _cm: Any, matrix: Any, _font: Any, _size: Any) -> None:
        places.extend((one, matrix[4]) for one in text if one in "שלום")

    read([Paragraph("שלום")]).pages[0].extract_text(visitor_text=seen)
    assert places
    assert max(x for _, x in places) > 210 * 72 / 25.4 / 2


def test_arabic_letters_are_joined() -> None:
    """Letters of a word take their joined forms: other glyphs than the letters alone have."""
    joined = read([Paragraph("ببب")])
    apart = read([Paragraph("ب ب ب")])

    def shapes(reader: PdfReader) -> set[bytes]:
        contents = reader.pages[0].get_contents()
        assert contents is not None
        shown = [one for ops, op in contents.operations if op in (b"Tj", b"TJ") for one in ops]
        flat = [piece for one in shown for piece in (one if isinstance(one, list) else [one])]
        codes = b"".join(p.original_bytes for p in flat if hasattr(p, "original_bytes"))
        return {codes[at : at + 2] for at in range(0, len(codes), 2)}

    # The page number takes the same glyphs in both.
    assert len(shapes(joined)) > len(shapes(apart))


def test_same_input_same_bytes() -> None:
    """Nothing of the file comes from chance or the clock; another moment gives another file."""
    blocks, drawn = paper_of("01")
    written = to_pdf(blocks, drawn, title="A", made=MADE)
    assert to_pdf(blocks, drawn, title="A", made=MADE) == written
    assert to_pdf(blocks, drawn, title="A", made=MADE + timedelta(days=1)) != written


def test_what_the_file_says_of_itself() -> None:
    """Title, language and date are those given; viewers show the title, not the file's name."""
    reader = read([Heading(1, "A")], title="Summary of Zoë")
    root: Any = reader.trailer["/Root"]
    assert reader.metadata is not None
    assert reader.metadata.title == "Summary of Zoë"
    assert reader.metadata.creation_date == datetime.fromisoformat("2026-11-25T12:00:00+00:00")
    assert root["/Lang"] == "en"
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    assert root["/MarkInfo"]["/Marked"]


def test_headings_are_the_outline() -> None:
    """The outline has the headings, the lower ones under the higher."""
    reader = read([Heading(1, "One"), Heading(2, "Two"), Heading(3, "Three"), Heading(2, "Four")])

    def titles(outline: Any) -> Any:
        return [titles(o) if isinstance(o, list) else o["/Title"] for o in outline]

    assert titles(reader.outline) == ["One", ["Two", ["Three"], "Four"]]


def test_structure() -> None:
    """Screen readers find headings, lists, tables with heads and drawings with their words.

    The kinds are those of ISO 32000-1, 14.8.4.
    """
    blocks: list[DocumentBlock] = [
        Heading(1, "A"),
        Heading(2, "B"),
        Paragraph("c"),
        Items((ListItem("d", ("e",), Picture("small", "Small words.")),)),
        Table(("f", "g"), (("h", "i"),)),
        Picture("sketch", "Words."),
        Alert("Stop", "j"),
    ]
    reader = read(blocks, pictures={"sketch": sketch(), "small": sketch()})
    kinds = [str(one["/S"]) for one in elements(reader)]
    assert kinds == [
        *("/Document", "/H1", "/H2", "/P"),
        *("/L", "/LI", "/Lbl", "/LBody", "/P", "/L", "/LI", "/Lbl", "/LBody", "/P", "/Figure"),
        *("/Table", "/TR", "/TH", "/TH", "/TR", "/TH", "/TD"),
        *("/Figure", "/Note"),
    ]
    figures = [one["/Alt"] for one in elements(reader) if one["/S"] == "/Figure"]
    assert figures == ["Small words.", "Words."]
    scopes = [str(one["/A"]["/Scope"]) for one in elements(reader) if one["/S"] == "/TH"]
    assert scopes == ["/Column", "/Column", "/Row"]


def test_all_content_is_tagged_or_an_artifact() -> None:
    """No piece of a page is outside the structure, and every piece has its owner there."""
    blocks, drawn = paper_of("01")
    reader = read_whole(blocks, pictures=drawn)
    root: Any = reader.trailer["/Root"]
    parents = root["/StructTreeRoot"]["/ParentTree"]["/Nums"]
    for page in reader.pages:
        contents = page.get_contents()
        assert contents is not None
        depth, pieces = 0, 0
        for operands, operator in contents.operations:
            if operator in (b"BDC", b"BMC"):
                depth += 1
                pieces += operator == b"BDC" and "/MCID" in operands[1]
            elif operator == b"EMC":
                depth -= 1
            elif operator in (b"Tj", b"TJ", b"S", b"f", b"B"):
                assert depth == 1
        at = parents.index(page["/StructParents"])
        assert len(parents[at + 1]) == pieces


def test_drawings_are_vectors() -> None:
    """A drawing is lines and letters: there is no image, and its text can be found."""
    reader = read_whole([Picture("sketch", "Words.")], pictures={"sketch": sketch()})
    assert not list(reader.pages[0].images)
    assert "Seat41cm" in words(reader)
    contents = reader.pages[0].get_contents()
    assert contents is not None
    operators = [operator for _, operator in contents.operations]
    assert {b"S", b"B", b"f", b"c", b"d"} <= set(operators)


def test_heads_are_repeated() -> None:
    """A table over several pages has its head on each, and no row is torn apart."""
    rows = tuple((f"row{n}", f"first{n} " + "more " * 40 + f"last{n}") for n in range(120))
    reader = read([Heading(1, "A"), Table(("Name", "Long words"), rows)])
    assert len(reader.pages) > 2
    for page in reader.pages:
        text = page.extract_text()
        assert "Long words" in text
        for number in range(120):
            assert (f"first{number} " in text) == (f"last{number}\n" in text.replace(" ", "\n"))


def test_headings_stand_with_what_follows() -> None:
    """A heading is never the last on a page or in a column."""
    ends = [*range(51, 58), *range(106, 113)]
    blocks: list[DocumentBlock] = []
    for fill in ends:
        before, after = ([Paragraph(f"p{n}") for n in range(count)] for count in (fill, 150 - fill))
        blocks += before
        blocks += Heading(2, f"Below{fill}."), Paragraph(f"follows{fill}.")
        blocks += [*after, NewPage()]
    places: dict[str, tuple[int, float]] = {}
    for number, page in enumerate(read(blocks).pages):

        def seen(text: str, _cm: Any, matrix: Any, *_: Any, number: int = number) -> None:
            places[text.strip()] = number % 2, matrix[4]

        page.extract_text(visitor_text=seen)
    found = [places[f"Below{fill}."] for fill in ends]
    assert found == [places[f"follows{fill}."] for fill in ends]
    assert len({*found}) == 3, "both columns of a page and the next page"


def test_page_breaks() -> None:
    """What follows a page break begins a page; breaks at the ends leave no page empty."""
    reader = read(
        [
            NewPage(),
            Heading(1, "A"),
            NewPage(),
            NewPage(),
            Heading(2, "B"),
            Paragraph("b"),
            NewPage(),
        ]
    )
    assert [page.extract_text()[0] for page in reader.pages] == ["A", "B"]
    assert len(read([]).pages) == 1


def test_reduced_faces_measure_the_same() -> None:
    """A reduced face has the common letters, each as wide as in the whole one and as drawn."""
    for bold in (False, True):
        whole, few = (TTFont(face_file(bold, whole=which)) for which in (True, False))
        codes, all_codes = few.getBestCmap(), whole.getBestCmap()
        assert codes.keys() == {code for code in COMMON if code in all_codes}
        for code, name in codes.items():
            assert few["hmtx"].metrics[name] == whole["hmtx"].metrics[all_codes[code]]
            assert _drawn(few, name) == _drawn(whole, all_codes[code])


def _drawn(face: TTFont, name: str) -> list[object]:
    """The strokes of a letter, those of its accents among them."""
    pen = DecomposingRecordingPen(face.getGlyphSet())
    face.getGlyphSet()[name].draw(pen)
    return list(pen.value)


def test_no_letter_of_the_reduced_faces_needs_shaping() -> None:
    """What the reduced faces have is written from left to right, a letter at a time."""
    codes = TTFont(face_file(False, whole=False)).getBestCmap()
    assert not [c for c in codes if unicodedata.bidirectional(chr(c)) in ("R", "AL", "AN", "NSM")]


def test_licence_stands_beside_the_faces() -> None:
    """The faces may be handed on with their licence only."""
    licence = (face_file(False, whole=True).parent / "LICENSE.txt").read_text("utf-8")
    assert "Permission is hereby granted, free of charge" in licence


def test_pages_follow_one_another() -> None:
    """Of a long text no line is lost, doubled or out of order at a turn of the page."""
    said = [f"w{n}." for n in range(3_000)]
    found = words(read([Heading(2, "A"), Paragraph(" ".join(said))]))
    places = [found.index(one) for one in said]
    assert all(one < other for one, other in pairwise(places))
    assert found.count("w") == 3_000
