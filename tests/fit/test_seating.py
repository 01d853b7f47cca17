"""Seat, footrest and desk as one; the ordinary body wants a seat of 423.4 mm in 25 mm heels.

A millimetre of desk or leg never moves the advised seat by much, unless a part runs out: swept over
desks, legs, elbows, thicknesses and ranges drawn at random; no published figure says how smooth
advice must be (common practice, no source).
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from consult.fit.assess import assess
from consult.fit.requirements import Fit
from consult.fit.workplace import Desk, Workplace
from consult.range.model import Reach
from tests.fit.bodies import body

LEGS = 425 * math.cos(math.radians(5))
FOLDED = 425 * math.cos(math.radians(30))


def at(desk: Desk) -> Workplace:
    return Workplace(desk, heel=25)


@pytest.mark.parametrize(
    ("desk", "seat", "footrest", "notes"),
    [
        pytest.param(Desk("none"), LEGS, 0, [], id="no desk yet: the legs decide"),
        pytest.param(Desk("adjustable"), LEGS, 0, [], id="desk moves, reach not known"),
        pytest.param(
            Desk("adjustable", lowest=600, highest=1300), LEGS, 0, [], id="desk moves far enough"
        ),
        pytest.param(
            Desk("adjustable", lowest=650, highest=1300),
            LEGS,
            0,
            [],
            id="lowest desk a little above the best, elbows still accept it",
        ),
        pytest.param(
            Desk("adjustable", lowest=700, highest=1300),
            465,
            465 - LEGS,
            ["desk_out_of_reach"],
            id="desk does not go low enough: seat rises to it",
        ),
        pytest.param(
            Desk("adjustable", lowest=500, highest=560),
            LEGS,
            0,
            ["desk_out_of_reach", "desk_stays_low_standing"],
            id="desk does not go high enough: legs stay",
        ),
        pytest.param(Desk("fixed", 640), LEGS, 0, [], id="fixed desk suits"),
        pytest.param(Desk("fixed", 658), LEGS, 0, [], id="fixed desk just low enough"),
        pytest.param(
            Desk("fixed", 720), 485, 485 - LEGS, ["desk_too_high"], id="fixed desk too high"
        ),
        pytest.param(Desk("fixed", 599), LEGS, 0, [], id="fixed desk just high enough"),
        pytest.param(Desk("fixed", 580), LEGS, 0, ["desk_too_low"], id="fixed desk too low"),
        pytest.param(
            Desk("fixed", 720, 30),
            485,
            485 - LEGS,
            ["desk_too_high"],
            id="thin desk leaves thigh room at the elbow height",
        ),
        pytest.param(
            Desk("fixed", 720, 60),
            485,
            485 - LEGS,
            ["desk_too_high"],
            id="thighs leave the seat where the elbows just accept it",
        ),
        pytest.param(
            Desk("fixed", 720, 100),
            720 - 100 - 150 - 20,
            450 - LEGS,
            ["desk_too_high", "thigh_room_short"],
            id="thighs hold the seat too low for the elbows",
        ),
        pytest.param(
            Desk("fixed", 720, 200),
            LEGS,
            0,
            ["desk_too_high", "thigh_room_short"],
            id="never below the legs, however short the thighs are of room",
        ),
        pytest.param(
            Desk("fixed", 610, 40),
            LEGS,
            0,
            ["thigh_room_short"],
            id="elbows accept the desk, the thighs do not",
        ),
        pytest.param(Desk(), LEGS, 0, [], id="nothing known of the desk"),
        pytest.param(Desk("fixed"), LEGS, 0, [], id="height of the desk not known"),
    ],
)
def test_cases(desk: Desk, seat: float, footrest: float, notes: list[str]) -> None:
    """Each kind of desk gives the seat, footrest and notes it calls for."""
    fit = assess(body(), at(desk))
    assert fit.requirements["seat_height"].target == pytest.approx(seat)
    if "footrest_height" in fit.requirements:
        assert fit.requirements["footrest_height"].target == pytest.approx(footrest)
    assert [note.name for note in fit.notes] == notes
    assert {note.level for note in fit.notes} <= {"note"}


def test_seat_band_on_the_floor() -> None:
    """With the feet on the floor the seat may be lower until the legs fold, never higher."""
    seat = assess(body(), at(Desk("fixed", 640))).requirements["seat_height"]
    assert (seat.low, seat.high) == pytest.approx((FOLDED, LEGS))


@pytest.mark.parametrize(
    ("thickness", "low", "high"), [(None, 485, 545), (30, 485, 520), (60, 485, 490)]
)
def test_seat_band_when_raised(thickness: float | None, low: float, high: float) -> None:
    """A raised seat may put the keyboard anywhere the elbows accept, as far as the thighs allow."""
    seat = assess(body(), at(Desk("fixed", 720, thickness))).requirements["seat_height"]
    assert (seat.low, seat.high) == pytest.approx((low, high))


def test_desk_height_for_a_seat_on_the_floor() -> None:
    """The keyboard comes to the elbow, the desk 20 mm below it, 40 mm lower or 20 mm higher."""
    desk = assess(body(), at(Desk("none"))).requirements["desk_height"]
    assert (desk.low, desk.target, desk.high) == pytest.approx((LEGS + 175, LEGS + 215, LEGS + 235))


def test_desk_to_be_bought_leaves_thigh_room() -> None:
    """A thick desk is asked for higher, so that the thighs fit below it."""
    desk = assess(body(), at(Desk("none", thickness=55))).requirements["desk_height"]
    assert (desk.low, desk.target, desk.high) == pytest.approx((LEGS + 225, LEGS + 225, LEGS + 235))


def test_moving_desk_too_thick_for_thighs_and_elbows() -> None:
    """Where thighs push the keyboard above the elbow band the caller hears of it."""
    fit = assess(body(), at(Desk("adjustable", thickness=90)))
    assert fit.requirements["desk_height"].target == pytest.approx(LEGS + 260)
    (note,) = fit.notes
    assert note.name == "thigh_room_short"
    assert note.say.lengths["amount"] == pytest.approx(45)


def test_moving_desk_is_set_within_its_reach() -> None:
    """The desk is never asked to go where it cannot."""
    desk = assess(body(), at(Desk("adjustable", lowest=650, highest=1200))).requirements[
        "desk_height"
    ]
    assert (desk.low, desk.target) == (650, 650)
    assert desk.high == pytest.approx(LEGS + 235)
    assert desk.sd == 0


def test_reach_told_the_wrong_way_round() -> None:
    """An adjustable desk's ends mean the same in either order."""
    right = assess(body(), at(Desk("adjustable", lowest=700, highest=1200)))
    wrong = assess(body(), at(Desk("adjustable", lowest=1200, highest=700)))
    assert wrong == right


@pytest.mark.parametrize(
    ("desk", "amount"),
    [
        (Desk("fixed", 560), LEGS + 215 - 560),
        (Desk("fixed", 560, 20), LEGS + 215 - 560),
        (Desk("fixed", 560, 60), LEGS + 230 - 560),
        (Desk("fixed", 610, 40), LEGS + 210 - 610),
        (Desk("fixed", 640), 0),
        (Desk("adjustable", lowest=500, highest=560), LEGS + 215 - 560),
    ],
)
def test_desk_raise(desk: Desk, amount: float) -> None:
    """A low desk rises to the elbows' best, and at least as far as the thighs need."""
    assert assess(body(), at(desk)).quantities["desk_raise"] == pytest.approx(amount)


def test_desk_raise_is_said_in_the_callers_units() -> None:
    """The note of a desk too low says by how much, in either system."""
    (note,) = assess(body(), at(Desk("fixed", 560))).notes
    assert "7.8 cm" in note.say.text("metric")
    assert "<" not in note.say.text("imperial")


def test_desk_excess() -> None:
    """How far a fixed desk is from what suits the legs alone, above or below."""
    fit = assess(body(), at(Desk("fixed", 720)))
    assert fit.quantities["desk_excess"] == pytest.approx(720 - LEGS - 215)
    assert fit.notes[0].say.lengths["excess"] == pytest.approx(720 - LEGS - 215)


def test_a_footrest_that_starts_higher_than_needed() -> None:
    """It bends the knees a little more; a lower one, down to what is needed, would do as well."""
    fit = assess(body(), at(Desk("fixed", 680)), Reach((300.0, 600.0), (40.0, 200.0)))
    rest = fit.requirements["footrest_height"]
    needed = fit.requirements["seat_height"].target - LEGS
    assert needed < 30
    assert (rest.low, rest.target) == pytest.approx((needed, 40.0))


def test_footrest_band() -> None:
    """A footrest may be higher, until the knees bend as on the lowest seat, but not lower."""
    rest = assess(body(), at(Desk("fixed", 720))).requirements["footrest_height"]
    assert (rest.low, rest.high) == pytest.approx((485 - LEGS, 485 - FOLDED))


@pytest.mark.parametrize(("thickness", "told"), [(None, True), (30, False)])
def test_thigh_room_not_checked_is_said(thickness: float | None, told: bool) -> None:
    """Without the desk's thickness the room for the thighs is named as not checked."""
    fit = assess(body(), at(Desk("fixed", 640, thickness)))
    assert ("thigh_room" in fit.missing) is told
    assert ("thigh_room_short" in fit.quantities) is not told


def test_yes_and_no() -> None:
    """What can be decided is there as true or false."""
    high = assess(body(), at(Desk("fixed", 720, 30))).quantities
    assert high["desk_too_high"] is True
    assert high["desk_too_low"] is False
    assert high["footrest_needed"] is True
    assert high["thigh_room_short"] is False
    moves = assess(body(), at(Desk("adjustable", lowest=600, highest=1250))).quantities
    assert moves["desk_out_of_reach"] is False
    assert "desk_out_of_reach" not in assess(body(), at(Desk("adjustable"))).quantities


@pytest.mark.parametrize(
    ("desk", "seat_sd", "footrest_sd", "desk_sd"),
    [
        (Desk("none"), 10 * math.cos(math.radians(5)), 0, 10 * math.hypot(1, LEGS / 425)),
        (Desk("fixed", 720), 10, 10 * math.hypot(1, LEGS / 425), 0),
    ],
)
def test_doubt_follows_what_decided(
    desk: Desk, seat_sd: float, footrest_sd: float, desk_sd: float
) -> None:
    """A seat set by the legs is as unsure as the legs, one set by the desk as the elbows."""
    fit = assess(body(), at(desk)).requirements
    assert fit["seat_height"].sd == pytest.approx(seat_sd)
    assert fit["footrest_height"].sd == pytest.approx(footrest_sd)
    assert fit["desk_height"].sd == pytest.approx(desk_sd, abs=1e-9)


def test_a_desk_that_the_thighs_decide_rests_on_them() -> None:
    """Under 150 mm of drawer the thighs push the desk up past what the elbows would want."""
    drawer, board = (
        assess(body(), at(Desk("none", thickness=mm))).requirements["desk_height"]
        for mm in (150.0, 25.0)
    )
    assert drawer.rests_on == ("popliteal_height", "thigh_clearance")
    assert board.rests_on == ("popliteal_height", "elbow_rest_height")


def test_legs_that_just_reach_the_lowest_seat_are_as_unsure_as_legs() -> None:
    """425 mm of leg and heel, and a range that starts there: the legs decide, not the range."""
    place = Workplace(Desk("none"), heel=25.0, kept_up=True)
    fit = assess(body(sd=10.0), place, Reach((425.0, 520.0)))
    assert fit.requirements["seat_height"].sd == pytest.approx(10.0)


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
    rest = fit.requirements["footrest_height"]
    assert rest.target == 50.0
    assert (rest.low, rest.high) == pytest.approx((440 - LEGS, 440 - FOLDED))
    assert [one.name for one in fit.notes] == ["seat_out_of_reach"]
