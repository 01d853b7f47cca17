"""The side view as numbers: what is set where, and what does not suit."""

from __future__ import annotations

import math
from dataclasses import fields, replace
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from consult.body.estimate import Estimate
from consult.call.state import State, state
from consult.fit.assess import assess
from consult.fit.workplace import Desk, Workplace
from consult.picture.model import Scene
from consult.picture.scene import scene
from consult.units import System
from tests.fit.bodies import body
from tests.fit.test_settings import HEAVY, HIGH, ORDINARY, ready
from tests.picture.scenes import SHORT, TALL, drawn, people, problem_names, workplaces
from tests.ui.desk import demo, demo_basis

FITTED = ("01", "02", "03", "05", "06")
SEEN = {
    *("desk_too_high", "desk_too_low", "desk_out_of_reach", "thigh_room_short"),
    *("arms_meet_desk", "seat_out_of_reach", "footrest_out_of_reach"),
}
"""Notes of the fit about something that shows from the side."""


@cache
def called(name: str) -> State:
    return state(demo_basis(), demo(name).call)


def of_call(now: State) -> Scene | None:
    return scene(now.estimate, now.workplace, now.fit, now.picked)


def lengths(found: Scene) -> dict[str, float]:
    return {one.name: one.mm for one in found.dimensions}


def test_the_person_is_as_long_as_the_measures() -> None:
    """Seat, hollow of the knee, elbow and eyes are where the estimate has them, in mm."""
    found = drawn()
    seat = (400 + 25) * math.cos(math.radians(5))
    assert found.chair.seat == pytest.approx(seat)
    assert found.joints.eye[1] == pytest.approx(seat + 745)
    assert lengths(found)["knee gap"] == pytest.approx(480 - found.chair.depth)
    assert found.joints.heel[1] == pytest.approx(0, abs=0.5)
    assert found.joints.elbow[1] - 38 == pytest.approx(seat + 235)
    assert found.problems == ()


def test_the_lower_leg_keeps_its_length() -> None:
    """Feet flat on floor or footrest: from the hollow of the knee to the sole is leg plus heel."""
    for workplace in (Workplace(), Workplace(Desk("fixed", 760.0, 30.0))):
        found = drawn(workplace)
        (x, y), seat = found.joints.heel, found.chair.seat
        assert math.hypot(x - 480, y - seat) == pytest.approx(425, abs=0.5)


def test_a_high_desk_puts_the_feet_on_a_footrest() -> None:
    """The seat is raised, the feet stand on the footrest, and only the desk is marked."""
    found = drawn(Workplace(Desk("fixed", 760.0, 30.0)))
    assert found.footrest is not None
    assert found.joints.heel[1] == pytest.approx(found.footrest.top, abs=0.5)
    assert found.footrest.start < found.joints.heel[0] < found.joints.toe[0] < found.footrest.end
    assert lengths(found)["footrest height"] == pytest.approx(found.footrest.top)
    assert problem_names(found) == {"desk_too_high"}


def test_a_low_desk_is_drawn_as_it_stands() -> None:
    """What is wrong with a desk must be seen, so it is not drawn raised."""
    found = drawn(Workplace(Desk("fixed", 580.0, 80.0)))
    assert (found.table.top, found.table.under) == (580.0, 500.0)
    assert found.table.stands
    assert {"desk_too_low", "thigh_room_short"} <= problem_names(found)


def test_no_desk_yet_draws_the_wanted_one() -> None:
    """Without a desk the one that would suit is drawn, and said to be only wanted."""
    for desk in (Desk("none"), Desk(), Desk("fixed")):
        found = drawn(Workplace(desk))
        assert not found.table.stands
        assert found.table.top == pytest.approx(found.chair.seat + 235 - 20)


def test_a_chair_that_stays_too_high_leaves_a_gap() -> None:
    """The seat is drawn at what is set; the feet hang by the difference, and both are marked."""
    found = drawn(Workplace(Desk("none"), heel=0.0), SHORT, *ORDINARY)
    wanted = 350 * math.cos(math.radians(5))
    assert found.chair.seat == 395.0
    assert found.chair.wanted_seat == pytest.approx(wanted)
    assert found.joints.heel[1] == pytest.approx(395 - wanted)
    hang = next(one for one in found.problems if one.name == "feet_hang")
    assert hang.text.text("metric") == "The feet hang 4.6 cm above the floor."
    assert "seat_out_of_reach" in problem_names(found)


def test_a_chair_that_stays_too_low_folds_the_legs() -> None:
    """The soles stay on the floor and the knees rise no lower than the legs let them."""
    tall = body(popliteal_height=620.0)
    found = drawn(Workplace(Desk("none")), tall, *HEAVY)
    assert found.chair.seat < 645 * math.cos(math.radians(30))
    assert found.joints.heel[1] == pytest.approx(0, abs=1e-6)
    assert found.joints.knee[1] > found.chair.seat + 58
    assert "seat_out_of_reach" in problem_names(found)


def test_a_seat_lifted_by_its_chair_may_squeeze_the_thighs() -> None:
    """The fit saw room at its own seat height; at the height set there is none."""
    workplace = Workplace(Desk("fixed", 640.0, 25.0))
    assert "thigh_room_short" not in problem_names(drawn(workplace, SHORT))
    found = drawn(workplace, SHORT, *HIGH)
    (short,) = [one for one in found.problems if one.name == "thigh_room_short"]
    # 470 of seat, 150 of thigh and 20 of air, under 640 less 25.
    assert short.text.lengths["short"] == pytest.approx(25)


def test_armrests() -> None:
    """Armrests that meet the desk reach past its edge; a chair without has none to meet it."""
    close = Workplace(Desk("fixed", 640.0, 60.0), close_to_desk=True)
    found = drawn(close)
    assert found.chair.arm is not None
    assert found.chair.arm_span[1] > found.table.edge
    assert "arms_meet_desk" in problem_names(found)
    bare = drawn(close, None, *ORDINARY[:4], "ARMS-NONE", "CAST-HARD")
    assert bare.chair.arm is None
    assert "arms_meet_desk" not in problem_names(bare)
    assert "armrest_height" in problem_names(bare)
    clear = drawn(replace(close, close_to_desk=False))
    assert clear.chair.arm_span[1] < clear.table.edge


def test_a_seat_too_deep_is_marked_at_its_front_edge() -> None:
    """The picked seat's own words, where it presses behind the knee."""
    person = body(buttock_popliteal_length=400.0)
    found = drawn(Workplace(), person, *HEAVY)
    (deep,) = [one for one in found.problems if one.name == "seat_depth"]
    assert deep.where == (found.chair.depth, found.chair.seat)
    assert lengths(found)["knee gap"] == pytest.approx(-30)


def test_a_footrest_that_is_too_low_is_marked_once() -> None:
    """Feet that hang because of the footrest are one problem, in the footrest's words."""
    found = drawn(Workplace(Desk("fixed", 850.0, 25.0)), SHORT, *HIGH)
    at_feet = [one for one in found.problems if one.name in ("feet_hang", "footrest_out_of_reach")]
    assert [one.name for one in at_feet] == ["footrest_out_of_reach"]
    assert found.footrest is not None
    assert found.joints.heel[1] > found.footrest.top + 1


def test_nothing_to_draw() -> None:
    """No fit, no seat height, no desk height or a body without eyes: no picture."""
    person, workplace = body(), Workplace()
    fit = assess(person, workplace)
    assert scene(person, workplace, None, None) is None
    for name in ("seat_height", "seat_depth", "desk_height"):
        less = {key: one for key, one in fit.requirements.items() if key != name}
        assert scene(person, workplace, replace(fit, requirements=less), None) is None
    blind = {k: d for k, d in person.dimensions.items() if k != "eye_height_sitting"}
    assert scene(replace(person, dimensions=blind), workplace, fit, None) is None


def test_a_picture_can_do_without_screen_and_arms() -> None:
    """Heights that are not known leave out their thing, not the picture."""
    person, workplace = body(), Workplace()
    fit = assess(person, workplace)
    kept = ("seat_height", "seat_depth", "desk_height")
    few = replace(fit, requirements={name: fit.requirements[name] for name in kept})
    found = scene(person, workplace, few, None)
    assert found is not None
    assert (found.screen, found.chair.arm) == (None, None)


@pytest.mark.parametrize("name", FITTED)
def test_demo_calls_show_what_their_fit_says(name: str) -> None:
    """A problem is in the picture if and only if the fit or the picked chair has it."""
    now = called(name)
    found = of_call(now)
    assert found is not None
    assert now.fit is not None
    assert now.picked is not None
    said = {note.name for note in now.fit.notes} & SEEN
    said |= {short.requirement for short in now.picked.shortfalls}
    assert problem_names(found) == said


@pytest.mark.parametrize("name", FITTED)
def test_demo_calls_are_drawn_as_set(name: str) -> None:
    """Every setting of the picked chair is a length in the picture."""
    now = called(name)
    found = of_call(now)
    assert found is not None
    assert now.picked is not None
    shown = lengths(found)
    for setting, line in {
        "seat_height": "seat height",
        "seat_depth": "seat depth",
        "armrest_height": "armrest above seat",
        "footrest_height": "footrest height",
    }.items():
        assert shown.get(line) == pytest.approx(now.picked.settings.get(setting))


def test_a_stopped_call_has_no_picture() -> None:
    """A warning sign ends product advice, and with it the picture."""
    assert of_call(called("04")) is None


@given(people(), workplaces(), st.sampled_from([None, ORDINARY, HIGH, HEAVY]))
@settings(deadline=None)
def test_any_person_at_any_desk(
    person: Estimate, workplace: Workplace, codes: tuple[str, ...] | None
) -> None:
    """Every number is finite, the signs count from 1, and every note that shows is marked."""
    fit = assess(person, workplace)
    found = scene(person, workplace, fit, ready(fit, *codes) if codes else None)
    assert found is not None
    points = [getattr(found.joints, one.name) for one in fields(found.joints)]
    flat = [value for point in points for value in (point if isinstance(point, tuple) else [point])]
    flat += [value for one in found.dimensions for value in (*one.start, *one.end, one.mm)]
    flat += [value for one in found.problems for value in one.where]
    assert all(math.isfinite(value) for value in flat)
    marks = [one.mark for one in found.problems]
    assert marks == [str(number) for number in range(1, len(marks) + 1)]
    assert len(marks) == len(problem_names(found)) <= 9
    assert {note.name for note in fit.notes} & SEEN <= problem_names(found)
    assert found.joints.heel[1] >= (found.footrest.top if found.footrest else 0.0) - 1e-6


@given(people(), workplaces(), st.sampled_from(["metric", "imperial", "both"]))
@settings(deadline=None)
def test_no_words_are_left_open(person: Estimate, workplace: Workplace, system: System) -> None:
    """Every length a sentence names is there to be written."""
    fit = assess(person, workplace)
    found = scene(person, workplace, fit, ready(fit, *HIGH))
    assert found is not None
    for one in found.problems:
        assert "<" not in one.text.text(system)


@given(people(), workplaces())
@settings(deadline=None)
def test_lines_are_as_long_as_they_say(person: Estimate, workplace: Workplace) -> None:
    """A dimension's two ends are its length apart, level or upright."""
    found = drawn(workplace, person)
    for one in found.dimensions:
        across, up = one.end[0] - one.start[0], one.end[1] - one.start[1]
        assert 0 in (across, up)
        assert across + up == pytest.approx(one.mm, abs=1e-6)


def test_tall_people_are_taller() -> None:
    """The head of a tall person is higher than that of a short one at the same desk."""
    desk = Workplace(Desk("fixed", 720.0, 25.0))
    assert drawn(desk, TALL).joints.head[1] > drawn(desk, SHORT).joints.head[1] + 100
