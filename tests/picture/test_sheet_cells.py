"""A drawing in the cells of a terminal."""

from __future__ import annotations

import pytest

from consult.picture import measures
from consult.picture.sheet_cells import sheet_rows
from consult.picture.svg_shapes import Line, Polygon, Sheet, Text

BLANK = 0x2800


def rows(*shapes: Line | Polygon | Text) -> tuple[str, ...]:
    """A drawing of 8 x 8 mm in 4 cells across: a dot for each mm."""
    return sheet_rows(Sheet(shapes, (8.0, 8.0), 1.0), 4)


def test_a_dot_for_each_piece_of_ink() -> None:
    """Dots stand where the ink is: a square over one cell fills it, and only it."""
    assert rows(Polygon(((2.2, 0.2), (3.7, 0.2), (3.7, 3.7), (2.2, 3.7)), "ink")) == (" \u28ff", "")


def test_a_line_thinner_than_a_dot_shows() -> None:
    """No line of a drawing is lost, however thin."""
    (top, bottom) = rows(Line(((0.5, 0.0), (0.5, 8.0)), 0.35))
    assert top == bottom == "\u2847"


@pytest.mark.parametrize(("anchor", "shown"), [("start", "  ab"), ("end", "ab"), ("middle", " ab")])
def test_words_are_letters(anchor: str, shown: str) -> None:
    """A word stands in its row, at, before or around its place."""
    text = Text((4.0, 3.0), "ab", 1.0, anchor)  # type: ignore[arg-type]
    assert rows(text) == (shown, "")


@pytest.mark.parametrize("measure", measures.MEASURES)
def test_every_measure_says_where_the_tape_starts_and_ends(measure: str) -> None:
    """In the width of half a small terminal, the two words can be read."""
    drawn = "\n".join(sheet_rows(measures.sheet(measure), 40))
    assert "start" in drawn
    assert "end" in drawn
    assert max(map(len, drawn.splitlines())) == 40
    assert len(drawn.splitlines()) == 15
