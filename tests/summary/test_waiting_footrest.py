"""A short caller at a desk whose height is not known: what the papers say of chair and footrest."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from consult.call.state import State, state
from consult.picture.scene import scene
from consult.summary.closing import closing
from consult.summary.model import summarise
from consult.summary.setup import setup_steps
from tests.call.calls import call_of, seating

FEET_DANGLE = {
    "who_sits": "1",
    "consent": "yes",
    "warning_signs": "none",
    "how_measure": "no_tape",
    "stature": "4 ft 11½",
    "weight": "7 st 7",
    "sex": "1",
    "floor": "hard",
    "desk_kind": "fixed",
    "agreed": "recommended",
}
"""As short legs are without a tape: every usual desk is far too high for them."""


@cache
def short_caller(**more: str) -> State:
    """The call, with a few answers more or others."""
    return state(seating(), replace(call_of(FEET_DANGLE | more), system="imperial"))


def lift(now: State) -> str:
    assert now.picked is not None
    return now.picked.parts["gas_lift"].code


@pytest.mark.parametrize("height", ["70 cm", "71 cm", "73 cm", "75 cm"])
def test_the_chair_is_for_the_desk_that_is_likely(height: str) -> None:
    """Lower lifts there are, but at any usual desk the seat goes up and the feet on a footrest."""
    known = short_caller(desk_height=height)
    assert lift(short_caller()) == "LIFT-HIGH"
    assert known.fit is not None
    assert known.fit.quantities["footrest_needed"] is True
    assert known.picked is not None
    assert "footrest" in known.picked.parts
    assert not known.missing.get("footrest_height")


def test_a_low_desk_gets_the_lower_chair_that_was_spoken_of() -> None:
    """Up to the height named there is a chair that leaves the feet on the floor."""
    picked = short_caller().picked
    assert picked is not None
    desk = picked.shortfalls[0].say.lengths["desk"]
    below = short_caller(desk_height=f"{desk:.0f} mm")
    assert lift(below) == "LIFT-LOW"
    assert below.fit is not None
    assert below.fit.quantities["footrest_needed"] is False


def test_the_footrest_is_said_to_come() -> None:
    """It is not on the order, which waits for it, and nothing says that it may not be needed."""
    now = short_caller()
    assert now.picked is not None
    assert "footrest" not in now.picked.parts
    (short,) = now.picked.shortfalls
    assert (short.part_kind, short.requirement) == ("footrest", "footrest_height")
    assert short.say.text("imperial") == (
        "This chair needs a footrest at least 3½ in high. It is ordered once the desk is known. If "
        "the desk can stand at 23¾ in or lower, ask for a lower chair instead."
    )
    summary = summarise(seating(), now)
    why = (
        "The chair needs one, and how high depends on the height of the desk, which we don't know."
    )
    assert summary.missing["footrest_height"] == why
    said = closing(seating(), now, summary, "imperial")
    assert f"Footrest height: {why}" in said["Still missing"]
    asking = "Worth asking: desk height. It decides which footrest comes with it."
    assert said["Unsure"][-1] == asking


def test_an_order_that_waits_for_the_desk_is_held() -> None:
    """Even where nothing else is left to ask; with the desk known it is not."""
    held = replace(short_caller(), current=None)
    free = replace(short_caller(desk_height="72 cm"), current=None)
    assert summarise(seating(), held, reader="order", reasons=False).hold is True
    assert summarise(seating(), free, reader="order", reasons=False).hold is False


def test_desk_and_screen_are_set_to_the_seat_of_the_chair() -> None:
    """Steps, figures and picture go by the seat that the chair has, not by the one it has not."""
    now = short_caller()
    assert now.fit is not None
    assert now.picked is not None
    raised = now.picked.settings["seat_height"] - now.fit.requirements["seat_height"].target
    assert raised > 80
    steps = {step.topic: step for step in setup_steps(now, ())}
    figures = summarise(seating(), now, reasons=False).fit
    drawn = scene(now.estimate, now.workplace, now.set_up, now.picked)
    assert drawn is not None
    assert drawn.screen is not None
    shown = {"desk_height": drawn.table.top, "screen_top": drawn.screen.top}
    for topic, figure in (("desk", "desk_height"), ("screen", "screen_top")):
        own = now.fit.requirements[figure].target
        assert steps[topic].value_mm == pytest.approx(own + raised, abs=1)
        assert figures[figure].target == steps[topic].value_mm == shown[figure]
    assert steps["seat_height"].check.endswith("Your feet come in the next step.")
    assert steps["footrest"].do.template.startswith("Put something firm under your feet")


def test_a_desk_that_moves_is_set_no_further_than_it_goes() -> None:
    """A chair that was chosen in place of a lower one takes the desk along, to the end of it."""
    moves = {"desk_kind": "adjustable", "desk_lowest": "58 cm"}
    asked = {"agreed": "other", "agreed_parts": "LIFT-HIGH"}
    free, low = short_caller(**moves, **asked), short_caller(**moves)
    for now in (free, low):
        assert now.set_up is not None
        assert now.fit is not None
        assert now.picked is not None
        raised = now.picked.settings["seat_height"] - now.fit.requirements["seat_height"].target
        by = (
            now.set_up.requirements["desk_height"].target
            - now.fit.requirements["desk_height"].target
        )
        assert by == pytest.approx(raised, abs=1)
    assert free.set_up is not None
    top = replace(free.workplace.desk, highest=620.0)
    ends = replace(free, workplace=replace(free.workplace, desk=top)).set_up
    assert ends is not None
    assert ends.requirements["desk_height"].target == 620.0
