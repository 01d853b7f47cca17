"""The small drawings of the steps."""

from __future__ import annotations

import ast
import inspect

import pytest

from consult.call.state import state
from consult.picture.steps import STEP_STUDIES
from consult.picture.svg_shapes import Circle, Line, Polygon, svg_text
from consult.summary import setup
from consult.summary.setup import setup_steps
from tests.long import every_case
from tests.picture.svg_read import SPACE, read
from tests.ui.desk import demo, demo_basis


def topics_of_setup() -> set[str]:
    """Every topic written in the set-up steps: the first word given to a step."""
    calls = [
        one for one in ast.walk(ast.parse(inspect.getsource(setup))) if isinstance(one, ast.Call)
    ]
    named = [one for one in calls if ast.unparse(one.func) in ("self._step", "_plain", "SetupStep")]
    words = [word for one in named for word in one.args[:2] if isinstance(word, ast.Constant)]
    return {
        word.value for word in words if isinstance(word.value, str) and " " not in word.value
    } - {
        *("armrest_height", "desk_height", "desk_raise", "footrest_height", "screen_top"),
    }


def test_every_step_has_a_drawing() -> None:
    """No step of the set-up is without, and none is drawn that is no step."""
    assert set(STEP_STUDIES) == topics_of_setup()


@pytest.mark.parametrize("name", ["01", "02", "06"])
def test_the_steps_of_a_call_have_theirs(name: str) -> None:
    """Whatever a call comes to, each of its steps can be drawn."""
    for step in setup_steps(state(demo_basis(), demo(name).call), ()):
        assert step.topic in STEP_STUDIES


@every_case(STEP_STUDIES)
def test_a_drawing_is_small_and_says_what_it_shows(topic: str) -> None:
    """60 x 45 mm, one picture with title and description, whose ids take the prefix."""
    drawing = STEP_STUDIES[topic].svg(prefix=f"{topic}-")
    root = read(drawing)
    assert (root.get("width"), root.get("height")) == ("60mm", "45mm")
    assert root.get("aria-labelledby") == f"{topic}-title {topic}-desc"
    title, desc = root.find(f"{SPACE}title"), root.find(f"{SPACE}desc")
    assert title is not None
    assert desc is not None
    assert (desc.text or "").endswith(".")
    assert drawing == STEP_STUDIES[topic].svg(prefix=f"{topic}-")


@every_case(STEP_STUDIES)
def test_nothing_reaches_over_the_border(topic: str) -> None:
    """All points lie on the paper, so no writer has to cut anything."""
    sheet = STEP_STUDIES[topic].sheet()
    for shape in sheet.shapes:
        if isinstance(shape, Circle):
            shape = Polygon((shape.middle,), "ink")
        assert isinstance(shape, Line | Polygon)
        for x, y in shape.points:
            assert 0 <= x <= 60
            assert 0 <= y <= 45
    assert STEP_STUDIES[topic].svg() != svg_text((), sheet.size, title="", description="")


def test_no_two_are_alike() -> None:
    """Ten steps, ten drawings, ten titles."""
    drawn = [STEP_STUDIES[topic].sheet() for topic in STEP_STUDIES]
    assert len({one.shapes for one in drawn}) == len(STEP_STUDIES)
