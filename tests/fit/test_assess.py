"""What holds for any body at any desk, and for a caller who was told not to sit low.

For the latter nothing goes below the seat of today or the knees. Hospital leaflets on hip
replacement (Leeds Teaching Hospitals, RNOH): knees below the hips, no low seats. The heel is 25 mm
throughout; the ordinary lower leg is 400.
"""

from __future__ import annotations

import math
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from consult.body.estimate import Estimate
from consult.body.population import load_population
from consult.fit.assess import assess
from consult.fit.choose import choose
from consult.fit.explanations import sensitivity, why_not
from consult.fit.request import FitRequest
from consult.fit.requirements import Fit
from consult.fit.sharing import Sharer, share
from consult.fit.trade_offs import trade_offs
from consult.fit.workplace import Desk, Workplace
from consult.fit.worth import worth
from consult.range.model import Reach
from tests.fit.bodies import body
from tests.fit.slow_choose import part, range_of
from tests.long import examples

some = settings(deadline=None, max_examples=examples(40))

lengths = st.floats(0, 1600)
maybe = st.none() | lengths
heels = st.none() | st.floats(0, 120)
thicknesses = st.none() | st.floats(0, 250)
bodies = st.builds(
    body,
    stature=st.floats(1300, 2150),
    popliteal_height=st.floats(280, 560),
    buttock_popliteal_length=st.floats(350, 650),
    elbow_rest_height=st.floats(120, 360),
    thigh_clearance=st.floats(100, 260),
    hip_breadth_sitting=st.floats(250, 650),
    eye_height_sitting=st.floats(600, 950),
    measured=st.sampled_from([(), ("hand_breadth",)]),
)
desks = st.builds(
    Desk,
    kind=st.sampled_from(["fixed", "adjustable", "none", None]),
    height=maybe,
    thickness=thicknesses,
    lowest=maybe,
    highest=maybe,
)
spans = st.tuples(st.floats(300, 600), st.floats(0, 200)).map(lambda s: (s[0], s[0] + s[1]))
footrests = st.tuples(st.floats(20, 200), st.floats(0, 200)).map(lambda s: (s[0], s[0] + s[1]))
reaches = st.none() | st.builds(Reach, spans, st.none() | footrests)
workplaces = st.builds(
    Workplace,
    desk=desks,
    heel=heels,
    close_to_desk=st.none() | st.booleans(),
    lenses=st.sampled_from([None, "none", "single", "varifocal"]),
)


def legs_of(fit: Fit) -> float:
    return float(fit.quantities["leg_seat_height"])


@some
@given(bodies, workplaces, reaches)
def test_bands_hold_their_targets(
    estimate: Estimate, workplace: Workplace, reach: Reach | None
) -> None:
    """Every number is finite and every target lies in its band."""
    fit = assess(estimate, workplace, reach)
    for one in fit.requirements.values():
        assert all(math.isfinite(x) for x in (one.target, one.low, one.high, one.sd)), one
        assert one.low <= one.target <= one.high, one
        assert one.sd >= 0
    assert all(math.isfinite(value) for value in fit.quantities.values())
    assert not set(fit.requirements) & set(fit.missing)


@some
@given(bodies, workplaces, reaches)
def test_notes_can_be_said(estimate: Estimate, workplace: Workplace, reach: Reach | None) -> None:
    """No note stops the call, leaves a blank, or states an amount below nought."""
    fit = assess(estimate, workplace, reach)
    names = [note.name for note in fit.notes]
    assert len(names) == len(set(names))
    for note in fit.notes:
        assert note.level == "note"
        assert not re.search("[<>]", note.say.text("metric") + note.say.text("imperial"))
        assert all(mm >= 0 for mm in note.say.lengths.values()), note


@some
@given(bodies, workplaces, reaches)
def test_legs_never_fold_and_never_hang(
    estimate: Estimate, workplace: Workplace, reach: Reach | None
) -> None:
    """Seat minus footrest is what the legs want, or at most 15 mm more, or less by no more than
    folds the knees to 30 degrees: on the floor or on a footrest."""
    fit = assess(estimate, workplace, reach)
    if "footrest_height" in fit.requirements:
        carried = (
            fit.requirements["seat_height"].target - fit.requirements["footrest_height"].target
        )
        legs, steep = legs_of(fit), math.cos(math.radians(30)) / math.cos(math.radians(5))
        assert legs * steep - 1e-6 <= carried <= legs + 15 + 1e-6
        assert fit.requirements["footrest_height"].target >= 0


@some
@given(bodies, workplaces, reaches)
def test_keyboard_in_the_band_unless_a_note_says_otherwise(
    estimate: Estimate, workplace: Workplace, reach: Reach | None
) -> None:
    """Where nothing is said the keyboard suits the elbows and the thighs have room."""
    fit = assess(estimate, workplace, reach)
    desk = workplace.desk
    fixed = desk.kind == "fixed" and desk.height is not None
    names = {note.name for note in fit.notes}
    unmet = {"desk_too_low", "thigh_room_short", "seat_out_of_reach", "footrest_out_of_reach"}
    if names & unmet or ("desk_out_of_reach" in names):
        return
    seat = fit.requirements["seat_height"].target
    top = desk.height if fixed and desk.height is not None else None
    surface = fit.requirements["desk_height"].target if top is None else top
    keys = fit.requirements["keyboard_height"]
    assert keys.low - 1e-6 <= surface + 20 - seat <= keys.high + 1e-6
    if desk.thickness is not None:
        thighs = estimate.dimensions["thigh_clearance"].mean
        assert surface - desk.thickness - seat >= thighs + 20 - 1e-6


@some
@given(bodies, lengths, lengths, thicknesses, reaches)
def test_a_higher_desk_never_lowers_the_seat(
    estimate: Estimate,
    one: float,
    other: float,
    thickness: float | None,
    reach: Reach | None,
) -> None:
    """Raise the desk and the seat stays or rises."""
    low, high = (
        assess(estimate, Workplace(Desk("fixed", height, thickness)), reach)
        .requirements["seat_height"]
        .target
        for height in sorted((one, other))
    )
    assert low <= high + 1e-9


@some
@given(bodies, lengths, thicknesses, reaches)
def test_thighs_fit_wherever_the_seat_was_raised(
    estimate: Estimate, height: float, thickness: float | None, reach: Reach | None
) -> None:
    """The seat is never raised so far that the thighs meet the desk."""
    free = assess(estimate, Workplace(Desk("none")), reach)
    fit = assess(estimate, Workplace(Desk("fixed", height, thickness)), reach)
    seat = fit.requirements["seat_height"].target
    if thickness is not None and seat > free.requirements["seat_height"].target + 1e-6:
        assert seat + estimate.dimensions["thigh_clearance"].mean + 20 <= height - thickness + 1e-6


@some
@given(bodies, workplaces, reaches.filter(lambda reach: reach is not None))
def test_reach_is_kept_or_named(estimate: Estimate, workplace: Workplace, reach: Reach) -> None:
    """Seat and footrest are what the range can give, or the note says they are not."""
    fit = assess(estimate, workplace, reach)
    names = {note.name for note in fit.notes}
    seat = fit.requirements["seat_height"].target
    if "seat_out_of_reach" not in names:
        assert reach.seat_height[0] - 1e-6 <= seat <= reach.seat_height[1] + 1e-6
    rest = fit.requirements.get("footrest_height")
    if rest and rest.target and reach.footrest_height and "footrest_out_of_reach" not in names:
        low, high = reach.footrest_height
        assert low - 1e-6 <= rest.target <= high + 1e-6


KNEE = 425.0
"""Back of the knee above the floor, in shoes."""


ANY_DESK = Desk()


def place(lowest: float | None, desk: Desk = ANY_DESK, *, kept_up: bool = True) -> Workplace:
    return Workplace(desk, heel=25, lowest_seat=lowest, kept_up=kept_up)


def notes(fit: Fit) -> list[str]:
    return [one.name for one in fit.notes]


def test_band_and_target_rise_to_the_seat_of_today() -> None:
    """Legs that would suit 42 cm, a seat of 46 today: 46 to 48, and a footrest of 35 mm."""
    fit = assess(body(), place(460.0))
    seat = fit.requirements["seat_height"]
    assert (seat.low, seat.target, seat.high) == (460.0, 460.0, 480.0)
    rest = fit.requirements["footrest_height"]
    # No higher than brings the knees level with the hips.
    assert rest.target == rest.high == pytest.approx(460 - KNEE)
    assert fit.quantities["seat_kept_up"] is True
    assert fit.quantities["lowest_seat"] == 460.0
    assert fit.quantities["leg_seat_height"] == 460.0


def test_seat_of_today_not_known() -> None:
    """The knees come no higher than the hips, and today's seat is to be measured first."""
    fit = assess(body(), place(None))
    seat = fit.requirements["seat_height"]
    assert (seat.low, seat.target, seat.high) == (KNEE, KNEE, KNEE + 20)
    (note,) = [one for one in fit.notes if one.name == "seat_kept_up"]
    assert "Measure the seat you have now" in note.say.text("metric")
    assert "lowest_seat" not in fit.quantities
    assert fit.quantities["seat_kept_up"] is True


def test_a_low_seat_today_does_not_let_the_knees_rise() -> None:
    """A seat of 38 cm today is not a licence to sit at 38: the knees stay below the hips."""
    assert assess(body(), place(380.0)).requirements["seat_height"].low == KNEE


def test_a_height_told_without_more() -> None:
    """A height that somebody told counts by itself; the knees are then as for anybody."""
    fit = assess(body(), place(400.0, kept_up=False))
    seat = fit.requirements["seat_height"]
    assert seat.low == 400.0
    assert seat.target == pytest.approx(KNEE * math.cos(math.radians(5)))


def test_nobody_said_anything() -> None:
    """Without limits the quantity says no, and there is no note."""
    fit = assess(body(), Workplace(heel=25))
    assert fit.quantities["seat_kept_up"] is False
    assert "seat_kept_up" not in notes(fit)


def test_range_that_stays_below() -> None:
    """A range that ends below the seat of today is said to, and the target does not follow it."""
    fit = assess(body(), place(560.0), Reach((400.0, 520.0), (40.0, 160.0)))
    assert fit.requirements["seat_height"].target == 560.0
    (note,) = [one for one in fit.notes if one.name == "seat_out_of_reach"]
    assert note.say.lengths["amount"] == pytest.approx(40.0)


def test_low_desk_is_raised_instead() -> None:
    """At a desk too low for the seat of today the desk rises; the seat does not come down."""
    fit = assess(body(), place(500.0, Desk("fixed", 640.0, 25.0)))
    assert fit.requirements["seat_height"].low == 500.0
    assert fit.quantities["desk_too_low"] is True
    assert fit.quantities["desk_raise"] == pytest.approx(500 + 235 - 20 - 640)


def test_feet_that_just_reach_need_no_footrest() -> None:
    """A seat 8 mm above the knee is within what feet reach: no footrest, no raised seat."""
    fit = assess(body(), place(KNEE + 8), Reach((400.0, 520.0), (50.0, 160.0)))
    assert fit.requirements["seat_height"].target == KNEE + 8
    assert "footrest_needed" not in fit.quantities or not fit.quantities["footrest_needed"]


HEIGHTS = st.none() | st.floats(340, 620)
DESKS = st.builds(
    Desk,
    st.sampled_from([None, "fixed", "adjustable", "none"]),
    HEIGHTS.map(lambda mm: None if mm is None else mm + 240),
    st.none() | st.floats(15, 150),
    st.none() | st.floats(560, 720),
    st.none() | st.floats(900, 1300),
)
REACHES = st.none() | st.builds(
    Reach,
    st.floats(360, 450).flatmap(lambda low: st.floats(low, 640).map(lambda high: (low, high))),
    st.none() | st.floats(20, 90).map(lambda low: (low, low + 90)),
)


@given(st.floats(320, 520), HEIGHTS, DESKS, REACHES)
def test_no_figure_goes_below(
    leg: float, lowest: float | None, desk: Desk, reach: Reach | None
) -> None:
    """Whatever legs, desk and range: seat, band and knees stay up, and the feet come with them."""
    fit = assess(body(popliteal_height=leg), place(lowest, desk), reach)
    floor = max(leg + 25, lowest or 0.0)
    seat = fit.requirements["seat_height"]
    assert floor - 1e-6 <= seat.low <= seat.target <= seat.high
    assert fit.quantities["leg_seat_height"] >= floor - 1e-6
    if "footrest_height" in fit.requirements:
        rest = fit.requirements["footrest_height"]
        assert rest.high <= seat.target - (leg + 25) + 1e-6


def chairs() -> list[object]:
    """A low and a high gas lift, and a footrest."""
    return [
        part("gas_lift", "LOW", price=10.0, seat_height=(380.0, 450.0)),
        part("gas_lift", "HIGH", price=90.0, seat_height=(430.0, 560.0)),
        part("footrest", "REST", height=(30.0, 150.0)),
    ]


def test_chair_that_stays_below_is_not_offered() -> None:
    """The cheap lift ends 10 mm below the seat of today: it is never chosen, nor named."""
    range_ = range_of(*chairs())  # type: ignore[arg-type]
    who, here = body(sd=3.0), place(460.0)
    choice = choose(FitRequest(range_, who, here))
    assert choice.best is not None
    assert {one.parts["gas_lift"].code for one in choice.ranked} == {"HIGH"}
    assert {one.parts["gas_lift"].code for one in choice.alternatives.values()} == {"HIGH"}
    assert "footrest" in choice.best.parts
    said = why_not(FitRequest(range_, who, here), ["LOW"], like=choice.best)
    assert said is not None
    assert (said.requirement, said.mm, said.share) == ("seat_height", 10.0, 1.0)
    assert choose(FitRequest(range_, who, Workplace(heel=25))).best.parts["gas_lift"].code == "LOW"  # type: ignore[union-attr]
    assert sensitivity(FitRequest(range_, who, here), choice, labels={}) == ()
    for option in trade_offs(FitRequest(range_, who, here), choice):
        assert option.parts["gas_lift"].code == "HIGH"
        assert option.reason.lengths.get("lowest", 460.0) >= 460.0
    # A gain is worked out over the chairs that may be offered only.
    asked = worth(FitRequest(range_, who, here), load_population())
    assert all(one.gain < 0.05 for one in asked.values())


def test_no_chair_goes_high_enough() -> None:
    """Where every chair ends below, none is offered, and the reason is said."""
    range_ = range_of(*chairs())  # type: ignore[arg-type]
    choice = choose(FitRequest(range_, body(), place(600.0)))
    assert choice.best is None
    assert choice.none_because is not None
    assert "you may sit no lower" in choice.none_because.text("metric")


def test_shared_chair_is_set_no_lower() -> None:
    """Who may not sit low sets the shared chair at their height, with a footrest or without."""
    range_ = range_of(*chairs()[:2])  # type: ignore[arg-type]
    one = Sharer("Ann", body(sd=3.0), place(470.0))
    other = Sharer("Bo", body(sd=3.0), Workplace(heel=25))
    shared = share(range_, [other, one], [])
    settings = {each.name: each.settings["seat_height"] for each in shared.people}
    assert settings["Ann"] >= 470.0
