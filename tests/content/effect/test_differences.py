"""The chair of a call, and what it is made from."""

from __future__ import annotations

from dataclasses import replace

import pytest

from consult.call.state import State, state, state_so_far
from consult.content.effect.differences import rests_on, result_chair, targets
from tests.call.calls import call_of, seating

# -- the chair of a call, and what it is made from ------------------------------------------------

SAID = {
    "sex": "women",
    "stature": "163 cm",
    "stature_origin": "measured",
    "lower_leg": "38 cm",
    "elbow_height": "23 cm",
    "desk_kind": "fixed",
    "desk_height": "74 cm",
    "floor": "carpet",
}


def told(**more: str) -> State:
    """The state of the call with some answers other, and no chair chosen."""
    return state_so_far(seating(), call_of({"who_sits": "caller", **SAID, **more}))


def test_the_chair_is_the_one_the_desk_suggests() -> None:
    """Part for part and setting for setting."""
    call = call_of({"who_sits": "caller", **SAID})
    picked = state(seating(), call).picked
    found = result_chair(seating(), told())
    assert picked is not None
    assert found is not None
    assert found.codes == {kind: part.code for kind, part in picked.parts.items()}
    assert found.settings == picked.settings


@pytest.mark.parametrize(
    "more",
    [
        {"sex": "men"},
        {"stature": "164 cm"},
        {"stature_origin": "remembered"},
        {"lower_leg": "39 cm"},
        {"desk_height": "78 cm"},
        {"heel": "4 cm"},
        {"floor": "hard"},
        {"weight": "130 kg"},
    ],
)
def test_all_that_can_alter_the_chair_counts(more: dict[str, str]) -> None:
    """Body, sex, workplace and needs: with any other, the chair has to be chosen anew."""
    assert rests_on(seating(), told()) != rests_on(seating(), told(**more))


@pytest.mark.parametrize("more", [{"budget": "500"}, {"hours": "6"}, {"caller_name": "Ada"}])
def test_what_cannot_alter_it_does_not(more: dict[str, str]) -> None:
    """Then choosing once more would be time lost, as the chair is the same."""
    assert rests_on(seating(), told()) == rests_on(seating(), told(**more))
    assert result_chair(seating(), told()) == result_chair(seating(), told(**more))


def test_no_chair_without_a_range_or_after_a_stop() -> None:
    """Then there is nothing it rests on, and nothing to set after a stop."""
    without = replace(seating(), range=None)
    assert rests_on(without, told()) is None
    assert result_chair(without, told()) is None
    young = told(who_sits="young_person")
    assert rests_on(seating(), young) is None
    assert result_chair(seating(), young) is None
    assert targets(young) == {}
    assert targets(told())["seat_height"] > 300
