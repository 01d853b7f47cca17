"""A millimetre of desk or leg never moves the advised seat by much, unless a part runs out.

Swept over desks, legs, elbows, thicknesses and ranges drawn at random; no published figure says how
smooth advice must be (common practice, no source).
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from consult.fit.assess import assess
from consult.fit.result import Fit
from consult.fit.workplace import Desk, Reach, Workplace
from tests.fit.bodies import body

JUMP = 8.0


def seat(fit: Fit) -> float:
    return fit.requirements["seat_height"].target


def drawn(number: int) -> tuple[dict[str, float], Workplace, Reach | None]:
    """A body, a workplace and what is on sale, the same for the same number."""
    dice = np.random.Generator(np.random.PCG64(number))
    measures = {
        "popliteal_height": float(dice.uniform(320, 520)),
        "elbow_rest_height": float(dice.uniform(160, 320)),
        "thigh_clearance": float(dice.uniform(110, 230)),
    }
    kind = dice.choice(["fixed", "adjustable", "none", ""])
    thickness = None if dice.random() < 0.3 else float(dice.uniform(15, 150))
    desk = Desk(kind or None, thickness=thickness)
    if kind == "fixed" and dice.random() < 0.9:
        desk = replace(desk, height=float(dice.uniform(580, 900)))
    if kind == "adjustable":
        low = float(dice.uniform(560, 760))
        desk = replace(desk, lowest=low, highest=low + float(dice.uniform(20, 600)))
    low = float(dice.uniform(340, 470))
    rest = float(dice.uniform(20, 100))
    reach = None
    if dice.random() < 0.8:
        rests = (rest, rest + float(dice.uniform(0, 120))) if dice.random() < 0.8 else None
        reach = Reach((low, low + float(dice.uniform(20, 200))), rests)
    lowest = float(dice.uniform(360, 520)) if dice.random() < 0.1 else None
    return measures, Workplace(desk, heel=25.0, lowest_seat=lowest), reach


def moved(number: int) -> tuple[Fit, Fit, Fit, Fit]:
    """As drawn; with a desk, a leg and an elbow a millimetre more."""
    measures, place, reach = drawn(number)
    desk = place.desk
    higher = {
        name: value + 1
        for name in ("height", "lowest", "highest")
        if (value := getattr(desk, name)) is not None
    }
    here = assess(body((), 10.0, **measures), place, reach)
    leg = measures | {"popliteal_height": measures["popliteal_height"] + 1}
    elbow = measures | {"elbow_rest_height": measures["elbow_rest_height"] + 1}
    return (
        here,
        assess(body((), 10.0, **measures), replace(place, desk=replace(desk, **higher)), reach),
        assess(body((), 10.0, **leg), place, reach),
        assess(body((), 10.0, **elbow), place, reach),
    )


@pytest.mark.parametrize("part", range(4))
def test_sweep(part: int) -> None:
    """No jump over 8 mm; a longer leg never a lower seat; no footrest where feet reach; every
    number finite, every band uncrossed, every target inside its band."""
    for number in range(part * 250, part * 250 + 250):
        here, desk, leg, elbow = moved(number)
        for other in (desk, leg, elbow):
            assert abs(seat(other) - seat(here)) <= JUMP, number
        assert seat(leg) >= seat(here) - 1e-9, number
        for one in here.requirements.values():
            assert math.isfinite(one.target), number
            assert not math.isnan(one.low + one.high), number
            assert one.low <= one.target <= one.high, (number, one.name)
        rest = here.requirements.get("footrest_height")
        legs = drawn(number)[0]["popliteal_height"] + 25
        if rest is not None and rest.target > 0:
            assert seat(here) > legs * math.cos(math.radians(5)) + 15, number


def test_legs_a_hair_short_of_the_lowest_seat() -> None:
    """0.2 mm less of leg than the lowest seat brings neither a footrest nor a higher seat."""
    reach = Reach((430.0, 520.0), (50.0, 150.0))
    legs = 430 / math.cos(math.radians(5)) - 25
    short, long = (
        assess(body(popliteal_height=legs + off), Workplace(Desk("none"), heel=25.0), reach)
        for off in (-0.1, 0.1)
    )
    assert seat(short) == 430.0
    assert seat(long) == pytest.approx(430.1, abs=0.05)
    assert short.quantities["footrest_needed"] is False
    assert not short.notes


def test_part_that_runs_out_is_said() -> None:
    """Feet that hang by more than a tape can tell need a footrest, and the seat that stops is
    named; the seat stays where it is."""
    reach = Reach((440.0, 520.0), (50.0, 150.0))
    fit = assess(body(), Workplace(Desk("none"), heel=25.0), reach)
    assert seat(fit) == 440.0
    assert fit.requirements["footrest_height"].target == 50.0
    assert [one.name for one in fit.notes] == ["seat_out_of_reach"]
