"""Documents to write out: those of the demo calls, and small ones of every kind of block."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from datetime import UTC, datetime
from functools import cache
from io import BytesIO

from hypothesis import strategies as st
from pypdf import PdfReader
from pypdf.generic import DecodedStreamObject, NameObject

from consult.call.state import state
from consult.picture.svg_shapes import Circle, Line, Polygon, Text, svg_text
from consult.summary.blocks import (
    Alert,
    DocumentBlock,
    Drawing,
    Heading,
    Items,
    ListItem,
    NewPage,
    Paragraph,
    Picture,
    Table,
)
from consult.summary.model import summarise
from consult.summary.pictures import pictures
from consult.summary.render import document
from consult.units import System, format_length
from tests.ui.desk import demo, demo_basis

MADE = datetime(2026, 11, 25, 12, tzinfo=UTC)
DEMOS = ("01", "02", "03", "04", "05", "06")
NUMBER = re.compile(r"(?:[A-Z]{3} )?\d[\d,]*(?:\.\d+)?[¼½¾]?|[¼½¾]")
"""A figure or a price."""
HOSTILE = (
    "<script>alert(1)</script>",
    "{{ 7 * 7 }} {% raw %} {# #}",
    "&amp; &#65; <!-- ]]> -->",
    "\" onload='x' javascript:x",
    "{nb}",
    "\x1b[31m \x07 \x9b2J \x00 a\r\nBcc: b",
    "\u202eesrever\u2066 \ud800 \ufffe \ufdd0 \U0001ffff",
    "مرحبا بالعالم [/bold]",
    "שלום עולם",
    "👩‍👩‍👧 😀 中文 e\u0301",
    "x" * 10_000,
    "word " * 2_000,
    "(back\\slash) %PDF endstream",
)
SKETCH = (
    Line(((5, 5), (55, 5)), 0.5, (1.6, 1.2)),
    Polygon(((10, 10), (50, 10), (30, 30)), "paper", 0.4),
    Circle((30, 20), 4, "ink"),
    Text((30, 40), "Seat 41 cm", 3.3, "middle", bold=True),
)


@cache
def paper_of(number: str) -> tuple[tuple[DocumentBlock, ...], Mapping[str, Drawing]]:
    """The caller's paper of a demo call, and its drawings."""
    transcript, basis = demo(number), demo_basis()
    now, system = state(basis, transcript.call), transcript.call.system
    drawn = pictures(now, system)
    alts = {name: one.alt for name, one in drawn.items()}
    blocks = document(basis, summarise(basis, now), system, "caller", alts)
    return blocks, drawn


def sketch(prefix: str = "") -> Drawing:
    """A drawing of every kind of shape."""
    svg = svg_text(SKETCH, (60, 45), title="Sketch", description="A seat.", prefix=prefix)
    return Drawing(svg, SKETCH, (60.0, 45.0))


def hostile(text: str) -> list[DocumentBlock]:
    """The text in every place there is."""
    return [
        Heading(1, text),
        Paragraph(text),
        Heading(2, text),
        Alert(text, text),
        Items((ListItem(text, (text, text)), ListItem("b")), numbered=True),
        Table(("a", text), (("c", text), (text, ""))),
        Heading(3, text),
        Picture("missing", text),
        Picture("sketch", text),
        NewPage(),
        Items(
            (ListItem(text, (), Picture("small", text)), ListItem(text, (), Picture("none", text)))
        ),
    ]


def texts(blocks: Sequence[DocumentBlock], drawn: Collection[str] = ()) -> Iterator[str]:
    """Everything the blocks say, in reading order, but for the words of drawings: those of the
    small ones, and of those that are ``drawn``."""
    for block in blocks:
        match block:
            case Picture(name) if name in drawn:
                continue
            case Heading(_, text) | Paragraph(text) | Picture(_, text):
                yield text
            case Alert(label, text):
                yield label
                yield text
            case Items(items):
                for item in items:
                    yield item.text
                    yield from item.under
            case Table(head, rows):
                yield from head
                for row in rows:
                    yield from row


_STROKES = re.compile(rb"^[-\d. \[\]mlchSBfnwdgGJj]+\n", re.MULTILINE)
"""Lines of a page that draw and write nothing: nine tenths of what there is to read."""


def pdf_text(written: bytes) -> PdfReader:
    """A PDF whose text is wanted alone; no stroke of its drawings is read."""
    reader = PdfReader(BytesIO(written), strict=True)
    for page in reader.pages:
        contents = page.get_contents()
        assert contents is not None
        words = DecodedStreamObject()
        words.set_data(_STROKES.sub(b"", contents.get_data()))
        page[NameObject("/Contents")] = words
    return reader


def in_order(wanted: Sequence[str], found: str) -> str:
    """The first of the words that does not come after those before it; '' where all do."""
    at = 0
    for word in wanted:
        at = found.find(word, at)
        if at < 0:
            return word
        at += len(word)
    return ""


_SYSTEMS: tuple[System, ...] = ("metric", "imperial", "both")
lengths = st.builds(format_length, st.floats(1, 2500, allow_nan=False), st.sampled_from(_SYSTEMS))
prices = st.floats(0, 9_999, allow_nan=False).map(lambda amount: f"GBP {amount:,.2f}")
said = st.lists(
    st.one_of(lengths, prices, st.sampled_from(["seat,", "at (most)", "&"])), min_size=1
)
said_text = said.map(" ".join)
_items = st.builds(
    Items,
    st.lists(
        st.builds(ListItem, said_text, st.lists(said_text, max_size=2).map(tuple)),
        min_size=1,
        max_size=4,
    ).map(tuple),
    st.booleans(),
)
_tables = st.integers(1, 4).flatmap(
    lambda wide: st.builds(
        Table,
        st.tuples(*[said_text] * wide),
        st.lists(st.tuples(*[said_text] * wide), min_size=1, max_size=5).map(tuple),
    )
)
documents = st.lists(
    st.one_of(
        st.builds(Heading, st.integers(2, 4), said_text),
        st.builds(Paragraph, said_text),
        st.builds(Alert, st.sampled_from(["Stop", "Please note"]), said_text),
        st.builds(Picture, st.just("missing"), said_text),
        st.just(NewPage()),
        _items,
        _tables,
    ),
    min_size=1,
    max_size=8,
).map(lambda blocks: [Heading(1, "A title"), *blocks])
