"""Depth, width, armrests and keyboard."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from consult.body.estimate import Estimate
from consult.fit.assess import assess
from consult.fit.result import Requirement
from consult.fit.workplace import Desk, Workplace
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
