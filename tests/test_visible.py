"""Text from people, made safe to print."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from consult.visible import FORMULA, guarded, visible


def test_control_characters_are_shown() -> None:
    """An escape that would steer the terminal becomes a sign for itself."""
    assert visible("\x1b[2J") == "\N{SYMBOL FOR ESCAPE}[2J"
    assert visible("a\x00b\x7fc\r") == "a␀b␡c␍"
    assert visible("a\u202eb\u2066c") == "a\ufffdb\ufffdc"
    assert visible("\x9b31m") == "\N{REPLACEMENT CHARACTER}31m"


def test_ordinary_text_is_left_alone() -> None:
    """Lines, tabs, accents, emoji and right-to-left words stay."""
    text = "one\n\ttwo é \N{SLIGHTLY SMILING FACE} שלום [b]<i>"
    assert visible(text) == text


def test_half_characters_can_be_printed() -> None:
    """A lone surrogate, as a mis-encoded file name brings, becomes a question mark."""
    assert visible("a\udcff") == "a?"


@given(st.text() | st.text(alphabet=st.characters(max_codepoint=0xA0)))
def test_nothing_left_to_obey(text: str) -> None:
    """No control character but line and tab is left, no character is lost, twice is as once."""
    shown = visible(text)
    assert len(shown) == len(text)
    assert all(unicodedata.category(one) != "Cc" or one in "\n\t" for one in shown)
    turning = {"LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI"}
    assert all(unicodedata.bidirectional(one) not in turning for one in shown)
    assert visible(shown) == shown
    shown.encode("utf-8")


# -- no cell of a table is taken for a formula ----------------------------------------------------


@pytest.mark.parametrize("sign", sorted("=+-@＝＋－＠"))
@pytest.mark.parametrize("before", ["", " ", "\t", "\n \u2009", "\u3000"])
def test_a_formula_is_disarmed(sign: str, before: str) -> None:
    """Also the wide signs, and behind blanks."""
    assert guarded(f"{before}{sign}1+1") == f"'{before}{sign}1+1"


@pytest.mark.parametrize("text", ["", " ", "1+1", "a=b", "'=1", "\t", "[red]", "e-mail"])
def test_other_texts_stay(text: str) -> None:
    """Signs further on are none, and an apostrophe that is there is not doubled unasked."""
    assert guarded(text) == text


@pytest.mark.parametrize("text", ["'", "'a", "\tb"])
def test_more_signs_on_request(text: str) -> None:
    """They count where they are the very first."""
    assert guarded(text, frozenset("'\t")) == f"'{text}"
    assert guarded(f" {text}", frozenset("'\t")) == f" {text}"


@given(st.text())
def test_nothing_else_is_changed(text: str) -> None:
    """At most an apostrophe is put before it, and no formula is left."""
    made = guarded(text)
    assert made in (text, f"'{text}")
    assert made.lstrip()[:1] not in FORMULA
