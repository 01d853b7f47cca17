"""Screen, standing desk, and armrests that meet the desk."""

from __future__ import annotations

import math

import pytest

from consult.fit.assess import assess
from consult.fit.workplace import Desk, DeskKind, Lenses, Workplace
from tests.fit.bodies import body

LEGS = 425 * math.cos(math.radians(5))


@pytest.mark.parametrize(
    ("lenses", "lower"), [(None, 0), ("none", 0), ("single", 0), ("varifocal", 50)]
)
def test_screen_top(lenses: Lenses | None, lower: float) -> None:
    """At the eyes or a little below, and lower for lenses that read through the lower half."""
    screen = assess(body(), Workplace(heel=25, lenses=lenses)).requirements["screen_top"]
    eyes = LEGS + 745 - lower
    assert (screen.low, screen.target, screen.high) == pytest.approx((eyes - 100, eyes, eyes))
    assert "slump" in screen.reason


def test_screen_rises_with_a_raised_seat() -> None:
    """A seat raised for the desk lifts the eyes with it."""
    fit = assess(body(), Workplace(Desk("fixed", 720), heel=25))
    assert fit.requirements["screen_top"].target == pytest.approx(485 + 745)


def test_standing_desk() -> None:
    """The elbow stands as much higher as the person does."""
    fit = assess(body(), Workplace(Desk("adjustable", highest=1250), heel=25))
    desk = fit.requirements["standing_desk_height"]
    elbow = 1640 - 855 + 235 + 25
    assert (desk.low, desk.target, desk.high) == (elbow - 60, elbow - 20, elbow)
    assert desk.sd == pytest.approx(10 * math.sqrt(3))
    assert not fit.notes


@pytest.mark.parametrize(
    ("kind", "offered"), [("adjustable", True), ("none", True), ("fixed", False), (None, False)]
)
def test_standing_only_where_a_desk_may_rise(kind: DeskKind | None, offered: bool) -> None:
    """Nobody is told to stand at a fixed desk."""
    fit = assess(body(), Workplace(Desk(kind)))
    assert ("standing_desk_height" in fit.requirements) is offered


@pytest.mark.parametrize(("highest", "said"), [(984, True), (986, False), (None, False)])
def test_desk_that_stays_low(highest: float | None, said: bool) -> None:
    """A desk that does not reach the standing band is named, with the amount."""
    fit = assess(body(), Workplace(Desk("adjustable", highest=highest), heel=25))
    found = [note for note in fit.notes if note.name == "desk_stays_low_standing"]
    assert bool(found) is said
    if found and highest:
        assert found[0].say.lengths["amount"] == pytest.approx(1025 - highest)


@pytest.mark.parametrize(
    ("desk", "close", "meet"),
    [
        pytest.param(Desk("fixed", 640, 30), True, True, id="close to a desk that suits"),
        pytest.param(Desk("fixed", 640, 30), False, False, id="the caller sits back"),
        pytest.param(Desk("fixed", 640, 30), None, None, id="not said how close"),
        pytest.param(Desk("fixed", 658, 15), True, False, id="arms pass just below"),
        pytest.param(Desk("fixed", 658), True, True, id="thickness taken as a plain board"),
        pytest.param(Desk("adjustable"), True, True, id="set for the elbows"),
        pytest.param(Desk("none"), True, None, id="no desk to meet"),
        pytest.param(Desk(), True, None, id="desk not known"),
        pytest.param(Desk("fixed"), True, None, id="height not known"),
    ],
)
def test_arms_meet_desk(desk: Desk, close: bool | None, meet: bool | None) -> None:
    """Arms meet the desk when even the lowest useful setting stands above its underside."""
    fit = assess(body(), Workplace(desk, heel=25, close_to_desk=close))
    assert fit.quantities.get("arms_meet_desk") is meet
    assert ("arms_meet_desk" in {note.name for note in fit.notes}) is bool(meet)


def test_assumed_thickness_is_said() -> None:
    """A board thickness taken for granted is named in the note on the arms."""
    known, assumed = (
        next(
            note.say.text("metric")
            for note in assess(
                body(), Workplace(Desk("fixed", 640, thickness), close_to_desk=True)
            ).notes
            if note.name == "arms_meet_desk"
        )
        for thickness in (30, None)
    )
    assert "out of its way" in known
    assert "thick" not in known
    assert "2.5 cm thick" in assumed
