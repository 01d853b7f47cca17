"""The drawing as PNG."""

from __future__ import annotations

import io
import subprocess
import sys

import pytest
from PIL import Image

from consult.picture import steps, svg
from consult.picture.svg_png import plain, png
from consult.picture.svg_shapes import Circle, Line, Polygon, Text
from tests.picture.scenes import drawn


def opened(data: bytes) -> Image.Image:
    return Image.open(io.BytesIO(data))


def inked(picture: Image.Image, box: tuple[int, int, int, int]) -> float:
    """Share of a box that is dark."""
    dots = picture.convert("L").crop(box).tobytes()
    return sum(dot < 128 for dot in dots) / len(dots)


def test_size_and_resolution() -> None:
    """As many dots as the mm come to, and the file says how many make an inch."""
    sheet = svg.sheet(drawn(), "both")
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
    assert plain(text) == written


@pytest.mark.parametrize("dpi", [0, -10, 1_000_000])
def test_impossible_resolutions_are_refused(dpi: float) -> None:
    """Rather than fill the memory."""
    with pytest.raises(ValueError, match="dots per inch"):
        png((), (170, 150), dpi)


def test_every_step_can_be_a_picture() -> None:
    """None is empty, and the same shapes give the same bytes."""
    for topic in steps.TOPICS:
        sheet = steps.sheet(topic)
        assert sheet is not None
        data = png(sheet.shapes, sheet.size, 60)
        assert data == png(sheet.shapes, sheet.size, 60)
        assert inked(opened(data), (5, 5, 135, 100)) > 0.01


def test_pillow_is_loaded_only_when_asked_for() -> None:
    """Drawing SVG does not load it."""
    said = "import sys, consult.picture.svg, consult.picture.svg_png; print('PIL' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", said], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
