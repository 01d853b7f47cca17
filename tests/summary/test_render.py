"""The summary written out: order, numbers, and text that does no harm."""

from __future__ import annotations

import unicodedata
from dataclasses import replace
from typing import Literal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from consult.call.wording import NINE_IN_TEN
from consult.sentence import amount_words
from consult.summary.model import Summary
from consult.summary.render import render
from consult.summary.text import TEXT_WIDTH, markdown_literal
from consult.units import System, format_length, format_range
from consult.visible import harmless
from tests.long import examples
from tests.summary.calls import GOOD, UNKNOWN, basis, summary_of

Form = Literal["text", "md"]
FORMS: tuple[Form, ...] = ("text", "md")
SYSTEMS: tuple[System, ...] = ("metric", "imperial", "both")
WHOLE = summary_of({**GOOD, "mass": "112", "desk_kind": "?", "desk_height": "?"})
HOSTILE = [
    "*bold* _it_ ~~no~~",
    "[a](b) ![c](d)",
    "<script>alert(1)</script>",
    "| a | b |",
    "`code` ``` fence",
    "# heading",
    "- item",
    "+ item",
    "--- ",
    "===",
    "1. one",
    "2) two",
    "3.",
    "> quoted",
    "&amp; &#65;",
    "https://example.test www.example.test a@example.test",
    "back\\slash \\*",
    "$x$ :smile:",
    "\x1b[31mred\x1b[0m \x07 \x9b2J \x00",
    "one\ntwo\r\nthree\u2028four",
    "\u202eesrever\u2066",
    "\ud800",
    "مرحبا 👩‍👩‍👧 [/bold]",
]


def squeezed(text: str) -> str:
    """Without any white space, so that wrapping does not matter."""
    return "".join(text.split())


def named(name: str) -> Summary:
    """The whole summary with another caller, the name in a note as well."""
    measured = tuple(replace(line, note=name) for line in WHOLE.measured)
    return replace(WHOLE, call=replace(WHOLE.call, caller=name), measured=measured)


def assert_harmless(written: str) -> None:
    """No control character but the line ends, and every line can be stored."""
    assert {one for one in written if unicodedata.category(one) in ("Cc", "Cs")} <= {"\n"}
    written.encode("utf-8")


@pytest.mark.parametrize("form", FORMS)
def test_order_of_sections(form: Form) -> None:
    """Cautions come first, then the chair, its figures, how sure they are, then what was said."""
    written = render(basis(), WHOLE, form, "metric")
    sections = [
        "Case file",
        "First of all",
        "The chair",
        "Figures",
        "Measured and estimated",
        "Advice given",
        "Still missing",
        "What was said",
        "Sources",
    ]
    places = [written.index(f"{section}\n") for section in sections]
    assert places == sorted(places)


@pytest.mark.parametrize("form", FORMS)
def test_stopped(form: Form) -> None:
    """A stopped call begins with the stop and whom to contact, and offers no chair."""
    written = squeezed(render(basis(), summary_of({**GOOD, "aches": "saddle"}), form, "metric"))
    stop, said = written.index("Ihavetostophere"), written.index("Whatwassaid")
    assert stop < written.index("call999now") < said
    for heading in ("Thechair", "Figures", "Advicegiven"):
        assert heading not in written


@pytest.mark.parametrize("form", FORMS)
def test_contact_not_in_the_words(form: Form) -> None:
    """Whom to contact is told even where the caution's words leave it out."""
    summary = summary_of({**GOOD, "aches": "saddle"})
    bare = replace(summary.cautions[0], say="Stop.")
    written = render(basis(), replace(summary, cautions=(bare,)), form, "metric")
    assert "Please call 999 now." in written


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("answers", [GOOD, UNKNOWN], ids=["good", "unknown"])
def test_numbers_are_those_of_the_model(answers: dict[str, str], system: System) -> None:
    """Every row of figures holds the model's numbers in the chosen units, and no other."""
    summary = summary_of(answers)
    caller = render(basis(), summary, "md", system, "caller")
    table = caller.split("## Your figures")[1].split("\n\n")[1]
    rows = [[cell.strip() for cell in row.split("|")[1:-1]] for row in table.splitlines()[2:]]
    assert summary.specification is not None
    settings_ = summary.specification.settings
    expected = [
        (
            format_length(settings_.get(name, one.target), system),
            format_range(one.low, one.high, system),
            amount_words(NINE_IN_TEN * one.sd, system) if one.sd else "none",
        )
        for name, one in summary.fit.items()
        if not (name == "footrest_height" and one.target == 0)
    ]
    assert [(row[1], row[2], row[4]) for row in rows[: len(expected)]] == expected
    text = squeezed(render(basis(), summary, "text", system, "caller"))
    for step in summary.setup_steps:
        assert squeezed(step.do.text(system)) in text
    text = squeezed(render(basis(), summary, "text", system))
    for line in (*summary.measured, *summary.estimated):
        assert squeezed(line.say.text(system)) in text


@pytest.mark.parametrize("system", SYSTEMS)
def test_text_is_76_wide(system: System) -> None:
    """No line of the text is longer than 76 characters, whatever the units."""
    written = render(basis(), named("A" * 300 + " " + "word " * 100), "text", system)
    assert max(map(len, written.splitlines())) <= TEXT_WIDTH


def test_words_stay_whole() -> None:
    """Wrapping breaks at spaces, so an address with hyphens stays one piece."""
    address = "ada-of-the-long-house-by-the-river-and-the-mill-of-old-fenwick@post.test"
    assert address in render(basis(), named(f"Ada, {address}"), "text", "metric")


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_text(form: Form, name: str) -> None:
    """Marks and controls somebody typed are shown, and do nothing."""
    written = render(basis(), named(name), form, "metric")
    assert_harmless(written)
    if form == "text":
        assert squeezed(harmless(name)) in squeezed(written)
    else:
        assert markdown_literal(f"for {name},") in written


@given(st.text(st.characters(codec=None), max_size=200))
@settings(max_examples=examples(60), deadline=None)
def test_any_text(name: str) -> None:
    """Whatever was typed, both forms are written, hold it, and hold no control character."""
    summary = named(name)
    text, markdown = (
        render(basis(), summary, "text", "both"),
        render(basis(), summary, "md", "both"),
    )
    assert_harmless(text)
    assert_harmless(markdown)
    assert squeezed(harmless(name)) in squeezed(text)
    assert not name.strip() or markdown_literal(f"for {name},") in markdown


@pytest.mark.parametrize("form", FORMS)
def test_ten_thousand_characters(form: Form) -> None:
    """A very long answer is written in full."""
    assert "x" * 70 in render(basis(), named("x" * 10_000), form, "metric")


@pytest.mark.parametrize("name", HOSTILE)
def test_markdown_reads_back_literally(name: str) -> None:
    """A Markdown reader shows what was typed, as one paragraph of nothing but text."""
    reader = pytest.importorskip("markdown_it").MarkdownIt("commonmark")
    reader.enable(["table", "strikethrough"])
    tokens = reader.parse(markdown_literal(name))
    shown = " ".join(harmless(name).split())
    assert [token.type for token in tokens] == ["paragraph_open", "inline", "paragraph_close"]
    assert {child.type for child in tokens[1].children} <= {"text", "text_special"}
    assert "".join(child.content for child in tokens[1].children) == shown


def test_table_cells_cannot_break_out() -> None:
    """A bar in a part's name does not begin another cell."""
    assert WHOLE.specification is not None
    part = replace(WHOLE.specification.parts[0], name="A | B")
    specification = replace(WHOLE.specification, parts=(part,))
    written = render(basis(), replace(WHOLE, specification=specification), "md", "metric", "caller")
    assert "| Seat | A \\| B |" in written


def test_escape_sequences_are_visible() -> None:
    """A terminal sequence is shown by the symbol of its escape."""
    assert harmless("\x1b[2J\x9b1m\x7f\n.") == "␛[2J␛[1m␡ ."


def test_no_chair_may_be_offered() -> None:
    """Where no chair carries the caller, the reason stands in place of the parts."""
    written = render(basis(), summary_of({**GOOD, "mass": "400 kg"}), "text", "metric")
    assert "DOES NOT MEET: No chair of this range" in written
    assert "people with your measures" not in written.split("Your figures")[0]
    assert "Together" not in written


def test_must_that_is_not_met() -> None:
    """A feature the caller must have and does not get is not to be overlooked."""
    lacking = tuple(replace(need, met=False, strength="must") for need in WHOLE.needs)
    assert "MISSING: Seat slide" in render(basis(), replace(WHOLE, needs=lacking), "text", "metric")


@pytest.mark.parametrize(
    ("tied", "said"),
    [
        (0, "It fits 94 of 100 people with these measurements. Worth"),
        (1, "measurements. Another chair fits equally well; this is the cheapest."),
        (3, "measurements. Several chairs fit equally well; this is the cheapest."),
    ],
)
def test_how_likely_the_chair_fits(tied: int, said: str) -> None:
    """The share is told in people out of a hundred, with how many chairs fit as well."""
    assert WHOLE.specification is not None
    changed = replace(WHOLE.specification, p_fits=0.937, tied=tied)
    written = render(basis(), replace(WHOLE, specification=changed), "md", "metric")
    assert said in written


@pytest.mark.parametrize("system", SYSTEMS)
def test_sentences_of_the_choice_are_written(system: System) -> None:
    """Why not another, what to ask next and other populations stand there in the reader's units."""
    summary = summary_of(GOOD)
    found = summary.specification
    assert found is not None
    assert found.ask_next is not None
    chair, sure = render(basis(), summary, "text", system).split("Measured and estimated")
    assert "Why not another:" in chair
    for line in found.why_not:
        assert squeezed(line.text(system)) in squeezed(chair)
    assert squeezed(found.ask_next) in squeezed(chair)
    for line in found.other_populations:
        assert squeezed(line.text(system)) in squeezed(sure)
