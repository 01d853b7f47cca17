"""Sentences with lengths in them."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from consult.sentence import Sentence

RAISE = Sentence("Raise the desk by <amount>, to <height>.", {"amount": 40.0, "height": 760.0})


def test_in_the_readers_units() -> None:
    """One sentence reads in whichever units the reader likes."""
    assert RAISE.text("metric") == "Raise the desk by 4 cm, to 76 cm."
    assert RAISE.text("imperial") == "Raise the desk by 1½ in, to 30 in."
    both = RAISE.text("both")
    assert "4 cm" in both
    assert "1½ in" in both


def test_nothing_to_fill_in() -> None:
    """Without lengths the words stand as they are; an unknown blank stays visible."""
    assert Sentence("Sit <still>.").text("metric") == "Sit <still>."


def test_a_blank_may_stand_twice() -> None:
    """Every place of a blank is filled."""
    assert Sentence("<a> and <a>", {"a": 10.0}).text("metric") == "1 cm and 1 cm"


@given(
    words=st.text(max_size=30).filter(lambda text: "<" not in text and ">" not in text),
    mm=st.floats(0, 5000),
)
def test_words_around_are_kept(words: str, mm: float) -> None:
    """Whatever stands around a length is left alone."""
    said = Sentence(f"{words}<x>{words}", {"x": mm}).text("metric")
    assert said.startswith(words)
    assert said.endswith(words)
    assert "<x>" not in said


def test_a_length_that_is_there_never_reads_as_nothing() -> None:
    """Two millimetres are less than the ruler's finest mark, not nought."""
    said = Sentence("It is <amount> short.", {"amount": 2.0})
    assert said.text("imperial") == "It is less than ¼ in short."
    assert said.text("metric") == "It is 0.2 cm short."
    assert Sentence("<amount>", {"amount": 0.0}).text("imperial") == "0 in"
