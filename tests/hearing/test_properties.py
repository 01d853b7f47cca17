"""What is printed is read back, and nothing typed is read as a value that cannot be."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from consult.call.understand import Understood, understand
from consult.hearing.meaning import Listener
from consult.hearing.quantity import LENGTH, MASS, Heard
from consult.units import (
    Proposal,
    System,
    Unclear,
    bare_length,
    format_length,
    format_mass,
    parse_length,
    parse_mass,
)
from tests.call.calls import TODAY
from tests.hearing.forms import FORMS, QUESTIONS, Form

SYSTEMS: list[System] = ["metric", "imperial", "both"]
STYLES = ["plain", "hyphens", "long dashes", "close", "fractions", "words"]
_VULGAR = {"¼": "1/4", "½": "1/2", "¾": "3/4"}


def typed(text: str, style: str) -> str:
    """What we print, as somebody types it: 6 ft 2½ in, 6 ft 2-1/2 in, 6ft2½in."""
    if style == "close":
        return text.replace(" ", "")
    if style == "words":
        for short, long in ((" ft", " foot"), (" in", " inches"), (" st", " stone")):
            text = text.replace(short, long)
    joint = {"plain": "", "hyphens": "-", "long dashes": "–", "fractions": " ", "words": " and "}
    for sign, fraction in _VULGAR.items() if style != "plain" else ():
        whole = text.partition(sign)[0][-1:].isdecimal()
        text = text.replace(sign, f"{joint[style] if whole else ''}{fraction}")
    return text


@given(st.sampled_from(SYSTEMS), st.sampled_from(STYLES), st.floats(4, 9990))
@example("imperial", "hyphens", 38.1)
@example("imperial", "long dashes", 1892.3)
@example("both", "words", 1219.9)
def test_a_printed_length_is_read_back(system: System, style: str, mm: float) -> None:
    """Formatting, typing and parsing a length is the identity within the rounding."""
    rounding = 25.4 / 8 if system == "imperial" else 0.5
    heard = parse_length(typed(format_length(mm, system), style))
    assert heard.value == pytest.approx(mm, abs=rounding + 1e-6)
    assert heard.spread == 0


@given(st.sampled_from(SYSTEMS[:2]), st.sampled_from(STYLES), st.floats(320, 520))
@example("imperial", "hyphens", 361.95)
def test_a_length_of_a_column_is_read_back(system: System, style: str, mm: float) -> None:
    """A figure without its unit is read in the units it was printed in."""
    assert system != "both"
    rounding = 25.4 / 8 if system == "imperial" else 0.5
    text = typed(bare_length(mm, system), style)
    heard = parse_length(text, "cm", (310.0, 530.0), system)
    assert heard.value == pytest.approx(mm, abs=rounding + 1e-6)


@given(st.sampled_from(SYSTEMS), st.sampled_from(STYLES), st.floats(0.3, 499))
def test_a_printed_mass_is_read_back(system: System, style: str, kg: float) -> None:
    """Formatting, typing and parsing a mass is the identity within the rounding."""
    rounding = 0.45359237 / 2 if system == "imperial" else 0.05
    heard = parse_mass(typed(format_mass(kg, system), style))
    assert heard.value == pytest.approx(kg, abs=rounding + 1e-6)


@given(st.sampled_from(FORMS), st.sampled_from(SYSTEMS))
def test_what_is_recorded_means_the_same_in_all_units(one: Form, system: System) -> None:
    """An answer recorded with its unit is read alike whatever units are shown later."""
    with suppress(Unclear):
        heard = understand(one.question, one.said, TODAY, system)
        recorded = heard.settled or one.said
        again = understand(one.question, recorded, TODAY)
        assert again.value == pytest.approx(heard.value, abs=1e-3)
        assert again.spread == pytest.approx(heard.spread, abs=1e-3)


@given(st.sampled_from(FORMS))
def test_the_words_of_an_answer_mean_that_answer(one: Form) -> None:
    """``Heard.said`` is read as the same value and margin."""
    kind = {"length": LENGTH, "mass": MASS}.get(one.question.answer)
    if kind is None:
        return
    with suppress(Unclear):
        listener = Listener(kind, one.question.unit or "", one.question.expect, one.system)
        heard = listener.hear(one.said)
        again = replace(listener, system="metric").hear(heard.said)
        assert again.value == pytest.approx(heard.value, abs=1e-3)
        assert again.spread == pytest.approx(heard.spread, abs=1e-3)


_PIECES = (
    "5 2 62 157 1.57 1,570 1/2 ½ 0 12 ft in cm m mm st lb kg ' \" - – to and or between a half an "
    "inch foot quarter hundred one five twenty point about just under over odd something couple of "
    "± ( ) , / . ish minus [ ٣ l O ? trainers size 14 normal desk give or take erm oh"
)
_SAID = (
    st.text(max_size=2000)
    | st.lists(st.sampled_from(_PIECES.split()), max_size=12).map(" ".join)
    | st.lists(st.sampled_from(_PIECES.split()), max_size=12).map("".join)
    | st.lists(st.sampled_from(FORMS).map(lambda form: form.said), max_size=3).map(" ".join)
)


@given(_SAID, st.sampled_from(sorted(QUESTIONS)), st.sampled_from(SYSTEMS))
@example("9" * 2000, "stature", "metric")
@example("1/2 " * 500, "top", "imperial")
@example("a couple of " * 160, "heel", "both")
def test_no_answer_is_out_of_all_proportion(said: str, name: str, system: System) -> None:
    """Whatever is typed is a value within ten times the usual, or a question; never an error."""
    question = QUESTIONS[name]
    assert question.expect is not None
    heard, asked = Understood(None), ""
    try:
        heard = understand(question, said, TODAY, system)
    except Unclear as unclear:
        asked = str(unclear)
    assert len(asked) < 400
    if heard.value is not None:
        assert isinstance(heard.value, float)
        low, high = question.expect
        assert low / 10 <= heard.value <= high * 10
        assert 0 <= heard.spread <= high * 10


def _outcome(listener: Listener, said: str) -> tuple[object, ...]:
    try:
        heard = listener.hear(said)
    except Unclear as unclear:
        return str(unclear), unclear.proposals
    return heard.value, heard.spread, heard.said


@given(
    st.decimals(0, 2100, places=2).map(str) | st.integers(0, 2100).map(str),
    st.sampled_from(sorted({*QUESTIONS} - {"hours"})),
    st.sampled_from(SYSTEMS),
    st.sampled_from(["mm", "cm", "m", "in"]),
)
@example("5.2", "stature", "metric", "cm")
@example("1.78", "stature", "metric", "cm")
@example("62", "stature", "metric", "cm")
@example("2.5", "top", "metric", "cm")
@example("9", "heel", "metric", "mm")
@example("8", "heel", "metric", "cm")
@example("205", "stature", "metric", "cm")
@example("205.01", "stature", "metric", "cm")
@example("17", "top", "metric", "cm")
@example("5.2", "stature", "imperial", "cm")
@example("62", "stature", "both", "cm")
def test_a_figure_alone_is_heard_as_in_a_phrase(
    figure: str, name: str, system: System, bare: str
) -> None:
    """A number with nothing beside it is read at once, and means what the long way says."""
    question = QUESTIONS[name]
    kind = MASS if question.answer == "mass" else LENGTH
    listener = Listener(kind, "kg" if kind is MASS else bare, question.expect, system)
    assert _outcome(listener, figure) == _outcome(listener, f"{figure} ")


def test_limits_hold_to_the_millimetre() -> None:
    """A length with its unit counts up to three times the usual, rounding allowed and no more."""
    usual = (1400.0, 2050.0)
    assert parse_length("615 cm", expect=usual) == Heard(6150.0)
    with pytest.raises(Unclear, match="far too long"):
        parse_length("615.05 cm", expect=usual)
    # 3 * 167.64 is a little less than 19.8 * 25.4 in binary, and the two are equal
    assert parse_length("19.8 in", expect=(60.0, 167.64)).value == pytest.approx(502.92)


@pytest.mark.parametrize(
    ("said", "limit"),
    [
        ("5 ft 12", "12 inches in a foot"),
        ("5 ft 12 1/2", "12 inches in a foot"),
        ("5 ft 2 to 12", "12 inches in a foot"),
        ("5 ft 11 or 12", "12 inches in a foot"),
    ],
)
def test_inches_stop_short_of_a_foot(said: str, limit: str) -> None:
    """Twelve inches are a foot, so that many after the feet were misheard."""
    with pytest.raises(Unclear, match=limit):
        parse_length(said)


@pytest.mark.parametrize("said", ["9 st 14", "9 stone 14 lb", "9 st 4 to 14", "9 st 13 or 14"])
def test_pounds_stop_short_of_a_stone(said: str) -> None:
    """Fourteen pounds are a stone."""
    with pytest.raises(Unclear, match="14 pounds in a stone"):
        parse_mass(said)


def test_the_most_a_foot_and_a_stone_hold() -> None:
    """Eleven inches and thirteen pounds are taken, and offered for "5.11" and "9 13"."""
    assert parse_length("5 ft 11¾").value == pytest.approx(71.75 * 25.4)
    assert parse_mass("9 st 13").value == pytest.approx(139 * 0.45359237)
    assert [p.said for p in offered("5 11")] == ["5 ft 11 in"]
    assert [p.said for p in offered("5 12")] == []
    assert [p.said for p in offered("5.11")] == ["5 ft 11 in", "61.32 in"]
    assert [p.said for p in offered("5.12")] == ["5 ft 1.44 in"]


def offered(said: str) -> tuple[Proposal, ...]:
    with pytest.raises(Unclear) as caught:
        parse_length(said, expect=(1400.0, 2050.0))
    return caught.value.proposals
