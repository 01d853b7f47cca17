"""The side view as SVG: its numbers, its scale, its words, and that nothing breaks it."""

from __future__ import annotations

from dataclasses import replace
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from consult.call.state import state
from consult.fit.workplace import Desk, Workplace
from consult.picture.model import Misfit, Scene
from consult.picture.scene import scene
from consult.picture.svg import described
from consult.picture.svg_side import side_sheet
from consult.sentence import Sentence
from consult.units import System, format_length
from consult.visible import visible
from tests.long import examples
from tests.picture.scenes import SHORT, drawn, side_view
from tests.picture.svg_read import SPACE, length, parts, read, texts
from tests.ui.desk import demo, demo_basis

HIGH = Workplace(Desk("fixed", 760.0, 30.0))
HOSTILE = '<script>alert("1")</script> & [b]]]> \x00\x1b[31m \ud800 \ufffe 🪑 שלום'
SYSTEMS: tuple[System, ...] = ("metric", "imperial", "both")


def called(name: str) -> Scene:
    """The scene of a demo call."""
    now = state(demo_basis(), demo(name).call)
    found = scene(now.estimate, now.workplace, now.fit, now.picked)
    assert found is not None
    return found


def with_problem(text: str) -> Scene:
    one = drawn()
    return replace(one, problems=(Misfit("1", (300.0, 500.0), "made_up", Sentence(text)),))


@pytest.mark.parametrize("name", ["01", "02", "03", "06"])
@pytest.mark.parametrize("system", SYSTEMS)
def test_the_numbers_are_those_of_the_scene(name: str, system: System) -> None:
    """Each dimension stands in the drawing by name and value, in the caller's units, once."""
    found = called(name)
    drawing = side_view(found, system)
    for one in found.dimensions:
        named, value = texts(drawing, f"label: {one.name}")
        assert value == format_length(one.mm, system)
        assert named
    assert len(texts(drawing, "label: ")) == 2 * len(found.dimensions)


def test_both_units_stand_together() -> None:
    """A caller who wants both reads centimetres, and inches in brackets."""
    assert "54.5 cm (21½ in)" in texts(side_view(drawn(HIGH, SHORT), "both"), "label: seat height")


@pytest.mark.parametrize("width", [60.0, 170.0, 400.0])
def test_everything_is_to_scale(width: float) -> None:
    """Dimension lines on paper, over the scale, are the millimetres they say."""
    found = drawn(HIGH, SHORT)
    paper = side_sheet(found, "metric", width_mm=width)
    drawing = side_view(found, width=width)
    for one in found.dimensions:
        (line,) = parts(drawing, "polyline", f"dimension: {one.name}")
        assert length(line) / paper.scale == pytest.approx(one.mm, abs=0.02 / paper.scale)


def test_the_scale_is_written() -> None:
    """The sheet says at what scale it is, and that is the scale it is drawn at."""
    paper = side_sheet(drawn(), "metric")
    assert f"1 : {1 / paper.scale:.1f};" in " ".join(texts(side_view(drawn(), "metric"), "legend"))


def test_it_is_as_wide_as_asked() -> None:
    """Width in mm of paper; the view box is in mm as well."""
    root = read(side_view(drawn(), width=120))
    assert root.get("width") == "120mm"
    assert (root.get("viewBox") or "").split()[2] == "120"


def test_problems_have_signs_and_words() -> None:
    """Each number stands in the picture and again before its words."""
    found = called("02")
    drawing = side_view(found, "metric")
    marks = [one.mark for one in found.problems]
    assert sorted(texts(drawing, "sign")) == sorted(marks * 2)
    said = " ".join(texts(drawing, "legend"))
    for one in found.problems:
        assert one.text.text("metric") in said


def test_nothing_in_the_way_is_said() -> None:
    """A scene without problems has no sign and says so."""
    drawing = side_view(drawn(), "metric")
    assert texts(drawing, "sign") == []
    assert "Nothing in the way." in texts(drawing, "legend")


def test_a_desk_that_is_only_wanted_is_dashed_and_called_so() -> None:
    """Who has no desk yet sees the one that would suit, and that it does not stand there."""
    wanted, stands = (side_view(one, "metric") for one in (drawn(), drawn(HIGH)))
    assert "Wanted desk top" in texts(wanted, "label: desk top")
    assert "Desk top" in texts(stands, "label: desk top")
    for drawing, dashes in ((wanted, True), (stands, False)):
        assert any(
            one.get("stroke-dasharray") for one in parts(drawing, "polygon", "desk")
        ) is dashes  # fmt: skip


def test_parts_differ_without_colour() -> None:
    """One ink on white; chair, desk and footrest have lines of different directions in them."""
    drawing = side_view(drawn(HIGH))
    colours = {
        one.get(name)
        for one in read(drawing).iter()
        for name in ("fill", "stroke")
        if one.get(name) is not None
    }
    assert colours == {"#1a1a1a", "#ffffff", "none"}
    lean = set()
    for part in ("chair", "desk", "footrest"):
        first = parts(drawing, "polyline", part)[0].get("points") or ""
        (x, y), (to_x, to_y) = (tuple(map(float, pair.split(","))) for pair in first.split())
        lean.add((abs(to_x - x) > 0.05, abs(to_y - y) > 0.05))
    assert len(lean) == 3


def test_it_is_read_aloud() -> None:
    """Title and description by id, the picture is one image, and the numbers are in the words."""
    found = drawn(HIGH)
    root = read(side_view(found, "both", title="My chair", prefix="a-"))
    assert root.get("role") == "img"
    assert root.get("aria-labelledby") == "a-title a-desc"
    title, desc = root.find(f"{SPACE}title"), root.find(f"{SPACE}desc")
    assert title is not None
    assert desc is not None
    assert (title.get("id"), title.text) == ("a-title", "My chair")
    assert desc.get("id") == "a-desc"
    assert desc.text == described(found, "both")
    for one in found.dimensions:
        assert format_length(one.mm, "both") in (desc.text or "")
    for problem in found.problems:
        assert problem.text.text("both") in (desc.text or "")


def test_the_words_do_not_speak_of_what_is_not_there() -> None:
    """No armrests, no footrest, no screen: no numbers for them."""
    found = drawn()
    kept = ("seat height", "seat depth", "knee gap", "desk top", "eye height")
    bare = replace(
        found,
        chair=replace(found.chair, arm=None),
        screen=None,
        dimensions=tuple(one for one in found.dimensions if one.name in kept),
    )
    said = described(bare, "metric")
    assert "no armrests" in said
    assert "footrest" not in said
    assert "screen" not in said
    assert len(texts(side_view(bare, "metric"), "label: ")) == 10


def test_ids_are_unique_in_one_page() -> None:
    """Two drawings with different prefixes share no id."""
    one, other = (read(side_view(drawn(), "metric", prefix=p)) for p in ("a-", "b-"))
    ids = [e.get("id") for root in (one, other) for e in root.iter() if e.get("id")]
    assert len(ids) == len(set(ids)) == 4


def test_nothing_is_fetched_or_run() -> None:
    """No script, no link, no style, no picture, no font of its own, no second namespace."""
    drawing = side_view(called("02"), "both")
    tags = {one.tag.removeprefix(SPACE) for one in read(drawing).iter()}
    allowed = {"svg", "title", "desc", "rect", "g", "polyline", "polygon", "circle", "text"}
    assert tags <= allowed
    assert "href" not in drawing
    assert "url(" not in drawing
    assert drawing.count("http") == 1
    assert 'font-family="sans-serif"' in drawing


def test_hostile_words_are_only_words() -> None:
    """Markup, control characters, half emoji: shown or replaced, never obeyed."""
    drawing = side_view(with_problem(HOSTILE), "both", title=HOSTILE, said=HOSTILE)
    root = read(drawing)
    said = visible(HOSTILE).replace("\ufffe", "\ufffd")
    for name in ("title", "desc"):
        found = root.find(f"{SPACE}{name}")
        assert found is not None
        assert found.text == said
    assert not list(root.iter(f"{SPACE}script"))
    assert " ".join(texts(drawing, "legend")).startswith("<script>alert")


@settings(max_examples=examples(40), deadline=None)
@given(st.text(max_size=300), st.text(max_size=50))
def test_any_words_give_well_formed_xml(problem: str, title: str) -> None:
    """Whatever the text of a problem or the title, a parser reads the drawing."""
    ElementTree.fromstring(side_view(with_problem(problem), "both", title=title))


def test_ten_thousand_letters_only_make_it_longer() -> None:
    """A very long word is broken, and the sheet grows."""
    long, short = (side_sheet(with_problem("x" * n), "metric") for n in (10_000, 10))
    assert long.size[1] > 3 * short.size[1]
    assert long.size[0] == short.size[0]


def test_same_scene_same_bytes() -> None:
    """Nothing but the scene decides."""
    assert side_view(called("01"), "both") == side_view(called("01"), "both")
