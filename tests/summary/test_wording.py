"""Templates: filled without a value ever being markup, and their mistakes found in place."""

from __future__ import annotations

import shutil
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from consult.call.basis import load_basis
from consult.call.state import state
from consult.paths import trees_folder
from consult.summary.blocks import (
    Alert,
    Heading,
    Items,
    ListItem,
    NewPage,
    Paragraph,
    Picture,
    Table,
    parsed,
)
from consult.summary.model import summarise
from consult.summary.render import render
from consult.summary.wording import Wording, own_wording, problems_in
from tests.call.calls import HOSTILE
from tests.long import every_case
from tests.summary.calls import GOOD, summary_of
from tests.ui.desk import demo

SUMMARY = summary_of(GOOD)


def blocks(template: str, **more: str) -> tuple[object, ...]:
    """One template filled with the summary, its caller's name replaced."""
    name = more.get("name", "Ada")
    summary = replace(SUMMARY, call=replace(SUMMARY.call, caller=name))
    wording = Wording({"page": template})
    return wording.blocks("page", summary, "metric", {"side_view": "a chair"})


def test_every_kind_of_block() -> None:
    """Headings, paragraphs, lists with what stands under, tables, alerts, pages and pictures."""
    found = blocks(
        "# Title\n\nTwo\nlines.\n\n- one\n  - under\n- two\n\n1. first\n\n"
        "| a | b |\n| --- | --- |\n| 1 | |\n\n> Label: text\n\n---\n\n[picture: side_view]\n"
    )
    assert found == (
        Heading(1, "Title"),
        Paragraph("Two lines."),
        Items((ListItem("one", ("under",)), ListItem("two"))),
        Items((ListItem("first"),), numbered=True),
        Table(("a", "b"), (("1", ""),)),
        Alert("Label", "text"),
        NewPage(),
        Picture("side_view", "a chair"),
    )


def test_a_picture_that_is_not_there_is_left_out() -> None:
    """Neither a block of its own nor beside an item."""
    assert blocks("[picture: before_after]\n") == ()
    assert blocks("- one [picture: step:desk]\n") == (Items((ListItem("one"),)),)


@every_case([*HOSTILE, "[picture: side_view]", "{{ s }}", "{% raw %}", "\ue0000\ue001"])
def test_a_value_is_never_markup(name: str) -> None:
    """Whatever a name holds, it is one paragraph, one item, one cell, to the character."""
    found = blocks(
        "{{ s.call.caller }}\n\n- {{ s.call.caller }}\n\n"
        "| a |\n| --- |\n| {{ s.call.caller }} |\n\n"
        "> Label: {{ s.call.caller }}\n",
        name=name,
    )
    assert found == (
        Paragraph(name),
        Items((ListItem(name),)),
        Table(("a",), ((name,),)),
        Alert("Label", name),
    )


@given(st.text())
def test_any_text_is_read_into_blocks(source: str) -> None:
    """No text of a template breaks the reader."""
    parsed(source, lambda text: text, {})


def found_in(folder: Path, **templates: str) -> list[str]:
    files = {name: str(folder / f"{name}.md.j2") for name in templates}
    return [str(one) for one in problems_in(Wording(templates, files), [SUMMARY])]


def test_mistakes_are_found_in_place(tmp_path: Path) -> None:
    """An unfinished blank, unknown names and filters and a forbidden reach: each by its line."""
    (problem,) = found_in(tmp_path, page="# ok\n\n{{ s.title\n")
    assert "page.md.j2:" in problem
    (problem,) = found_in(tmp_path, page="# ok\n\n{{ s.tilte }}\n")
    assert "page.md.j2:3:1" in problem
    assert "tilte" in problem
    (problem,) = found_in(tmp_path, page="# ok\n{{ s.title | shout }}\n")
    assert "page.md.j2:2:1" in problem
    (problem,) = found_in(tmp_path, page="# ok\n\n{{ s.title + 1 }}\n")
    assert "page.md.j2:3:1" in problem
    (problem,) = found_in(tmp_path, page="{{ s.title.__class__.__mro__ }}\n")
    assert "unsafe" in problem


def test_a_mistake_in_a_part_is_told_of_the_part(tmp_path: Path) -> None:
    """And not of the templates that take it in."""
    (problem,) = found_in(
        tmp_path,
        page='# ok\n\n\n\n{% include "_part" %}\n',
        other='{% include "_part" %}\n',
        _part="fine\n{{ s.tilte }}\n",
    )
    assert "_part.md.j2:2:1" in problem


def test_the_templates_that_come_with_us_are_sound() -> None:
    """Every one is filled for a whole call without a mistake."""
    wording = own_wording()
    assert {"caller", "employer", "order", "file", "card"} <= wording.sources.keys()
    assert problems_in(wording, [SUMMARY]) == []


def test_a_template_that_cannot_be_filled_does_not_end_a_call(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The wording that comes with us stands in, and says so, whether the broken one is of a folder
    of one's own or of the live trees."""
    for path in trees_folder().glob("*.yaml"):
        shutil.copy(path, tmp_path)
    (tmp_path / "summary").mkdir()
    (tmp_path / "summary" / "caller.md.j2").write_text("# mine\n\n{{ s.title / 2 }}\n")
    basis, problems = load_basis(tmp_path / "seating.yaml")
    assert basis is not None, problems
    made = summarise(basis, state(basis, demo("01").call))
    text = render(basis, made, "text", "metric", "caller")
    assert "Setting up, step by step" in text
    assert "could not be filled" in text
    monkeypatch.setenv("CONSULT_TREES", str(tmp_path))
    assert render(basis, made, "text", "metric", "caller") == text
    (tmp_path / "summary" / "caller.md.j2").write_bytes(b"# mine\n\xff\n")
    assert render(basis, made, "text", "metric", "caller") == text
    (tmp_path / "summary" / "caller.md.j2").write_text("# mine\n\n{{ s.call.caller }}\n")
    assert render(basis, made, "text", "metric", "caller").startswith("mine")
