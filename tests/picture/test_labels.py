"""Labels: how wide they are taken to be, and where they go."""

from __future__ import annotations

from itertools import pairwise
from unicodedata import category

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import ImageFont

from consult.picture.labels import JOINED, Box, label_width, spread_apart, wrap

_ANY = st.text(max_size=200)


def test_a_text_is_never_taken_for_narrower_than_it_is() -> None:
    """Every printable ASCII letter has at least the room it needs in a sans face at hand."""
    font = ImageFont.load_default(1000)
    for code in range(32, 127):
        assert label_width(chr(code), 1000.0) >= font.getlength(chr(code)), chr(code)


@pytest.mark.parametrize(
    ("text", "least"),
    [("0123456789", 6.95), ("Seat height", 6.53), ("(17½ in)", 4.74), ("Wm@%", 4.14)],
)
def test_the_widest_bold_face_has_room(text: str, least: float) -> None:
    """No narrower than DejaVu Sans Bold (advance widths read from the font itself, in em)."""
    assert least <= label_width(text, 1.0, bold=True) <= 1.12 * least


def test_wide_letters_and_accents() -> None:
    """A letter of an East Asian script or an emoji is wide; an accent put on another is nothing."""
    assert label_width("汉", 10) > label_width("W", 10)
    assert label_width("🪑", 10) > label_width("W", 10)
    assert label_width("e\u0301", 10) == label_width("e", 10)


@given(_ANY, st.floats(1, 60))
def test_wrapped_lines_fit_and_lose_nothing(text: str, room: float) -> None:
    """No line is wider than its room unless it is one letter; all letters are still there.

    Marks that stand on a letter stay with it.
    """
    lines = wrap(text, 3.0, room)
    assert lines
    assert "".join(lines).replace(" ", "") == "".join(text.split())
    for line in lines:
        letters = "".join(one for one in line if category(one) not in JOINED)
        assert label_width(letters, 3.0) <= room + 2e-9 or len(letters) == 1


def test_words_stay_whole_where_they_can() -> None:
    """Lines break between words."""
    assert wrap("The desk is too low", 3.0, label_width("The desk is", 3.0)) == [
        "The desk is",
        "too low",
    ]


_THINGS = st.lists(st.tuples(st.floats(-50, 250), st.floats(0.5, 20)), max_size=8)


@given(_THINGS)
def test_things_along_a_line_never_touch(things: list[tuple[float, float]]) -> None:
    """They stay apart, in order, and within the line as long as there is room for all."""
    wanted, sizes = [at for at, _ in things], [size for _, size in things]
    found = spread_apart(wanted, sizes, 0.0, 200.0, 1.0)
    order = sorted(range(len(things)), key=lambda one: (wanted[one], one))
    for one, other in pairwise(order):
        apart = (sizes[one] + sizes[other]) / 2 + 1.0
        assert found[other] - found[one] >= apart - 1e-9
    for at, size in zip(found, sizes, strict=True):
        assert at - size / 2 >= -1e-9
        assert at + size / 2 <= 200 + 1e-9


def test_what_has_room_stays_where_it_is() -> None:
    """Nothing moves without need, and two that meet give way alike."""
    assert spread_apart([10.0, 50.0], [8.0, 8.0], 0.0, 100.0) == (10.0, 50.0)
    assert spread_apart([50.0, 50.0], [8.0, 8.0], 0.0, 100.0) == (46.0, 54.0)
    assert spread_apart([99.0, 98.0], [8.0, 8.0], 0.0, 100.0) == (96.0, 88.0)


def test_too_little_room_runs_over() -> None:
    """Rather past the end than over one another."""
    assert spread_apart([1.0, 2.0], [8.0, 8.0], 0.0, 10.0) == (4.0, 12.0)


def test_boxes() -> None:
    """Touching is not meeting."""
    one = Box(0, 0, 10, 10)
    assert one.meets(Box(9, 9, 20, 20))
    assert not one.meets(Box(10, 0, 20, 10))
