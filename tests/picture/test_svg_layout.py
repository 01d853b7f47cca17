"""Nothing written covers anything else written, whoever sits wherever."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from consult.body.estimate import Estimate
from consult.fit.assess import assess
from consult.fit.workplace import Present, Workplace
from consult.picture.labels import Box
from consult.picture.model import Misfit
from consult.picture.scene import scene
from consult.picture.svg import pair
from consult.picture.svg_shapes import Circle, Line, Sheet
from consult.picture.svg_side import side_sheet
from consult.sentence import Sentence
from consult.summary.pictures import scene_now
from consult.units import System
from tests.long import examples
from tests.picture.scenes import drawn, mm, people, workplaces
from tests.picture.svg_read import HAIR, boxes, inside, overlaps

SYSTEMS = st.sampled_from(["metric", "imperial", "both"])


def check(written: Sheet) -> None:
    """All texts apart and on the paper, no sign on a text that is not its own, no line through."""
    found = boxes(written.shapes)
    assert not list(overlaps(found))
    paper = Box(0.0, 0.0, *written.size)
    assert all(inside(one, paper) for one in found)
    for shape in written.shapes:
        if isinstance(shape, Circle) and shape.part == "sign" and shape.fill == "paper":
            (x, y), r = shape.middle, shape.radius - HAIR
            own = Box(x - r, y - r, x + r, y + r)
            assert inside(own, paper)
            assert sum(own.meets(one) for one in found) == 1
        if isinstance(shape, Line) and shape.part.startswith("dimension"):
            (x, y), (to_x, to_y) = shape.points
            line = Box(min(x, to_x), min(y, to_y), max(x, to_x), max(y, to_y))
            assert not any(line.meets(one) for one in found)


@settings(max_examples=examples(120), deadline=None)
@given(people(), workplaces(), SYSTEMS, st.floats(40, 400))
def test_labels_never_overlap(
    person: Estimate, workplace: Workplace, system: System, width: float
) -> None:
    """Any body at any desk, in any units, at any width."""
    found = scene(person, workplace, assess(person, workplace), None)
    assume(found is not None)
    assert found is not None
    check(side_sheet(found, system, width_mm=width))


def test_signs_for_one_spot_stand_apart() -> None:
    """Seven problems in one place have seven signs that can all be read."""
    one = drawn()
    crowd = tuple(Misfit(str(n), (300.0, 500.0), "made_up", Sentence("Here.")) for n in range(1, 8))
    for width in (40.0, 170.0):
        found = side_sheet(replace(one, problems=crowd), "both", width_mm=width)
        check(found)
        signs = [s for s in found.shapes if isinstance(s, Circle) and s.part == "sign"]
        big = [s for s in signs if s.fill == "paper"]
        assert len(big) == 14
        for first, second in combinations(big, 2):
            assert math.dist(first.middle, second.middle) > 2 * first.radius


_MAYBE = st.none() | mm(50, 900)


@settings(max_examples=examples(80), deadline=None)
@given(people(), workplaces(), SYSTEMS, st.tuples(_MAYBE, _MAYBE, _MAYBE))
def test_letters_and_tables_never_overlap(
    person: Estimate,
    workplace: Workplace,
    system: System,
    present: tuple[float | None, float | None, float | None],
) -> None:
    """Two pictures side by side, whatever the chair of today."""
    fit = assess(person, workplace)
    after = scene(person, workplace, fit, None)
    assume(after is not None)
    assert after is not None
    now = scene_now(person, workplace, fit, after, Present(*present))
    check(pair(now.scene, after, system, unknown=now.unknown))
