"""Scenes for the tests: ordinary people at ordinary desks, and any people at any desk."""

from __future__ import annotations

from hypothesis import strategies as st

from consult.body.estimate import Estimate
from consult.fit.assess import assess
from consult.fit.workplace import Desk, Workplace
from consult.picture.model import Scene
from consult.picture.scene import scene
from consult.picture.svg import SIDE_TITLE, described
from consult.picture.svg_shapes import svg_text
from consult.picture.svg_side import side_sheet
from consult.units import System
from tests.fit.bodies import body
from tests.fit.test_settings import ready

ANYWHERE = Workplace()
SHORT = body(
    stature=1480.0,
    popliteal_height=350.0,
    buttock_popliteal_length=430.0,
    elbow_rest_height=215.0,
    eye_height_sitting=680.0,
    sitting_height=785.0,
)
TALL = body(
    stature=1980.0,
    popliteal_height=510.0,
    buttock_popliteal_length=570.0,
    elbow_rest_height=270.0,
    eye_height_sitting=890.0,
    sitting_height=1000.0,
)


def drawn(workplace: Workplace = ANYWHERE, person: Estimate | None = None, *codes: str) -> Scene:
    """The ordinary body, or another, on the chair the fit asks for, or on one of these parts."""
    person = person or body()
    fit = assess(person, workplace)
    found = scene(person, workplace, fit, ready(fit, *codes) if codes else None)
    assert found is not None
    return found


def side_view(
    found: Scene,
    system: System = "metric",
    *,
    width: float = 170.0,
    title: str = SIDE_TITLE,
    said: str | None = None,
    prefix: str = "",
) -> str:
    """The side view as the documents of a call have it."""
    paper, said = side_sheet(found, system, width_mm=width), said or described(found, system)
    return svg_text(paper.shapes, paper.size, title=title, description=said, prefix=prefix)


def problem_names(found: Scene) -> set[str]:
    return {one.name for one in found.problems}


def mm(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False)


@st.composite
def people(draw: st.DrawFn) -> Estimate:
    """Bodies from a child's to a giant's, their dimensions independent of each other."""
    return body(
        stature=draw(mm(1200, 2300)),
        popliteal_height=draw(mm(250, 650)),
        buttock_popliteal_length=draw(mm(300, 700)),
        elbow_rest_height=draw(mm(100, 350)),
        thigh_clearance=draw(mm(80, 300)),
        eye_height_sitting=draw(mm(500, 1000)),
        sitting_height=draw(mm(600, 1100)),
    )


@st.composite
def workplaces(draw: st.DrawFn) -> Workplace:
    """Any desk, known or not."""
    maybe = st.none() | mm(400, 1300)
    desk = Desk(
        kind=draw(st.sampled_from([None, "none", "fixed", "adjustable"])),
        height=draw(maybe),
        thickness=draw(st.none() | mm(5, 300)),
        lowest=draw(maybe),
        highest=draw(maybe),
    )
    return Workplace(
        desk,
        heel=draw(st.none() | mm(0, 120)),
        close_to_desk=draw(st.sampled_from([None, True, False])),
        lenses=draw(st.sampled_from([None, "none", "single", "varifocal"])),
    )
