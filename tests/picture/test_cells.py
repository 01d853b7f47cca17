"""The side view in cells: to scale, every sign shown, never wider than asked."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from consult.body.estimate import Estimate
from consult.fit.workplace import Desk, Workplace
from consult.picture.cells import SIGNS, CellPicture, cells_legend
from consult.picture.model import Scene
from tests.fit.test_settings import HIGH
from tests.long import examples
from tests.picture.scenes import SHORT, TALL, drawn, people, workplaces

HIGH_DESK = Workplace(Desk("fixed", 760.0, 25.0))
CROWDED = Workplace(Desk("fixed", 720.0, 120.0), heel=0.0, close_to_desk=True)
SIZES = [(30, 14), (44, 18), (60, 28), (120, 60)]
_CASTORS_APART = 2 * 215
"""mm between the middles of the outer castors."""


def rows_of(picture: CellPicture, part: str) -> list[int]:
    return [at for at, row in enumerate(picture.part) if part in row]


def cells_of(picture: CellPicture, text: str) -> list[tuple[int, int]]:
    return [
        (at, column)
        for at, row in enumerate(picture.text)
        for column, letter in enumerate(row)
        if letter == text
    ]


@pytest.mark.parametrize("size", SIZES)
def test_to_scale(size: tuple[int, int]) -> None:
    """Heights and widths measured in the picture are those of the scene, within a cell.

    The mm of a cell are taken from the desk's height; the other lengths are then held to it.
    """
    found = drawn(HIGH_DESK)
    assert found.screen is not None
    assert found.footrest is not None
    rows = CellPicture(found, *size)
    floor = size[1] - 1
    desk = min(row for row, _ in cells_of(rows, "═"))
    # The desk top is the upper edge of its row, or at most a row's height below it.
    least, most = found.table.top / (floor - desk), found.table.top / max(floor - desk - 1, 1)

    def within(cells: float, mm: float, cell_mm: float = 1.0) -> bool:
        return mm / (most * cell_mm) - 1 <= cells <= mm / (least * cell_mm) + 1

    screen = min(row for row, _ in cells_of(rows, "┃"))
    assert within(floor - screen, found.screen.top)
    assert within(floor - min(rows_of(rows, "footrest")), found.footrest.top)
    head = min(rows_of(rows, "body"))
    assert within(floor - head, found.joints.head[1] + found.joints.head_radius)
    wheels = [column for _, column in cells_of(rows, "●")]
    assert within(max(wheels) - min(wheels), _CASTORS_APART, 1 / 2)
    table = [column for row, column in cells_of(rows, "═") if row == desk]
    wide = max(table) - min(table)
    assert within(wide, found.table.far - found.table.edge, 1 / 2)


def test_as_large_as_fits() -> None:
    """A larger picture leaves no spare row above, or no spare column beside."""
    found = drawn(HIGH_DESK)
    for size in SIZES:
        parts = CellPicture(found, *size).part
        empty_top = sum(set(row) == {"empty"} for row in parts[:-1])
        columns = [set(column) for column in zip(*parts[:-1], strict=True)]
        empty_beside = sum(column == {"empty"} for column in columns)
        assert min(empty_top - 1, empty_beside - 5) <= 0


@pytest.mark.parametrize("size", SIZES)
def test_from_top_to_bottom(size: tuple[int, int]) -> None:
    """Head above the desk, desk below the screen, footrest below the desk, floor last."""
    rows = CellPicture(drawn(HIGH_DESK), *size)
    head, desk, rest = (min(rows_of(rows, part)) for part in ("body", "desk", "footrest"))
    assert head < desk < rest < size[1] - 1
    assert max(rows_of(rows, "screen")) < desk
    assert rows_of(rows, "floor") == [size[1] - 1]
    assert len(set(rows.rows[-1])) == 1


def test_the_seat_is_between_desk_and_footrest() -> None:
    """Chair cells between back and lift: the seat's surface lies where it is set."""
    found = drawn(HIGH_DESK)
    rows = CellPicture(found, 60, 28)
    parts = rows.part
    # The widest row of chair below the desk, and above the base, is the seat.
    desk, floor = min(rows_of(rows, "desk")), 27
    wide = {row: parts[row].count("chair") for row in range(desk + 1, floor - 4)}
    seat = min(row for row, cells in wide.items() if cells > 12)
    per_row = found.table.top / (floor - desk)
    assert (floor - seat) * per_row == pytest.approx(found.chair.seat, abs=1.5 * per_row)


@pytest.mark.parametrize("size", SIZES)
def test_every_problem_has_its_sign(size: tuple[int, int]) -> None:
    """Each sign stands in the picture exactly once, and in the legend before its words."""
    found = drawn(CROWDED, SHORT, *HIGH)
    assert len(found.problems) >= 4
    text = "".join(CellPicture(found, *size).rows)
    told = cells_legend(found, "metric")
    for problem, line in zip(found.problems, told[:-1], strict=True):
        assert text.count(SIGNS[problem.mark]) == 1
        assert line == f"{SIGNS[problem.mark]} {problem.text.text('metric')}"


def test_a_sign_stands_at_its_problem() -> None:
    """The sign of a desk too high lies on the desk; of a seat that cannot go lower, on the lift."""
    rows = CellPicture(drawn(HIGH_DESK), 60, 28)
    ((row, column),) = cells_of(rows, "①")
    desk = min(rows_of(rows, "desk"))
    assert row == desk
    assert rows.part[row][column - 1] == rows.part[row][column + 1] == "desk"


def test_no_sign_without_a_problem() -> None:
    """A picture of a good set-up has no signs and says so."""
    found = drawn()
    assert not rows_of(CellPicture(found, 60, 28), "mark")
    assert cells_legend(found, "metric")[0] == "Nothing in the way."


def test_the_last_line_of_the_legend_is_the_scale() -> None:
    """It says what the picture is drawn from, and that a desk not bought is only wanted."""
    assert cells_legend(drawn(HIGH_DESK), "metric")[-1].endswith("desk 76 cm.")
    assert " wanted desk " in cells_legend(drawn(), "imperial")[-1]


def test_parts_are_told_apart_without_colour() -> None:
    """No character stands for two of body, chair, desk, footrest, screen and floor."""
    seen: dict[str, set[str]] = {}
    for found in (drawn(HIGH_DESK), drawn(CROWDED, TALL)):
        for size in SIZES:
            picture = CellPicture(found, *size)
            for parts, row in zip(picture.part, picture.text, strict=True):
                for part, letter in zip(map(str, parts), row, strict=True):
                    if part not in ("mark", "empty"):
                        seen.setdefault(part, set()).add(letter)
    assert len(seen) == 6
    for part, letters in seen.items():
        others = set[str]().union(*(seen[other] for other in seen if other != part))
        assert not letters & others, part


def test_every_size() -> None:
    """From one cell to a whole screen: exact width and height, whatever the shape."""
    pictures = (drawn(HIGH_DESK), drawn(CROWDED, SHORT, *HIGH))
    sizes = {(w, h) for w in range(1, 14) for h in range(1, 14)}
    sizes |= {(w, h) for w in range(1, 121, 17) for h in range(1, 61, 7)} | {(120, 60)}
    for width, height in sizes:
        for found in pictures:
            rows = CellPicture(found, width, height).rows
            assert [len(line) for line in rows] == [width] * height


def test_as_many_signs_as_cells() -> None:
    """Signs crowd a tiny picture but are never written over each other."""
    found = drawn(CROWDED, SHORT, *HIGH)
    for width, height in [(1, 1), (2, 1), (3, 2), (2, 4)]:
        text = "".join(CellPicture(found, width, height).rows)
        shown = sum(sign in text for sign in SIGNS.values())
        assert shown == min(width * height, len(found.problems))


@given(people(), workplaces(), st.integers(1, 120), st.integers(1, 60))
@settings(max_examples=examples(60), deadline=None)
def test_any_person_at_any_desk(
    person: Estimate, workplace: Workplace, width: int, height: int
) -> None:
    """Exact width, and every sign where there is room for all."""
    found: Scene = drawn(workplace, person, *HIGH)
    rows = CellPicture(found, width, height)
    assert [len(line) for line in rows.rows] == [width] * height
    text = "".join(rows.rows)
    if width >= 30 and height >= 14:
        assert all(SIGNS[one.mark] in text for one in found.problems)


@given(people(), workplaces(), st.sampled_from(SIZES))
@settings(max_examples=examples(30), deadline=None)
def test_the_desk_is_where_it_is(
    person: Estimate, workplace: Workplace, size: tuple[int, int]
) -> None:
    """Desk and head heights in the picture go together as those of the scene do."""
    found = drawn(workplace, person)
    rows = CellPicture(found, *size)
    floor = size[1] - 1
    desk = floor - min(rows_of(rows, "desk"))
    top = floor - min(rows_of(rows, "body"))
    crown = max(found.joints.head[1] + found.joints.head_radius, found.joints.shoulder[1])
    # Rows times the mm of a row; a row's uncertainty either way in both.
    assert desk - 1 <= math.ceil(found.table.top * (top + 1) / crown)
    assert desk + 1 >= math.floor(found.table.top * (top - 1) / crown)
