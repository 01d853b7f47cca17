"""Text from people, made safe to print."""

from __future__ import annotations

import unicodedata

from hypothesis import given
from hypothesis import strategies as st

from consult.visible import visible


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
