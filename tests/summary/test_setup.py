"""The steps of setting up, in order and with the right numbers."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from consult.call.state import State
from consult.fit.workplace import DEFAULT_HEEL, Desk
from consult.range.parts import Kind, Span
from consult.summary.closing import card_steps
from consult.summary.known import remedies
from consult.summary.lines import AdviceLine, SetupStep
from consult.summary.model import summarise
from consult.summary.render import render
from consult.summary.setup import setup_steps
from consult.units import System, format_length
from tests.summary.calls import GOOD, UNKNOWN, basis, state_of, summary_of, with_picked

CALLS: dict[str, dict[str, str]] = {
    "good": GOOD,
    "unknown": UNKNOWN,
    "no desk": {**GOOD, "desk_kind": "none"},
    "moves": {**GOOD, "desk_kind": "adjustable"},
    "low desk": {**GOOD, "height": "198", "lower_leg": "50", "desk_height": "65"},
    "tall": {**GOOD, "height": "198", "lower_leg": "50", "mass": "105"},
}


def by_topic(state: State) -> dict[str, SetupStep]:
    """The steps of a state."""
    return {step.topic: step for step in setup_steps(state, ())}


def test_order() -> None:
    """Steps come as one does them: feet and seat, footrest, depth, back, arms, desk, screen."""
    steps = summary_of(GOOD).setup_steps
    assert [step.topic for step in steps] == [
        "shoes",
        "seat_height",
        "footrest",
        "seat_depth",
        "back",
        "lumbar",
        "armrests",
        "desk",
        "screen",
        "breaks",
    ]
    assert [step.order for step in steps] == list(range(1, 11))


@pytest.mark.parametrize("name", CALLS)
def test_numbers_are_those_to_set(name: str) -> None:
    """A step says what the picked chair is set to, else the fit's own figure."""
    state = state_of(CALLS[name])
    assert state.set_up is not None
    assert state.picked is not None
    settings = state.picked.settings
    steps = by_topic(state)
    for topic, figure in {
        "seat_height": "seat_height",
        "seat_depth": "seat_depth",
        "armrests": "armrest_height",
        "screen": "screen_top",
        "footrest": "footrest_height",
    }.items():
        if topic in steps and steps[topic].moves:
            wanted = settings.get(figure, state.set_up.requirements[figure].target)
            assert steps[topic].value_mm == wanted
    for step in steps.values():
        if step.value_mm is not None:
            assert format_length(step.value_mm, "both") in step.do.text("both")


@pytest.mark.parametrize("name", CALLS)
def test_sentences_are_short(name: str) -> None:
    """No sentence is longer than 25 words: it is read out over the telephone."""
    for step in setup_steps(state_of(CALLS[name]), ()):
        for sentence in re.split(r"(?<=[.?])\s", f"{step.do.text('imperial')} {step.check}"):
            assert len(sentence.split()) <= 25, sentence


def test_chair_that_comes_only_near() -> None:
    """Where the chair cannot be set to the figure, the step names both."""
    state = state_of(GOOD)
    assert state.picked is not None
    assert state.fit is not None
    own = state.fit.requirements["seat_height"].target
    near = with_picked(state, settings={**state.picked.settings, "seat_height": own - 30})
    step = by_topic(near)["seat_height"]
    assert step.value_mm == own - 30
    assert format_length(own, "metric") in step.do.text("metric")


def test_no_footrest_where_the_feet_reach_the_floor() -> None:
    """A seat that suits the legs needs no footrest."""
    assert "footrest" not in by_topic(state_of(CALLS["moves"]))


def test_no_footrest_where_the_seat_stays_low() -> None:
    """A chair too low for the desk needs no footrest even where the fit asked for one."""
    state = state_of(GOOD)
    assert state.picked is not None
    settings = {k: mm for k, mm in state.picked.settings.items() if k != "footrest_height"}
    lowered = with_picked(state, settings=settings, shortfalls=())
    assert not by_topic(lowered)["footrest"].moves


def test_a_footrest_that_comes_along_is_explained() -> None:
    """Ordered for legs that may be shorter than estimated: the reader hears when to use it."""
    state = state_of(CALLS["moves"])
    assert state.picked is not None
    rest = next(part for part in basis().range.on_sale("footrest"))  # type: ignore[union-attr]
    ordered = with_picked(state, parts={**state.picked.parts, "footrest": rest})
    step = by_topic(ordered)["footrest"]
    assert step.do.template.startswith("Only use the footrest if")
    assert (step.moves, step.value_mm) == ({}, None)
    feet = {one.feels: one.do for one in remedies([*by_topic(ordered).values()])}["Feet not flat"]
    assert feet.endswith("use the footrest.")


def test_keys_that_stay_above_the_elbows_are_not_checked_to_be_level() -> None:
    """A desk so deep that thighs and elbows cannot both have room: the card says what is seen."""
    steps = by_topic(state_of({**GOOD, "desk_thickness": "6"}))
    level, above = "Your elbows are level with the desk.", "The keys are still above your elbows."
    for step in (steps["seat_height"], steps["desk"]):
        assert above in step.check
        assert level not in step.check
    for step in (by_topic(state_of(GOOD))[topic] for topic in ("seat_height", "desk")):
        assert level in step.check


def test_no_armrests_no_step() -> None:
    """A chair without armrests has none to set."""
    state = state_of(GOOD)
    assert state.picked is not None
    arms = replace(state.picked.parts["arms"], height=None)
    armless = with_picked(state, parts={**state.picked.parts, "arms": arms})
    assert "armrests" not in by_topic(armless)


@pytest.mark.parametrize(
    ("features", "aside"),
    [
        (["arms_slide_back"], ", slide them back."),
        (["arms_swing_away"], ", swing them away."),
        ([], ", set them lower."),
    ],
)
@pytest.mark.parametrize("meet", [True, None, False])
def test_armrests_that_may_meet_the_desk(
    features: list[str], aside: str, meet: bool | None
) -> None:
    """How close somebody sits need not be known: then it is said under a condition, and only what
    these armrests can do."""
    state = state_of(GOOD)
    assert state.picked is not None
    assert state.fit is not None
    arms = replace(state.picked.parts["arms"], features=frozenset(features))
    seen = with_picked(state, parts={**state.picked.parts, "arms": arms})
    known = {k: v for k, v in state.fit.quantities.items() if k != "arms_meet_desk"}
    if meet is not None:
        known["arms_meet_desk"] = meet
    check = by_topic(replace(seen, fit=replace(state.fit, quantities=known)))["armrests"].check
    assert check.endswith(f"If they meet the desk when you sit close to it{aside}") == (
        meet is not False
    )


def test_armrests_with_no_way_aside() -> None:
    """Fixed armrests are not told to move, and there is nothing to meet where there is no desk."""
    state = state_of(GOOD)
    assert state.picked is not None
    arms = replace(state.picked.parts["arms"], height=(215.0, 215.0), features=frozenset())
    fixed = with_picked(state, parts={**state.picked.parts, "arms": arms})
    for seen in (fixed, state_of(CALLS["no desk"])):
        assert by_topic(seen)["armrests"].check.endswith("just touch your elbows.")


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("good", "Leave the desk as it is"),
        ("low desk", "Raise the desk by"),
        ("moves", "Bring the top of the desk to"),
        ("no desk", "Look for a desk"),
        ("unknown", "would suit you"),
    ],
)
def test_desk(name: str, said: str) -> None:
    """What to do about the desk depends on what desk it is."""
    assert said in by_topic(state_of(CALLS[name]))["desk"].do.text("metric")


def test_fixed_desk_of_unknown_height() -> None:
    """A desk nobody measured is not said to suit."""
    state = state_of({**GOOD, "desk_height": "?"})
    assert state.workplace.desk == Desk("fixed", None, 25.0)
    assert "would suit you" in by_topic(state)["desk"].do.text("metric")


def test_a_desk_that_stays_too_low_is_not_checked_against_the_elbows() -> None:
    """All the way up it is as high as it goes; the check does not ask for more."""
    state = state_of(CALLS["moves"])
    assert state.fit is not None
    low = replace(state.fit, quantities={**state.fit.quantities, "desk_too_low": True})
    assert "level with the desk" in by_topic(state)["desk"].check
    assert "all the way up" in by_topic(replace(state, fit=low))["desk"].check


def test_heel_not_known_is_said() -> None:
    """A heel that was only assumed is said to be so."""
    step = by_topic(state_of(UNKNOWN))["shoes"]
    assert step.value_mm == DEFAULT_HEEL
    assert "Nobody measured" in step.do.text("metric")


def test_varifocals() -> None:
    """Varifocal lenses are checked by the chin, not by eye level."""
    state = state_of(GOOD)
    workplace = replace(state.workplace, lenses="varifocal")
    assert "tipping your head" in by_topic(replace(state, workplace=workplace))["screen"].check


def test_advice_under_its_step() -> None:
    """Advice stands under the step of its topic, kindred topics included; others nowhere."""
    steps = {step.topic: step.advice for step in summary_of(GOOD).setup_steps}
    assert steps["seat_height"] == ("seat_first",)
    assert steps["back"] == ("open_hip",)
    assert "daylight" not in [name for names in steps.values() for name in names]


def test_no_fit_no_steps() -> None:
    """Without a fit there is nothing to set."""
    line = AdviceLine("a", "seat_height", "Sit.", "", ())
    assert setup_steps(replace(state_of(GOOD), fit=None), [line]) == ()
    assert summarise(basis(), state_of({**GOOD, "aches": "saddle"})).setup_steps == ()


@pytest.mark.parametrize(
    ("kind", "tilt", "words"),
    [
        ("back", (0.0, 20.0), "Unlock the back. It leans back 20 degrees. Set its tension"),
        ("back", (-4.0, 12.5), "It leans back 12.5 degrees. It also comes 4 degrees forward. Set"),
        (
            "seat",
            (-3.0, 8.0),
            "when you lean. The seat tilts 3 degrees forward and 8 degrees back.",
        ),
        ("seat", (0.0, 1.0), "The seat tilts 1 degree back."),
        ("seat", (0.0, 0.0), "so that it supports you when you lean."),
    ],
)
def test_a_tilt_is_told_in_degrees(kind: Kind, tilt: Span, words: str) -> None:
    """Where the step unlocks the back; the same in every unit."""
    state = state_of(GOOD)
    assert state.picked is not None
    assert "degree" not in by_topic(state)["back"].do.text("metric")
    part = replace(state.picked.parts[kind], tilt=tilt)
    tilted = with_picked(state, parts={**state.picked.parts, kind: part})
    systems: tuple[System, ...] = ("metric", "imperial")
    for system in systems:
        said = by_topic(tilted)["back"].do.text(system)
        assert words in said
        assert ("degree" in said) is any(tilt)


def test_the_lever_of_a_tilt_is_on_the_card_and_read_at_its_step() -> None:
    """Where a range says where it is."""
    state = state_of(GOOD)
    assert state.picked is not None
    part = replace(state.picked.parts["seat"], tilt=(0.0, 5.0), tilt_find="Seat tilt: knob, right.")
    tilted = with_picked(state, parts={**state.picked.parts, "seat": part})
    summary = summarise(basis(), tilted)
    assert "Seat tilt: knob, right." in card_steps(summary)["back"].text("metric")
    assert "Seat tilt: knob, right." in render(basis(), summary, "text", "metric", "card")
    assert "Seat tilt" not in render(basis(), summarise(basis(), state), "text", "metric", "card")
