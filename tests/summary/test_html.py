"""The summary as a page: well formed, self-contained, literal, complete."""

from __future__ import annotations

import re
from base64 import b64encode
from hashlib import sha256
from xml.etree.ElementTree import Element

import html5lib
import pytest
from hypothesis import given, settings

from consult.summary.blocks import (
    Alert,
    DocumentBlock,
    Heading,
    Items,
    ListItem,
    NewPage,
    Picture,
    Table,
)
from consult.summary.html import to_html
from tests.long import every_case, examples
from tests.summary.papers import (
    DEMOS,
    HOSTILE,
    NUMBER,
    documents,
    hostile,
    in_order,
    paper_of,
    sketch,
    texts,
)

ASKS = ("src", "href", "action", "srcset", "data", "poster", "background", "ping")
"""Attributes by which a page may ask for something (HTML Living Standard, attributes index)."""


def page(html: str) -> Element:
    """The page as a tree; any fault by the HTML standard's parsing rules is an error."""
    parser = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False)
    tree = parser.parse(html)
    assert isinstance(tree, Element)
    return tree


def body_words(tree: Element) -> str:
    body = tree.find("body")
    assert body is not None
    return " ".join("".join(body.itertext()).split())


def one(blocks: list[DocumentBlock]) -> Element:
    return page(to_html(blocks, {}, title="A title"))


@pytest.mark.parametrize("number", DEMOS)
def test_demo_calls_are_complete(number: str) -> None:
    """Every word of every block is on the page, in the order of the blocks."""
    blocks, drawn = paper_of(number)
    found = body_words(page(to_html(blocks, drawn, title="Summary")))
    assert in_order([word for text in texts(blocks) for word in text.split()], found) == ""


@given(documents)
@settings(deadline=None, max_examples=examples(60))
def test_numbers_read_back(blocks: list[DocumentBlock]) -> None:
    """Every length and price of the blocks is on the page, once for each time it is said."""
    found = body_words(page(to_html(blocks, {}, title="A title")))
    for text in texts(blocks):
        assert " ".join(text.split()) in found
    said = [n for text in texts(blocks) for n in NUMBER.findall(text)]
    assert NUMBER.findall(found) == said


@every_case(HOSTILE)
def test_text_is_literal(text: str) -> None:
    """Whatever was typed shows as it is, makes no element, and the page stays well formed."""
    drawn = {"sketch": sketch("a-"), "small": sketch("b-")}
    tree = page(to_html(hostile(text), drawn, title=text))
    plain = page(to_html(hostile("plain"), drawn, title="plain"))
    shape = [one.tag for one in tree.iter()]
    assert shape == [one.tag for one in plain.iter()]
    assert not [one for one in tree.iter() if one.tag == "script"]
    if text.isprintable():
        assert body_words(tree).count(" ".join(text.split())) >= 10


@pytest.mark.parametrize("number", DEMOS)
def test_asks_for_nothing(number: str) -> None:
    """No attribute and no style names anything outside, and no attribute is a script."""
    html = to_html(*paper_of(number), title="Summary")
    for element in page(html).iter():
        for name, value in element.attrib.items():
            assert name not in ASKS
            assert not name.startswith("on")
            assert "url(" not in value
    assert "@import" not in html
    assert "url(" not in html


def test_policy_lets_in_the_style_alone() -> None:
    """The policy forbids everything but the one style, named by its digest (CSP Level 3, 2.3.1)."""
    html = to_html([Heading(1, "A")], {}, title="A")
    (style,) = re.findall(r"<style>(.*?)</style>", html, re.DOTALL)
    digest = b64encode(sha256(style.encode()).digest()).decode()
    meta = page(html).find("head/meta[@http-equiv='Content-Security-Policy']")
    assert meta is not None
    policy = meta.attrib["content"].split("; ")
    assert policy[:2] == ["default-src 'none'", f"style-src 'sha256-{digest}'"]
    assert "unsafe" not in meta.attrib["content"]


def test_one_heading_of_the_first_level() -> None:
    """There is one h1, of the document or, where it has none, the title; others are lower."""
    for blocks, said in (
        ([Heading(1, "A"), Heading(1, "B"), Heading(9, "C")], "A"),
        ([Heading(2, "B")], "The title"),
        ([], "The title"),
    ):
        tree = page(to_html(blocks, {}, title="The title"))
        (head,) = tree.iter("h1")
        assert head.text == said


def test_roles_of_blocks() -> None:
    """Tables have heads with scope, lists their kind, alerts their word as text, figures words."""
    tree = page(
        to_html(
            [
                Heading(1, "A"),
                Heading(2, "B"),
                Alert("Stop", "Ask somebody."),
                Items((ListItem("x", ("y",)),), numbered=True),
                Table(("Part", ""), (("Seat", "41 cm"), ("", "2"))),
                Picture("sketch", "A seat at 41 cm."),
            ],
            {"sketch": sketch()},
            title="A",
        )
    )
    section = tree.find("body/main/section")
    assert section is not None
    (note,) = tree.iter("aside")
    assert note.attrib == {"role": "note"}
    assert "".join(note.itertext()) == "Stop: Ask somebody."
    assert section.find("ol/li/ul/li") is not None
    scopes = [one.attrib["scope"] for one in tree.iter("th")]
    assert scopes == ["col", "row"]
    # Its words are read out with the drawing, and not shown beside it.
    svg = tree.find(".//figure/div/{http://www.w3.org/2000/svg}svg")
    assert svg is not None
    assert svg.attrib["role"] == "img"
    assert "A seat at 41 cm." not in "".join(tree.itertext())


def test_missing_pictures_are_said() -> None:
    """A picture that is not drawn is there in words, in a list as well, if it has any."""
    words = body_words(
        one(
            [
                Picture("a", "Alpha."),
                Items((ListItem("x", (), Picture("b", "Beta.")),)),
                Picture("c", ""),
            ]
        )
    )
    assert words == "A title In the picture: Alpha. x In the picture: Beta."


def test_no_empty_pages() -> None:
    """Page breaks stand between blocks only, and never two together."""
    html = to_html(
        [NewPage(), Heading(1, "A"), NewPage(), NewPage(), Heading(2, "B"), NewPage()],
        {},
        title="A",
    )
    assert html.count('class="new-page"') == 1


def test_direction_is_told_from_each_text() -> None:
    """Every text stands in an element that finds its own direction."""
    tree = one(
        [Alert("Stop", "שלום"), Items((ListItem("שלום", ("שלום",)),)), Table(("ש",), (("ש",),))]
    )
    for element in tree.iter():
        if element.text and "ש" in element.text:
            assert element.attrib["dir"] == "auto"


def test_same_input_same_page() -> None:
    """Nothing of the page comes from chance or the clock."""
    blocks, drawn = paper_of("01")
    assert to_html(blocks, drawn, title="A") == to_html(blocks, drawn, title="A")
