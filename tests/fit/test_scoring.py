"""What bodies demand: at one body, just what the assessment of that body says."""

from __future__ import annotations

import math

import numpy as np
import pytest

from consult.body.estimate import Estimate
from consult.fit.assess import assess
from consult.fit.request import draw
from consult.fit.requirements import dimensions_for
from consult.fit.scoring import demands
from consult.fit.workplace import Desk, Workplace
from tests.fit.bodies import body

PLACES = [
    Workplace(),
    Workplace(heel=0.0),
    Workplace(Desk("fixed", 680.0, 25.0)),
    Workplace(Desk("fixed", 720.0)),
    Workplace(Desk("fixed", 720.0, 25.0)),
    Workplace(Desk("fixed", 720.0, 120.0)),
    Workplace(Desk("adjustable", lowest=740.0, highest=900.0, thickness=60.0)),
    Workplace(Desk("adjustable", highest=900.0)),
    Workplace(Desk("none", thickness=25.0)),
]
BODIES = [
    body(),
    body(popliteal_height=340.0, elbow_rest_height=190.0, hip_breadth_sitting=450.0),
    body(popliteal_height=480.0, elbow_rest_height=280.0, thigh_clearance=200.0),
    body(buttock_popliteal_length=300.0),
    body(("hand_breadth",), hand_breadth=95.0),
]


@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize("who", BODIES)
def test_demands_of_the_mean_body_are_what_the_assessment_says(
    who: Estimate, place: Workplace
) -> None:
    """Bands of seat height, depth, armrest and width agree to the last digit."""
    order = dimensions_for(who)
    mean = np.array([[who.dimensions[name].mean for name in order]])
    asked = demands(mean, order, place, [(0.0, 1000.0)])
    wanted = assess(who, place).requirements
    seat = wanted["seat_height"]
    floor, rest = asked.heights
    raised = bool(floor[0][0] > floor[1][0])
    heel = 25.0 if place.heel is None else place.heel
    legs = (who.dimensions["popliteal_height"].mean + heel) * math.cos(math.radians(5))
    assert raised == (seat.target > legs + 1e-9)
    low, high = rest if raised else floor
    assert low[0] == pytest.approx(seat.low)
    # A desk that moves follows a seat higher than its lowest stand calls for.
    desk, follows = place.desk, 0.0
    if raised and desk.lowest is not None and desk.highest is not None:
        follows = desk.highest - desk.lowest
    assert high[0] == pytest.approx(seat.high + follows)
    for name, (low, high) in {"seat_depth": asked.depth, "armrest_height": asked.arms}.items():
        assert (low[0], high[0]) == pytest.approx((wanted[name].low, wanted[name].high))
    assert asked.width[0] == pytest.approx(wanted["seat_width"].low)
    assert asked.mass[0] == who.dimensions["weight"].mean


def test_a_raised_seat_is_among_the_cases() -> None:
    """The desk calls for a raised seat in some of the cases above, and not in all."""
    raised = [
        assess(who, place).requirements["seat_height"].low
        > who.dimensions["popliteal_height"].mean + 25
        for who in BODIES
        for place in PLACES
    ]
    assert 5 < sum(raised) < len(raised) - 5


def test_drawn_bodies_have_the_mean_and_spread_of_the_estimate() -> None:
    """Means and standard deviations of the sample are those of the estimate, not near them."""
    who = body(sd=7.0)
    drawn = draw(who, ("weight", "stature"), 500)
    assert drawn.values.mean(axis=0) == pytest.approx([68.0, 1640.0])
    assert drawn.values.std(axis=0) == pytest.approx([7.0, 7.0])
    assert float(np.cov(drawn.values.T)[0, 1]) == pytest.approx(0.0, abs=1e-9)


def test_an_exact_measure_is_the_same_in_every_body() -> None:
    """No spread, no scatter; and few bodies are drawn as well as many."""
    who = body(sd=0.0)
    for n in (1, 3, 200):
        assert draw(who, ("stature",), n).values == pytest.approx(np.full((n, 1), 1640.0))


def test_a_dimension_that_is_not_estimated_is_refused() -> None:
    """The message names it."""
    with pytest.raises(ValueError, match="'tail'"):
        draw(body(), ("tail",))
