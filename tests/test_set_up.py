"""The tree that sets up a delivered chair on the telephone."""

from __future__ import annotations

from datetime import date
from functools import cache

import pytest

from consult.call.basis import Basis, load_basis
from consult.call.follow_up import begin, compare
from consult.call.state import State
from consult.paths import trees_folder
from tests.call.calls import told
from tests.call.test_follow_up import first
from tests.long import every_case

HERE = {
    "first_reference": "7K3-M2Q",
    "caller_name": "Niamh Corrigan-Vale",
    "who_sets_up": "sitter",
    "chair_state": "whole",
    "consent": "no",
    "warning_signs": "none",
    "card_here": "yes",
    "castors_step": "step_done",
    "lift_step": "step_done",
}
IN_ORDER = (
    "castors_step",
    "lift_step",
    "height_step",
    "depth_step",
    "lumbar_step",
    "tension_step",
    "lock_step",
    "arms_step",
    "desk_step",
    "feet_step",
    "screen_step",
    "last_check",
)


@cache
def set_up() -> Basis:
    """The shipped tree."""
    basis, problems = load_basis(trees_folder() / "set_up.yaml")
    assert basis is not None, problems
    return basis


def setting(**more: str) -> State:
    """The chair whole and firm, without consent, with these answers otherwise."""
    return told(set_up(), **(HERE | more))


def asked(now: State) -> list[str]:
    """The questions on the way, in order."""
    return [step.question.name for step in now.steps]


def test_each_setting_comes_after_the_one_it_hangs_on() -> None:
    """From the base to the screen, and standing up and sitting down again at the end."""
    done = dict.fromkeys(IN_ORDER[2:-1], "step_done") | {"feet_step": "feet_flat"}
    way = asked(setting(**done, last_check="all_well"))
    places = [way.index(name) for name in IN_ORDER]
    assert places == sorted(places)
    assert not [name for name in way if name.endswith("_again")]


@every_case([one for one in IN_ORDER if one.endswith("_step")])
def test_what_fails_is_tried_a_second_time(step: str) -> None:
    """Every step that failed has a second try, described in other words."""
    tree = set_up().tree
    again = tree.questions[step.replace("_step", "_again")]
    assert tuple(again.choices) == ("done_now", "still_not")
    assert again.ask != tree.questions[step].ask
    fails = next(one for one in ("stuck", "feet_hang") if one in tree.questions[step].choices)
    before = dict.fromkeys(IN_ORDER[: IN_ORDER.index(step)], "step_done")
    if "feet_step" in before:
        before["feet_step"] = "feet_flat"
    known = dict.fromkeys(("seat_now", "depth_now", "arms_now", "desk_now"), "?")
    now = setting(**(before | known | {step: fails}))
    assert again.name in asked(now)


PARTS = ("cap_off", "lift_in_base", "seat_on", "put_together")


def test_a_chair_in_parts_is_put_together_from_the_base_up() -> None:
    """Castors, the cap off, gas lift, seat, the rest, and only then is it leaned on."""
    done = dict.fromkeys((*PARTS, *IN_ORDER[2:-1]), "step_done") | {"feet_step": "feet_flat"}
    way = asked(setting(chair_state="in_parts", **done, last_check="all_well"))
    order = ("castors_step", *PARTS, "lift_step", "height_step")
    places = [way.index(name) for name in order]
    assert places == sorted(places)
    assert not set(PARTS) & set(asked(setting(**done, last_check="all_well")))


@pytest.mark.parametrize("part", PARTS)
@pytest.mark.parametrize("how", ["part_missing", "no_go"])
def test_what_does_not_go_together_goes_to_service(part: str, how: str) -> None:
    """Nothing further is put on, and nobody sits on it."""
    before = dict.fromkeys(PARTS[: PARTS.index(part)], "step_done")
    now = setting(chair_state="in_parts", **before, **{part: how}, setting_words="a screw")
    assert not {*PARTS[PARTS.index(part) + 1 :], "lift_step", "height_step"} & set(asked(now))
    assert "damaged_chair" in {one.caution.name for one in now.cautions}
    assert "set_up_note" in {one.advice.name for one in now.advice}


@pytest.mark.parametrize("part", ["castors", "lift"])
def test_a_loose_chair_is_not_sat_on(part: str) -> None:
    """A castor or a gas lift that does not hold ends in a note, and nobody sits down to try."""
    loose = {f"{part}_step": "stuck", f"{part}_again": "still_not"}
    before = setting(**loose)
    assert before.current is not None
    assert before.current.name == "unsafe_words"
    assert "don't sit on it" in before.current.ask
    now = setting(**loose, unsafe_words="it falls out")
    assert "do_not_sit_on_it" in {one.caution.name for one in now.cautions}
    assert {"put_it_aside", "set_up_note"} <= {one.advice.name for one in now.advice}
    assert "height_step" not in asked(now)


def test_a_control_that_stays_stuck_goes_to_service() -> None:
    """The chair is set as far as it goes, and the caller hears what to do meanwhile."""
    done = dict.fromkeys(IN_ORDER[2:-1], "step_done") | {"feet_step": "feet_flat"}
    stuck = {"depth_step": "not_found", "depth_again": "still_not", "last_check": "all_well"}
    now = setting(**(done | stuck), setting_words="it does not slide")
    names = {one.advice.name for one in now.advice}
    assert names >= {"set_up_note", "depth_meanwhile"}


def test_a_sign_stops() -> None:
    """A sign owned up to when the list is read stops, though nothing else is asked about health."""
    now = setting(warning_signs="weak_hand")
    assert now.stopped is not None
    assert "castors_step" not in asked(now)


def test_an_operation_comes_before_any_lever() -> None:
    """In doubt about limits nothing is set; who operated is asked first."""
    sick = {"consent": "yes", "pain_sites": "none", "special_care": "operation_before"}
    limits = {"operated_on": "hip_joint", "operated_ago": "over_a_year"}
    now = setting(**sick, **limits, operation_limits="limits_unsure")
    assert "castors_step" not in asked(now)
    assert "surgeons_first" in {one.advice.name for one in now.advice}
    free = setting(**sick, **limits, operation_limits="limits_none")
    assert "castors_step" in asked(free)


def test_it_follows_the_first_call() -> None:
    """The reference and the name are there already, and what is measured is held against it."""
    began = begin(set_up().tree, first().call, "Niamh Corrigan-Vale", "7K3-M2Q", date(2026, 12, 9))
    assert {one.question: one.said for one in began.answers} == {
        "first_reference": "7K3-M2Q",
        "caller_name": "Niamh Corrigan-Vale",
    }
    now = setting(height_step="step_done", seat_now="52 cm")
    (line,) = [one for one in compare(first(), now, "metric") if one.topic == "Seat height"]
    assert line.now == "52 cm"
    assert line.do.startswith("Lower the seat")


def test_no_words_of_our_range_for_chairs_of_others() -> None:
    """Controls are told by what the hand feels, not in the words of our price list."""
    range_ = set_up().range
    assert range_ is not None
    finds = {part.find for parts in range_.parts.values() for part in parts if part.find}
    assert finds
    asks = [q.ask for q in set_up().tree.questions.values()]
    assert not [ask for ask in asks for find in finds if find in ask]


def test_health_is_asked_once_at_the_end() -> None:
    """With consent only, after the last check, and only where that was not all well."""
    well = {"consent": "yes", "pain_sites": "none", "special_care": "none"}
    done = dict.fromkeys(IN_ORDER[2:-1], "step_done") | {"feet_step": "feet_flat"}
    assert "hurts_now" in asked(setting(**(well | done), last_check="back_off"))
    assert "hurts_now" not in asked(setting(**(well | done), last_check="all_well"))
    assert "hurts_now" not in asked(setting(**done, last_check="back_off"))


def test_nothing_is_arranged_where_nothing_is_open() -> None:
    """A chair that sits right ends the call; one that does not is followed up."""
    done = dict.fromkeys(IN_ORDER[2:-1], "step_done") | {"feet_step": "feet_flat"}
    figures = {"seat_now": "46 cm", "desk_now": "72 cm"}
    assert setting(**(done | figures), last_check="all_well").current is None
    left = setting(**(done | figures), last_check="back_off").current
    assert left is not None
    assert left.name == "caller_contact"
