"""Depth, width, armrests, keyboard, screen and standing desk; doubt about sums of dimensions."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from consult.body.estimate import Component, Dimension, Estimate, estimate
from consult.body.population import load_population
from consult.fit.assess import assess
from consult.fit.requirements import Requirement, spread_of
from consult.fit.rules import added
from consult.fit.workplace import Desk, DeskKind, Lenses, Workplace
from tests.fit.bodies import body


def required(name: str, estimate: Estimate) -> Requirement:
    return assess(estimate, Workplace()).requirements[name]


@pytest.mark.parametrize(
    ("length", "low", "target", "high"),
    [
        pytest.param(480, 400, 420, 440, id="two to four fingers of 20 mm"),
        pytest.param(380, 304, 320, 340, id="the fourth finger would leave the thighs hanging"),
        pytest.param(280, 224, 224, 240, id="three fingers too many for a short thigh"),
        pytest.param(900, 820, 840, 855, id="the knees of a long thigh kept clear"),
    ],
)
def test_seat_depth(length: float, low: float, target: float, high: float) -> None:
    """Fingers behind the knee, within four fifths to nineteen twentieths of the thigh."""
    depth = required("seat_depth", body(buttock_popliteal_length=length))
    assert (depth.low, depth.target, depth.high) == pytest.approx((low, target, high))


def test_own_fingers_when_the_hand_was_measured() -> None:
    """A measured hand replaces the usual three fingers; an estimated one does not."""
    assert required("seat_depth", body(hand_breadth=96)).target == pytest.approx(420)
    own = required("seat_depth", body(measured=("hand_breadth",), hand_breadth=96))
    assert own.target == pytest.approx(480 - 72)
    assert own.sd == pytest.approx(12.5)


def test_seat_depth_held_at_the_edge_is_surer() -> None:
    """A depth held at a share of the thigh is unsure by that share only."""
    depth = required("seat_depth", body(buttock_popliteal_length=280))
    assert depth.sd == pytest.approx(8)


@pytest.mark.parametrize(("hips", "high"), [(380, 494), (50, 70)])
def test_seat_width(hips: float, high: float) -> None:
    """Wider than the hips, with an upper end that is never below the lower."""
    width = required("seat_width", body(hip_breadth_sitting=hips))
    assert (width.low, width.target, width.high) == pytest.approx((hips + 20, hips + 20, high))
    assert "apart" in width.reason


def test_arms_and_keyboard_go_by_the_elbow() -> None:
    """Armrests within 20 mm of the elbow; the keyboard may be lower than the armrests."""
    arms = required("armrest_height", body())
    keys = required("keyboard_height", body())
    assert (arms.low, arms.target, arms.high) == (215, 235, 255)
    assert (keys.low, keys.target, keys.high) == (195, 235, 255)
    assert arms.measured_from == keys.measured_from == "loaded seat"


def test_every_requirement_says_why_and_whence() -> None:
    """Each has one plain sentence or two without a number, and a source."""
    fit = assess(body(), Workplace())
    for one in fit.requirements.values():
        assert one.reason.endswith(".")
        assert not any(letter.isdigit() for letter in one.reason)
        assert one.source


def test_heel_not_said_is_assumed_aloud() -> None:
    """The usual heel stands in for one not asked, and a note says so."""
    assumed, told = assess(body(), Workplace()), assess(body(), Workplace(heel=25))
    assert assumed.requirements == told.requirements
    assert [note.name for note in assumed.notes] == ["heel_assumed"]
    assert not told.notes


def test_heel_raises_the_seat() -> None:
    """Higher shoes want a higher seat, barefoot a lower one."""
    seats = [
        assess(body(), Workplace(heel=heel)).requirements["seat_height"].target
        for heel in (0, 25, 60)
    ]
    assert seats == sorted(set(seats))
    assert seats[0] < 400


def test_spread_of_depth_and_width() -> None:
    """A broad hand that goes with a long thigh makes the depth surer; the width is as the hips.

    By hand, both with 10 mm and a covariance of 80: 100 + 0.75 squared of 100 - 1.5 times 80.
    """
    one = body(("hand_breadth",), 10.0)
    part = one.components[0]
    covariance = part.covariance.copy()
    at, hand = (list(one.dimensions).index(n) for n in ("buttock_popliteal_length", "hand_breadth"))
    covariance[at, hand] = covariance[hand, at] = 80.0
    known = replace(one, components=(replace(part, covariance=covariance),))
    fit = assess(known, Workplace(Desk("none"), heel=25))
    assert fit.requirements["seat_depth"].sd == pytest.approx(math.sqrt(36.25))
    assert fit.requirements["seat_width"].sd == pytest.approx(10.0)


PAIR = {"stature": Dimension(0, 0, 0, 0, ""), "sitting_height": Dimension(0, 0, 0, 0, "")}


def pair(*components: Component) -> Estimate:
    return Estimate("two dimensions", PAIR, components, ())


def one(weight: float, mean: list[float], correlation: float) -> Component:
    covariance = np.array([[100.0, 100 * correlation], [100 * correlation, 100.0]])
    return Component("female", weight, np.array(mean), covariance)


@pytest.mark.parametrize(("correlation", "sd"), [(0.0, 200**0.5), (1.0, 0.0), (-1.0, 20.0)])
def test_dimensions_that_go_together(correlation: float, sd: float) -> None:
    """Doubt shared by two dimensions cancels in their difference."""
    body = pair(one(1.0, [0, 0], correlation))
    assert spread_of(body, {"stature": 1, "sitting_height": -1}) == pytest.approx(sd, abs=1e-6)


def test_sex_not_stated_is_doubt() -> None:
    """Two groups with means 60 mm apart spread wider than either."""
    body = pair(one(0.5, [0, 0], 0), one(0.5, [60, 0], 0))
    assert spread_of(body, {"stature": 1}) == pytest.approx((100 + 900) ** 0.5)
    assert spread_of(body, {"sitting_height": 1}) == pytest.approx(10)


def test_agrees_with_drawn_bodies() -> None:
    """The spread of a sum over the survey's own groups is that of bodies drawn from them."""
    population = load_population()
    rng = np.random.default_rng(7)
    groups = population.groups_of(None)
    components = tuple(
        Component(name, share, group.mean, group.covariance)
        for name, (share, group) in groups.items()
    )
    body = Estimate(
        population.name,
        {name: Dimension(0, 0, 0, 0, "") for name in population.order},
        components,
        (),
    )
    weights = {"stature": 1.0, "sitting_height": -1.0, "elbow_rest_height": 1.0}
    drawn = np.concatenate(
        [
            rng.multivariate_normal(one.mean, one.covariance, round(40_000 * one.weight))
            for one in components
        ]
    )
    sums = sum(drawn[:, population.index(name)] * w for name, w in weights.items())
    assert spread_of(body, weights) == pytest.approx(float(np.std(sums)), rel=0.02)


def test_no_weights_no_doubt() -> None:
    """A number that does not come from the body is certain."""
    assert spread_of(pair(one(1.0, [0, 0], 0)), {}) == 0


def test_added() -> None:
    """Sums of weights keep every dimension of either side."""
    assert added({"stature": 1, "weight": 2}, {"stature": 1}, -1) == {"stature": 0, "weight": 2}


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


def test_standing_is_surer_where_legs_and_trunk_go_together() -> None:
    """What is taller in the trunk adds to both, so the elbow above the legs is what is unsure."""
    who = estimate(load_population(), [], "female")
    names, covariance = list(who.dimensions), who.components[0].covariance
    factor = np.zeros(len(names))
    for name, times in (("stature", 1), ("sitting_height", -1), ("elbow_rest_height", 1)):
        factor[names.index(name)] = times
    standing = assess(who, Workplace(Desk("none"))).requirements["standing_desk_height"]
    assert standing.sd == pytest.approx(math.sqrt(factor @ covariance @ factor))


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
