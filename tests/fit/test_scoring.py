"""What bodies demand: at one body, just what the assessment of that body says; and a footrest
that can be added only once the desk is known."""

from __future__ import annotations

import math

import numpy as np
import pytest

from consult.body.estimate import Estimate
from consult.body.population import load_population
from consult.fit.assess import assess
from consult.fit.choose import choose
from consult.fit.ranking import Weighed, weigh
from consult.fit.request import SEED, FitRequest, draw
from consult.fit.rules import dimensions_for
from consult.fit.scoring import all_met, demands
from consult.fit.workplace import Desk, Workplace, places
from consult.fit.worth import could_change, worth
from consult.range.parts import Part
from tests.fit.bodies import body
from tests.fit.slow_choose import part, range_of

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


LOW = part("gas_lift", "LOW", price=90.0, seat_height=(360.0, 440.0))
HIGH = part("gas_lift", "HIGH", price=10.0, seat_height=(455.0, 580.0))
REST = part("footrest", "REST", height=(10.0, 200.0))
UNTOLD = Workplace(Desk("adjustable"), heel=25.0)


def weighed(*parts: Part, legs: float = 400.0, place: Workplace = UNTOLD) -> Weighed:
    who = body(sd=1.0, popliteal_height=legs)
    return weigh(FitRequest(range_of(*parts), who, place, open_places=True))


def p_of(held: Weighed, lift: str) -> float:
    every = {one.code for of_kind in held.chairs.parts[2:] for one in of_kind}
    return held.p_fits({lift, "PLAIN-SEAT", *every})


def raising(legs: float, highest: float | None = None) -> float:
    """The share of desks that cannot be lowered to a seat that suits the legs."""
    drawn = places(Workplace(Desk("adjustable", highest=highest), heel=25.0), 2000, SEED)
    above = np.maximum(235.0, 150.0 + 20.0 + drawn.thickness)
    return float((drawn.lowest - above > (legs + 25) * math.cos(math.radians(5))).mean())


@pytest.mark.parametrize("legs", [385.0, 400.0, 420.0])
def test_a_footrest_to_come_makes_up_for_the_desk_alone(legs: float) -> None:
    """At a desk of untold range a chair too high for the legs fits where the desk calls for such
    a seat; elsewhere it does not, though a footrest would reach, for a lower chair is on sale."""
    held = weighed(LOW, HIGH, REST, legs=legs)
    assert 0.2 < raising(legs) < 0.8
    assert p_of(held, "HIGH") == pytest.approx(raising(legs), abs=0.03)
    assert p_of(held, "LOW") > 1 - raising(legs) - 0.03
    assert p_of(weighed(LOW, HIGH, legs=legs), "HIGH") < 0.02, "no footrest is on sale"


def test_the_chair_for_a_desk_of_untold_range() -> None:
    """It goes low enough for the legs, at whatever price, and how low the desk goes is asked."""
    open_ = weighed(LOW, HIGH, REST).request
    best = choose(open_).best
    assert best is not None
    assert best.parts["gas_lift"].code == "LOW"
    assert "footrest" not in best.parts
    assert worth(open_, load_population())["desk_lowest"].gain > 0.2
    assert set(could_change(open_, "desk_lowest")) == {"footrest", "gas_lift"}


def test_legs_too_short_for_every_chair() -> None:
    """A footrest to come makes up for them at any desk; it is not the chair's fault."""
    held = weighed(HIGH, REST, legs=380.0)
    assert p_of(held, "HIGH") > 0.97
    assert p_of(weighed(LOW, HIGH, REST, legs=380.0), "HIGH") < 0.9


@pytest.mark.parametrize("place", [UNTOLD, Workplace(Desk("fixed")), Workplace()])
def test_what_is_missed_agrees_with_what_fits(place: Workplace) -> None:
    """Over a desk not known too, a chair fits just the bodies that it misses nothing for."""
    held = weighed(LOW, HIGH, REST, place=place)
    rests = held.rest[held.set_of]
    met = all_met(held.missed(held.rows, rests)).sum(axis=1)
    assert met.tolist() == held.fits[held.set_of].tolist()
    assert 0 < met.min() < met.max() < held.n


def test_mean_misses_are_the_misses_on_average() -> None:
    """Of every requirement but the rating, with no footrest and with each."""
    narrow = part("seat", "NARROW", width=330.0, depth=(380.0, 430.0))
    held = weighed(narrow, LOW, HIGH, REST, place=Workplace(Desk("fixed", 800.0, 25.0)))
    means = held.mean_misses()
    assert means.shape == (len(held.sets), len(held.rests) + 1)
    for rest in range(len(held.rests) + 1):
        missed = held.missed(held.sets, np.full(len(held.sets), rest))
        each = [np.abs(one).mean(axis=1) for name, one in missed.items() if name != "rating"]
        assert means[:, rest] == pytest.approx(np.sum(each, axis=0))
        assert means[:, rest].min() > 0
    assert len(held.rests) == 1
    assert (means[:, 0] > means[:, 1]).any()
