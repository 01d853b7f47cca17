"""Text that has to fit."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from consult.content.drawing.boxes import box_lines, drawable_text, text_width

# -- text that has to fit -------------------------------------------------------------------------


@settings(deadline=None)  # the first one reads the face
@given(st.text(max_size=300), st.floats(8, 80), st.integers(1, 4), st.booleans())
def test_no_line_is_wider_than_its_room(text: str, room: float, most: int, bold: bool) -> None:
    """Whatever the text, there are no more lines than may be, and none is too wide."""
    found = box_lines(text, room, 3.0, most, bold=bold)
    assert len(found) <= most
    assert all(text_width(line, 3.0, bold=bold) <= room for line in found)


@settings(deadline=None)
@given(st.lists(st.text("abc", min_size=1, max_size=5), max_size=12))
def test_nothing_is_lost_where_there_is_room(words: list[str]) -> None:
    """Text that fits comes out whole, words in order."""
    text = " ".join(words)
    assert " ".join(box_lines(text, 30.0, 3.0, 99)) == text


def test_what_is_cut_says_so() -> None:
    """What does not fit ends in an ellipsis."""
    assert box_lines("one two three four five", 12.0, 3.0, 2)[-1].endswith("…")
    assert box_lines("x" * 10_000, 40.0, 3.0, 3)[-1].endswith("…")


def test_width_is_that_of_the_face() -> None:
    """A line of the letter m in DejaVu Sans: 1995 of 2048 units each, from the face's own table."""
    assert text_width("mmmm", 10.0) == pytest.approx(4 * 10 * 1995 / 2048)
    assert text_width("mmmm", 10.0, bold=True) > text_width("mmmm", 10.0)


@given(st.text())
def test_plain_is_one_line_that_xml_can_hold(text: str) -> None:
    """No line end, no control character, no turning mark is left."""
    found = drawable_text(text)
    assert not any(one in found for one in "\n\r\t\x00\x1b\u202e\u2066\ufffe\uffff\x85\u2028")
    found.encode("utf-8")
