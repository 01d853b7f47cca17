"""Shapes as dots, two wide and four high in a cell."""

from __future__ import annotations

import io
import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from consult.picture.measures import MEASURES
from consult.picture.raster import ACROSS, DOWN, Dots, Grid, plain_colour, png, sheet_rows
from consult.picture.steps import STEP_STUDIES
from consult.picture.svg_shapes import Circle, Line, Polygon, Sheet, Text
from consult.picture.svg_side import side_sheet
from tests.long import every_case
from tests.picture.scenes import drawn

GRID = Grid(columns=10, rows=5, column_mm=20.0, row_mm=40.0, left=-20.0)


def box(left: float, low: float, right: float, high: float) -> Dots:
    dots = Dots(GRID)
    dots.fill([(left, low), (right, low), (right, high), (left, high)])
    return dots


def count(dots: Dots) -> int:
    return sum(line.bit_count() for line in dots.lines)


def test_a_box_covers_its_area() -> None:
    """80 by 60 mm are 8 by 6 dots of 10 mm, at their place above the floor."""
    dots = box(0, 40, 80, 100)
    assert count(dots) == 48
    assert [at for at, line in enumerate(dots.lines) if line] == list(range(10, 16))
    assert dots.cells(2) == dict.fromkeys((1, 2, 3, 4), 0b11110000)
    assert dots.cells(3) == dict.fromkeys((1, 2, 3, 4), 0b11111111)
    assert dots.cells(4) == {}


def test_rows_and_columns() -> None:
    """A surface on the line between two rows belongs to the lower one; x counts from the left."""
    assert [GRID.row_below(y) for y in (200, 199, 160, 1, 0)] == [0, 0, 1, 4, 5]
    assert [GRID.row(y) for y in (0, 39, 40, 199)] == [4, 4, 3, 0]
    assert [GRID.column(x) for x in (-20, -1, 0, 179)] == [0, 0, 1, 9]


@pytest.mark.parametrize("thin", [0.0, 0.01, 3.0])
def test_thin_things_leave_a_dot(thin: float) -> None:
    """However thin, a line is seen along all its length."""
    assert count(box(0, 101, 80, 101 + thin)) == 8
    assert count(box(1, 40, 1 + thin, 100)) == 6


def test_carving_leaves_an_edge() -> None:
    """Dots beside and below the other part go; those above it, and the other's own, stay."""
    body, arm = box(0, 0, 100, 100), box(40, 40, 60, 60)
    body.carve(arm)
    # Two lines of two dots with one on either side, and two below.
    assert count(body) == 100 - 2 * 2 - 2
    body.join(arm)
    assert count(body) == 100 - 2 * 2 - 2
    assert body.lines[13] & 1 << 6
    assert not body.lines[16] & 1 << 6


def point() -> st.SearchStrategy[tuple[float, float]]:
    return st.tuples(st.floats(-1e6, 1e6), st.floats(-1e6, 1e6))


@given(st.lists(point(), min_size=3, max_size=8))
def test_nothing_leaves_the_grid(points: list[tuple[float, float]]) -> None:
    """Any outline, far outside or folded over, covers dots of the grid or none."""
    dots = Dots(GRID)
    dots.fill(points)
    assert len(dots.lines) == GRID.rows * DOWN
    assert all(0 <= line < 1 << GRID.columns * ACROSS for line in dots.lines)
    for row in range(GRID.rows):
        assert all(0 <= column < GRID.columns for column in dots.cells(row))


# -- A drawing in the cells of a terminal ---------------------------------------------------------

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


@every_case(MEASURES)
def test_every_measure_says_where_the_tape_starts_and_ends(measure: str) -> None:
    """In the width of half a small terminal, the two words can be read."""
    drawn = "\n".join(sheet_rows(MEASURES[measure].sheet(), 40))
    assert "start" in drawn
    assert "end" in drawn
    assert max(map(len, drawn.splitlines())) == 40
    assert len(drawn.splitlines()) == 15


# -- the drawing as PNG ---------------------------------------------------------------------------


def opened(data: bytes) -> Image.Image:
    return Image.open(io.BytesIO(data))


def inked(picture: Image.Image, box: tuple[int, int, int, int]) -> float:
    """Share of a box that is dark."""
    dots = picture.convert("L").crop(box).tobytes()
    return sum(dot < 128 for dot in dots) / len(dots)


def test_size_and_resolution() -> None:
    """As many dots as the mm come to, and the file says how many make an inch."""
    sheet = side_sheet(drawn(), "both")
    picture = opened(png(sheet.shapes, sheet.size, 100))
    assert picture.format == "PNG"
    assert picture.size[0] == 670
    assert picture.info["dpi"] == pytest.approx((100, 100), abs=0.1)


def test_shapes_stand_where_they_should() -> None:
    """At 254 dots to the inch a mm is ten dots."""
    shapes = (
        Polygon(((1, 1), (5, 1), (5, 5), (1, 5)), "ink"),
        Line(((10, 3), (20, 3)), 1.0),
        Circle((15, 15), 3, "paper", 0.5),
        Text((1, 25), "M", 5.0, bold=True),
    )
    picture = opened(png(shapes, (30, 30), 254))
    assert inked(picture, (11, 11, 49, 49)) == 1
    assert inked(picture, (100, 26, 200, 34)) == 1
    assert inked(picture, (110, 40, 200, 100)) == 0
    assert inked(picture, (140, 140, 160, 160)) == 0
    assert inked(picture, (120, 148, 122, 152)) == 1
    assert inked(picture, (10, 215, 50, 250)) > 0.2


def test_dashes_have_gaps() -> None:
    """A dashed line is inked for its share, also around a corner."""
    line = Line(((0, 5), (20, 5), (20, 25)), 1.0, (2.0, 2.0))
    picture = opened(png([line], (30, 30), 254))
    assert 0.4 < inked(picture, (0, 47, 200, 53)) < 0.75
    assert 0.4 < inked(picture, (197, 60, 203, 250)) < 0.75


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("37.5 cm (14¾ in)", "37.5 cm (14 3/4 in)"),
        ("¼ in", "1/4 in"),
        ("−2 – café", "-2 - cafe"),
        ("cafe\u0301", "cafe"),
        ("椅子 🪑", "?? ?"),
    ],
)
def test_what_the_font_lacks_is_written_plainly(text: str, written: str) -> None:
    """A fraction is never read as another number."""
    assert plain_colour(text) == written


def test_every_step_can_be_a_picture() -> None:
    """None is empty, and the same shapes give the same bytes."""
    for topic in STEP_STUDIES:
        sheet = STEP_STUDIES[topic].sheet()
        data = png(sheet.shapes, sheet.size, 60)
        assert data == png(sheet.shapes, sheet.size, 60)
        assert inked(opened(data), (5, 5, 135, 100)) > 0.01


def test_pillow_is_loaded_only_when_asked_for() -> None:
    """Drawing SVG does not load it."""
    said = "import sys, consult.picture.svg, consult.picture.raster; print('PIL' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", said], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
