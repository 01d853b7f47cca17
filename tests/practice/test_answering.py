"""Figures as people say them, and as a careful listener writes them down."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from consult.call.understand import understand
from consult.hearing.spoken import in_digits
from consult.practice.answering import Rounding, SaidUnits, figure_of, say_number
from consult.problems import Where
from consult.tree.model import Question
from tests.call.calls import TODAY
from tests.long import every_case

# -- figures as people say them, and as a careful listener writes them down -----------------------

LEG = Question("leg", Where("", 1, 1), "How long?", "length", (), unit="cm", expect=(320.0, 520.0))
STATURE = replace(LEG, name="stature", expect=(1400.0, 2050.0))
HEEL = replace(LEG, name="heel", expect=(0.0, 80.0))
WEIGHT = replace(LEG, name="weight", answer="mass", unit="kg", expect=(40.0, 160.0))
HOURS = replace(LEG, name="hours", answer="count", unit=None, expect=(1.0, 12.0))

SYSTEMS = st.sampled_from(["metric", "imperial"])
ROUNDINGS = st.sampled_from(["fine", "whole", "coarse"])
KEYS = st.integers(0, 50).map(lambda number: ("figure", number))
OFF = {"fine": 6.4, "whole": 12.8, "coarse": 26.0}
"""mm; half of the widest step of a rounding."""


@every_case(
    [
        (STATURE, 1587.5, "imperial", "5 ft 2 1/2 in", {"five foot two and a half"}),
        (STATURE, 1524.0, "imperial", "5 ft", {"five foot"}),
        (STATURE, 1537.0, "imperial", "5 ft 1/2 in", {"five foot and half an inch"}),
        (LEG, 405.0, "metric", "40.5 cm", {"forty and a half", "40.5 centimetres"}),
        (LEG, 412.75, "imperial", "16 1/4 in", {"sixteen and a quarter inches"}),
        (HEEL, 12.7, "imperial", "1/2 in", {"half an inch"}),
        (HEEL, 0.0, "metric", "0 cm", {"nought", "nought centimetres", "0 centimetres"}),
        (WEIGHT, 59.0, "imperial", "9 st 4 lb", {"nine stone four"}),
        (WEIGHT, 59.0, "metric", "59 kg", {"fifty-nine kilos", "59 kilos", "fifty-nine"}),
        (HOURS, 7.5, "metric", "7.5", {"seven and a half"}),
    ]
)
def test_figures_are_said_as_people_say_them(
    question: Question, value: float, system: SaidUnits, typed: str, said: set[str]
) -> None:
    """A stature in feet, a leg in half centimetres, a weight in stones."""
    found = {figure_of(question, value, system, "fine", ("key", n)).words for n in range(60)}
    assert figure_of(question, value, system, "fine", ()).typed == typed
    assert found & said == said
    metric_also = {f"{each} centimetres" for each in said}
    assert found <= said | metric_also


@given(st.floats(1400, 2050), SYSTEMS, ROUNDINGS, KEYS)
def test_statures_mean_what_is_written(
    value: float, system: SaidUnits, rounding: Rounding, key: tuple[str, int]
) -> None:
    """What is written of a stature is read as the value meant, which is near the true one."""
    _check(STATURE, value, system, rounding, key)


@given(st.floats(20, 1200), SYSTEMS, ROUNDINGS, KEYS)
def test_lengths_mean_what_is_written(
    value: float, system: SaidUnits, rounding: Rounding, key: tuple[str, int]
) -> None:
    """The same of everything shorter."""
    _check(replace(LEG, expect=None), value, system, rounding, key)


def _check(
    question: Question, value: float, system: SaidUnits, rounding: Rounding, key: tuple[str, int]
) -> None:
    figure = figure_of(question, value, system, rounding, key)
    for written in (figure.typed, f"about {figure.typed}"):
        heard = understand(question, written, TODAY).value
        assert heard == pytest.approx(figure.value, abs=0.01)
    assert abs(figure.value - value) <= OFF[rounding]


@given(st.floats(40, 160), SYSTEMS, ROUNDINGS, KEYS)
def test_weights_mean_what_is_written(
    value: float, system: SaidUnits, rounding: Rounding, key: tuple[str, int]
) -> None:
    """A weight is written so that it is read as meant, within half a stone."""
    figure = figure_of(WEIGHT, value, system, rounding, key)
    assert understand(WEIGHT, figure.typed, TODAY).value == pytest.approx(figure.value, abs=0.01)
    assert abs(figure.value - value) <= (2.6 if rounding == "coarse" else 0.6)


@given(st.integers(0, 9999))
def test_numbers_in_words_are_heard_as_the_number(number: int) -> None:
    """What is said for a number is the number again to whoever writes it in figures."""
    assert re.fullmatch(r"\d+", in_digits(say_number(number)))
    assert int(in_digits(say_number(number))) == number


def test_the_words_of_inches_mean_what_is_written() -> None:
    """Words of a figure in inches or feet are themselves read as the value meant."""
    for value in range(400, 2000, 7):
        figure = figure_of(replace(LEG, expect=None), float(value), "imperial", "fine", ("w",))
        assert understand(STATURE, figure.words, TODAY).value == pytest.approx(
            figure.value, abs=0.01
        )
