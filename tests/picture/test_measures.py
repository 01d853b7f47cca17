"""The drawings of the measuring sheet."""

from __future__ import annotations

import pytest

from consult.picture.measures import MEASURES
from consult.picture.svg_shapes import Circle, Line, Polygon, Shape, Text
from consult.tree.model import SETS
from consult.tree.quantities import BODY_DIMENSIONS
from tests.long import every_case
from tests.picture.svg_read import SPACE, read

WIDE, HIGH = 60.0, 45.0
LETTER = 0.62
"""Width of a letter to its height, at most, in the faces of page and PDF: DejaVu Sans."""


def shapes(measure: str) -> tuple[Shape, ...]:
    """What is drawn for a measure."""
    return MEASURES[measure].sheet().shapes


def bars(measure: str) -> dict[str, Line]:
    """Where the tape starts and ends."""
    found = [one for one in shapes(measure) if isinstance(one, Line)]
    return {one.part: one for one in found if one.part.startswith("tape ")}


def box(text: Text) -> tuple[float, float, float, float]:
    """Left, top, right and bottom of a word."""
    wide = len(text.text) * LETTER * text.size
    back = {"start": 0.0, "middle": wide / 2, "end": wide}[text.anchor]
    left = text.at[0] - back
    return left, text.at[1] - 0.76 * text.size, left + wide, text.at[1]


def test_what_is_drawn() -> None:
    """Every key is a body dimension or a fact that a tree can set."""
    assert set(MEASURES) <= BODY_DIMENSIONS.keys() | SETS.keys()


@every_case(MEASURES)
def test_says_what_it_shows(measure: str) -> None:
    """A picture with a title, whose description says where the tape starts and where it ends."""
    drawn = MEASURES[measure].svg(prefix=f"{measure}-")
    root = read(drawn)
    assert root.get("aria-labelledby") == f"{measure}-title {measure}-desc"
    title, desc = root.find(f"{SPACE}title"), root.find(f"{SPACE}desc")
    assert title is not None
    assert title.text
    assert desc is not None
    assert desc.text == MEASURES[measure].description
    assert "tape starts" in desc.text
    assert " ends " in desc.text
    assert drawn == MEASURES[measure].svg(prefix=f"{measure}-")


@every_case(MEASURES)
def test_the_tape_has_two_ends_with_a_word_each(measure: str) -> None:
    """The word stands nearer to its own end than to the other."""
    ends = bars(measure)
    assert ends.keys() == {"tape start", "tape end"}
    words = {one.text: one for one in shapes(measure) if isinstance(one, Text)}
    assert {"start", "end"} <= words.keys()

    def far(word: str, end: str) -> float:
        left, top, right, bottom = box(words[word])
        (x, y), (to_x, to_y) = ends[f"tape {end}"].points
        mid_x, mid_y = (x + to_x) / 2, (y + to_y) / 2
        return max(left - mid_x, mid_x - right, 0.0) + max(top - mid_y, mid_y - bottom, 0.0)

    for word, other in (("start", "end"), ("end", "start")):
        assert far(word, word) < far(word, other)


@every_case(MEASURES)
def test_nothing_reaches_over_the_border(measure: str) -> None:
    """All points and words lie inside the frame, so no writer has to cut anything."""
    for shape in shapes(measure):
        if isinstance(shape, Text):
            left, top, right, bottom = box(shape)
            assert left > 0.4
            assert right < WIDE - 0.4
            assert top > 0.4
            assert bottom < HIGH - 0.4
            continue
        points = (shape.middle,) if isinstance(shape, Circle) else shape.points
        assert all(0 <= x <= WIDE and 0 <= y <= HIGH for x, y in points)


@pytest.mark.parametrize("measure", MEASURES)
def test_no_word_lies_on_another_or_on_the_tape(measure: str) -> None:
    """What is written can be read."""
    words = [box(one) for one in shapes(measure) if isinstance(one, Text)]
    tape = [one for one in shapes(measure) if isinstance(one, Polygon) and one.part == "tape"]
    boxes = [
        *words,
        *(
            (min(x for x, _ in one.points), min(y for _, y in one.points),
             max(x for x, _ in one.points), max(y for _, y in one.points))
            for one in tape
        ),
    ]  # fmt: skip
    assert len(tape) == 1
    for at, one in enumerate(words):
        for other in boxes[at + 1 :]:
            apart = one[2] <= other[0] or other[2] <= one[0]
            assert apart or one[3] <= other[1] or other[3] <= one[1]


def test_the_tape_is_as_long_as_the_measure() -> None:
    """The legs of the tape stand where the body has them: twice as long where it is twice."""
    long = {}
    for measure in ("popliteal_height", "buttock_popliteal_length"):
        ends = [one.points for one in bars(measure).values()]
        middles = [tuple(sum(axis) / 2 for axis in zip(*one, strict=True)) for one in ends]
        (x, y), (to_x, to_y) = middles
        long[measure] = abs(to_x - x) + abs(to_y - y)
    # Both are drawn 1 to 18, of a person with a leg of 418 mm and a thigh of 480 mm.
    assert long["popliteal_height"] == pytest.approx(418 / 18)
    assert long["buttock_popliteal_length"] == pytest.approx(480 / 18)


def test_no_two_are_alike() -> None:
    """Ten measures, ten drawings."""
    assert len({shapes(one) for one in MEASURES}) == len(MEASURES)
