"""What holds for any body at any desk."""

from __future__ import annotations

import math
import re

from hypothesis import given, settings
from hypothesis import strategies as st

from consult.body.estimate import Estimate
from consult.fit.assess import assess
from consult.fit.result import Fit
from consult.fit.workplace import Desk, Reach, Workplace
from tests.fit.bodies import body

some = settings(deadline=None, max_examples=80)

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
