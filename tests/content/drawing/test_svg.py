"""The drawing as SVG: well formed, self-contained, readable without colour, the same every time."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from consult.content.drawing.page import drawing
from consult.content.drawing.view import view_of
from tests.call.topical import topical
from tests.content.drawing.made import big, question, stop, tree
from tests.long import examples

pytest.importorskip("fast_sugiyama")

_SPACE = "{http://www.w3.org/2000/svg}"
HOSTILE = '<script>alert("1")</script> & [b]]]> \x00\x1b[31m \ud800 \ufffe \u202e 🪑 שלום "'


def read(svg: str) -> ElementTree.Element:
    return ElementTree.fromstring(svg)


def boxes(svg: str, shape: str) -> dict[str, str]:
    """Name -> all text of each box of a shape."""
    found = {}
    for group in read(svg).iter(f"{_SPACE}g"):
        if group.get("data-box") == shape:
            name = group.get("data-name") or ""
            assert name not in found, f"{name} is drawn twice"
            found[name] = " ".join(one.text or "" for one in group.iter(f"{_SPACE}text"))
    return found


def small() -> str:
    kinds = tree(
        [
            question("consent", routes=[("consent", "sites"), (None, "end")]),
            question(
                "sites", "choices", choices={"none": "Nowhere", "neck": "Neck"}, exclusive="none",
                private="health", unknown_allowed=False, routes=[("sites == none", "end"),
                                                                 (None, "leg")],
            ),
            question("leg", "length", unit="cm", expect=(320.0, 520.0), skip_when="not consent",
                     next="close"),
            question("close", "text", private="personal"),
        ],
        cautions=[stop("bad_neck", "neck in sites")],
        after_stop="close",
    )  # fmt: skip
    return drawing(view_of(kinds))


def test_boxes_say_what_is_asked() -> None:
    """A box holds number, name, words, kind of answer, and says health, skipped and STOP."""
    asked = boxes(small(), "question")
    assert asked["consent"] == "1 consent What about consent? Yes or no"
    assert "About health. Any of 2 choices, has to be answered" in asked["sites"]
    assert "STOP possible: bad neck" in asked["sites"]
    assert "Length in cm, usually 32 to 52 cm" in asked["leg"]
    assert "Skipped when the caller says no to 'consent'" in asked["leg"]
    assert "Personal. Free text" in asked["close"]


def test_routes_have_their_condition_in_words() -> None:
    """Beside each route where there is a choice stands when it is taken, or otherwise."""
    assert boxes(small(), "label") == {
        "consent.0": "when the answer is yes",
        "consent.1": "otherwise",
        "sites.0": "when the answer is “Nowhere”",
        "sites.1": "otherwise",
    }


def test_stops_are_dashed_and_go_on_after() -> None:
    """A dashed line leads from the question to the stop, and on to where calls go after it."""
    root = read(small())
    stops = {g.get("data-stop"): g for g in root.iter(f"{_SPACE}g") if g.get("data-stop")}
    assert stops.keys() == {"sites", "stop"}
    for group in stops.values():
        (line,) = group.iter(f"{_SPACE}polyline")
        assert line.get("stroke-dasharray")
    assert "goes on at 4 close" in boxes(small(), "stop")["stop"]
    routes = [g for g in root.iter(f"{_SPACE}g") if g.get("data-route")]
    assert not any(line.get("stroke-dasharray") for g in routes for line in g.iter())


def test_it_has_one_start_and_one_end() -> None:
    """A call begins and ends in one place each."""
    assert list(boxes(small(), "start").values()) == ["Start"]
    assert list(boxes(small(), "end").values()) == ["End"]


def test_it_needs_nothing_from_outside() -> None:
    """No script, style sheet, font or link; a view box in mm; title and description by id."""
    svg = small()
    root = read(svg)
    kinds = {one.tag.removeprefix(_SPACE) for one in root.iter()}
    assert kinds <= {"svg", "title", "desc", "rect", "g", "polyline", "polygon", "text"}
    assert re.sub(r' xmlns="[^"]*"', "", svg).count("http") == 0
    assert (root.get("viewBox") or "").split()[2] == (root.get("width") or "").removesuffix("mm")
    ids = {one.get("id") for one in root if one.get("id")}
    assert set((root.get("aria-labelledby") or "").split()) == ids == {"title", "desc"}


def test_it_prints_in_black_and_white() -> None:
    """Only greys: nothing is told by a colour."""
    colours = set(re.findall(r'(?:fill|stroke)="(#[0-9a-f]+)"', small()))
    assert colours
    assert all(one[1:3] == one[3:5] == one[5:7] for one in colours)


def test_texts_are_legible_at_their_size() -> None:
    """No text is smaller than 2.8 mm, about eight points."""
    sizes = {float(one.get("font-size") or 0) for one in read(small()).iter(f"{_SPACE}text")}
    assert min(sizes) >= 2.8


def test_links_for_a_page() -> None:
    """In a page each question leads to its place there, and ids begin as asked."""
    svg = drawing(view_of(big(12)), prefix="p-", links=True)
    to = [one.get("href") for one in read(svg).iter(f"{_SPACE}a")]
    assert sorted(map(str, to)) == sorted(f"#question-q{at}" for at in range(12))
    assert 'id="p-title"' in svg


@settings(max_examples=examples(40), deadline=None)
@given(st.text(max_size=200), st.text(max_size=200))
def test_any_text(ask: str, label: str) -> None:
    """Whatever is written in a tree, the drawing is well formed and each question in it once."""
    made = tree(
        [question("a", "choice", ask=ask, choices={"x": label}, routes=[("a == x", "end"),
                                                                        (None, "end")])],
        title=ask,
    )  # fmt: skip
    assert set(boxes(drawing(view_of(made)), "question")) == {"a"}


def test_hostile_text_is_literal() -> None:
    """Markup in a text is shown as text; what XML cannot hold is not there."""
    made = tree([question("a", ask=HOSTILE)], title=HOSTILE)
    svg = drawing(view_of(made))
    assert "<script" not in svg
    assert "<script>alert(" in boxes(svg, "question")["a"]
    assert "שלום" in " ".join(read(svg).itertext())
    assert "\u202e" not in svg


def test_very_long_texts() -> None:
    """Ten thousand letters end in an ellipsis, and the drawing stays small."""
    made = tree([question("a", ask="long " * 2000), question("b", ask="x" * 10_000)])
    asked = boxes(drawing(view_of(made)), "question")
    assert all("…" in text and len(text) < 200 for text in asked.values())


def test_the_same_tree_the_same_bytes() -> None:
    """Another process with another hash seed writes the very same drawing."""
    code = (
        "import sys; from tests.content.drawing.made import big;"
        "from consult.content.drawing.page import drawing;"
        "from consult.content.drawing.view import view_of;"
        "sys.stdout.buffer.write(drawing(view_of(big(40))).encode())"
    )
    found = {
        subprocess.run(
            [sys.executable, "-c", code], check=True, capture_output=True,
            env={"PYTHONHASHSEED": seed, "PYTHONPATH": ":".join(sys.path)},
        ).stdout
        for seed in ("1", "2")
    }  # fmt: skip
    assert found == {drawing(view_of(big(40))).encode()}


def test_topics(tmp_path: Path) -> None:
    """A topic is a box before its first question: what it could change, and what opens it."""
    svg = drawing(view_of(topical(tmp_path).tree))
    drawn = boxes(svg, "topic")
    assert list(drawn) == ["screen", "sharing"]
    assert drawn["screen"] == (
        "Topic: Screen and glasses Could change: where the screen stands Opens by itself when "
        "the caller says yes to 'neck' Opened by the answer to: opened Skipped unless it is "
        "open"
    )
    assert "Opened by the answer to: opened, more" in drawn["sharing"]
    asked = boxes(svg, "question")
    assert "Asked once the topic is open (Screen and glasses)" in asked["varifocal"]
    assert "topic" not in asked["more"]
    links = [one.get("data-topic") for one in read(svg).iter(f"{_SPACE}g") if one.get("data-topic")]
    assert links == ["screen", "sharing"]
