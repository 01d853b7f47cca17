"""The plain shapes that every drawing is made of."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from consult.picture.svg_furniture import limb
from consult.picture.svg_shapes import (
    Circle,
    Line,
    Polygon,
    SvgPoint,
    Text,
    View,
    clip_shape,
    hatch,
    silhouette,
    smooth,
)

SQUARE = ((0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0))
_AT = st.tuples(st.floats(-30, 30), st.floats(-30, 30))


@pytest.mark.parametrize(("degrees", "inked"), [(0, 50.0), (90, 50.0), (45, 50.0)])
def test_hatching_covers_evenly(degrees: float, inked: float) -> None:
    """Lines 2 mm apart over 100 mm² come to about 50 mm, whichever way they lean."""
    lines = list(hatch(SQUARE, degrees, 2.0, 0.1))
    assert sum(math.dist(*line.points) for line in lines) == pytest.approx(inked, rel=0.21)


@given(st.lists(_AT, min_size=3, max_size=8), st.floats(0, 180))
def test_hatching_stays_inside(points: list[SvgPoint], degrees: float) -> None:
    """Whatever the outline, every line ends within its bounds."""
    for line in hatch(points, degrees, 1.5, 0.1):
        for x, y in line.points:
            assert min(p[0] for p in points) - 1e-6 <= x <= max(p[0] for p in points) + 1e-6
            assert min(p[1] for p in points) - 1e-6 <= y <= max(p[1] for p in points) + 1e-6


@given(st.lists(_AT, min_size=2, max_size=8), st.booleans())
def test_what_is_cut_lies_within(points: list[SvgPoint], closed: bool) -> None:
    """Lines and outlines cut to a rectangle have no point outside it."""
    shape = Polygon(tuple(points), "ink") if closed else Line(tuple(points), 0.3)
    for piece in clip_shape(shape, (0.0, 0.0), (10.0, 10.0)):
        assert isinstance(piece, Line | Polygon)
        for x, y in piece.points:
            assert -1e-6 <= x <= 10 + 1e-6
            assert -1e-6 <= y <= 10 + 1e-6


def test_cutting() -> None:
    """A line is cut where it leaves, a square in two, and what is elsewhere is dropped."""
    (line,) = clip_shape(Line(((-5, 5), (15, 5)), 0.3), (0, 0), (10, 10))
    assert isinstance(line, Line)
    assert line.points == ((0, 5), (10, 5))
    (half,) = clip_shape(Polygon(SQUARE, "ink"), (5, -5), (20, 20))
    assert isinstance(half, Polygon)
    assert {x for x, _ in half.points} == {5, 10}
    assert not list(clip_shape(Circle((50, 50), 3, "ink"), (0, 0), (10, 10)))
    assert not list(clip_shape(Text((50, 50), "far", 3), (0, 0), (10, 10)))
    assert list(clip_shape(Text((5, 5), "near", 3), (0, 0), (10, 10)))


def test_a_view_turns_the_world_over() -> None:
    """Up in the world is up on paper, where y runs down."""
    view = View(0.1, 20.0, 100.0)
    assert view.at((50.0, 300.0)) == (25.0, 70.0)


def test_a_silhouette_has_one_line_around_it() -> None:
    """All the ink first, then all the white over it."""
    found = list(silhouette([SQUARE, SQUARE], 0.4))
    assert [one.fill for one in found] == ["ink", "ink", "paper", "paper"]
    assert [one.weight for one in found] == [0.8, 0.8, 0.0, 0.0]


def test_a_smooth_curve_keeps_its_points() -> None:
    """The curve runs through every point given, open or closed."""
    assert set(SQUARE) <= set(smooth(SQUARE))
    assert smooth(SQUARE, closed=False)[-1] == SQUARE[-1]


def test_a_limb_is_as_thick_as_it_says() -> None:
    """Its ends are round about the joints; one within the other is the larger alone."""
    points = limb((0, 0), (100, 0), 20, 10)
    assert min(x for x, _ in points) == pytest.approx(-20, abs=0.3)
    assert max(x for x, _ in points) == pytest.approx(110, abs=0.2)
    assert max(y for _, y in points) == pytest.approx(20, abs=0.3)
    inner = limb((0, 0), (1, 0), 20, 10)
    assert max(math.hypot(x, y) for x, y in inner) == pytest.approx(20)
