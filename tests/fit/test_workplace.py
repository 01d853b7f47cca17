"""What a workplace comes to where it was told, and as it is drawn where it was not."""

from __future__ import annotations

import math

import numpy as np
import pytest

from consult.fit.assess import assess
from consult.fit.request import SEED
from consult.fit.workplace import Desk, Workplace, places
from tests.fit.bodies import body


def at(desk: Desk) -> Workplace:
    return Workplace(desk, heel=25)


def test_a_height_means_a_desk_that_stays() -> None:
    """And an end of its reach one that moves, until something else is said."""
    assert Desk(height=720.0) == Desk("fixed", 720.0)
    assert Desk(highest=1200.0) == Desk("adjustable", highest=1200.0)
    assert Desk("none", height=720.0).kind == "none"
    assert Desk(thickness=30.0).kind is None


def test_two_ends_told_the_wrong_way_round() -> None:
    """They still mean the same desk."""
    swapped = Desk("adjustable", lowest=1200.0, highest=650.0)
    assert swapped == Desk("adjustable", lowest=650.0, highest=1200.0)
    assert swapped.top == (650.0, 1200.0)


def test_workplaces_are_drawn_as_stated() -> None:
    """Shares of kinds, heights and boards come out as the constants say; told lengths stay near."""
    drawn = places(Workplace(), 4000, 1)
    assert (drawn.kind == 0).mean() == pytest.approx(0.65, abs=0.001)
    assert (drawn.kind == 1).mean() == pytest.approx(0.30, abs=0.001)
    assert np.median(drawn.lowest[drawn.kind == 0]) == pytest.approx(732, abs=2)
    assert (drawn.thickness > 60).mean() == pytest.approx(0.15, abs=0.02)
    assert drawn.thickness.min() >= 12
    assert np.isinf(drawn.lowest[drawn.kind == 2]).all()
    told = places(Workplace(Desk("fixed", 700.0, 30.0), heel=10.0), 4000, 1)
    assert told.lowest.mean() == pytest.approx(700, abs=0.5)
    assert told.lowest.std() == pytest.approx(5, abs=0.3)
    assert (told.highest == told.lowest).all()


def test_a_desk_stops_no_higher_than_it_goes() -> None:
    """What is drawn of its lowest stays below the highest that was told."""
    drawn = places(Workplace(Desk("adjustable", highest=660.0)), 2000, SEED)
    assert (drawn.lowest <= 660.0).all()
    assert (drawn.highest == 660.0).all()
    assert (drawn.lowest < 640.0).mean() == pytest.approx(0.28, abs=0.03)


@pytest.mark.parametrize(
    ("desk", "reason"),
    [
        (Desk(), "what kind it is"),
        (Desk("fixed"), "the height of the desk"),
        (Desk("adjustable"), "how low the desk goes"),
    ],
)
def test_footrest_waits_for_the_desk(desk: Desk, reason: str) -> None:
    """Without the desk nobody can say whether a footrest is needed; why is said."""
    fit = assess(body(popliteal_height=370.0), at(desk))
    assert "footrest_height" not in fit.requirements
    assert reason in fit.missing["footrest_height"]
    assert not {"footrest_needed", "desk_too_high", "desk_too_low"} & set(fit.quantities)


@pytest.mark.parametrize(
    ("desk", "legs"),
    [
        # They go down to 660: elbows of 235 want a seat of 425 there.
        pytest.param(Desk("adjustable"), 400.0, id="legs long enough for the usual desk"),
        pytest.param(Desk("adjustable", highest=630.0), 370.0, id="at its highest still low"),
        pytest.param(Desk("adjustable", lowest=630.0), 370.0, id="told"),
        pytest.param(Desk(lowest=630.0), 370.0, id="told, and so it moves"),
        pytest.param(Desk("none"), 300.0, id="bought to suit"),
    ],
)
def test_no_footrest_where_the_desk_goes_low(desk: Desk, legs: float) -> None:
    """It is said that the feet reach the floor."""
    fit = assess(body(popliteal_height=legs), at(desk))
    assert fit.requirements["footrest_height"].target == 0
    assert fit.quantities["footrest_needed"] is False
    taken = "if the desk goes as low as most do" in fit.requirements["footrest_height"].reason
    assert taken is desk.undecided


def test_the_usual_desk_decides() -> None:
    """Just where it begins to raise the seat off the legs the footrest waits for the real one."""
    reaches = (660 - 235 - 15) / math.cos(math.radians(5)) - 25
    for legs, decided in ((reaches + 1, True), (reaches - 1, False)):
        fit = assess(body(popliteal_height=legs), at(Desk("adjustable")))
        assert ("footrest_height" in fit.requirements) is decided
