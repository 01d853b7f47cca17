"""The tree for a chair that somebody already has."""

from __future__ import annotations

from functools import cache

import pytest

from consult.call.basis import Basis, load_basis
from consult.call.state import State
from consult.paths import trees_folder
from tests.call.calls import told

HERE = {
    "caller_name": "Perpetua Sandiford",
    "who_sits_there": "sitter",
    "whose_chair": "other_make",
    "consent": "no",
    "warning_signs": "none",
    "at_the_chair": "yes",
    "chair_wrong": "none",
}
UNSAFE = {
    "cracked": {},
    "seat_sinks": {"lever_pressed": "pressed"},
    "tips_wobbles": {"tips_first": "cannot_set", "tips_last": "same"},
}
MENDED = {
    "tips_wobbles": {"tips_first": "same", "tips_last": "helped"},
}
TRIED = ("helped", "same", "cannot_set")


@cache
def my_chair() -> Basis:
    """The shipped tree."""
    basis, problems = load_basis(trees_folder() / "my_chair.yaml")
    assert basis is not None, problems
    return basis


def tried(**more: str) -> State:
    """A call from beside the chair, without consent, with these answers otherwise."""
    return told(my_chair(), **(HERE | more))


def asked(now: State) -> set[str]:
    """The questions on the way."""
    return {step.question.name for step in now.steps}


def advised(now: State) -> set[str]:
    """The advice given."""
    return {one.advice.name for one in now.advice}


def test_nothing_is_worked_out() -> None:
    """A chair that stands there is set by what is felt."""
    assert not my_chair().tree.fits


def test_every_step_says_how_right_feels_and_asks_whether_it_helped() -> None:
    """Each thing to try is one question, with how to feel that it is right, answered in a word."""
    steps = [q for q in my_chair().tree.questions.values() if tuple(q.choices) == TRIED]
    assert len(steps) > 35
    assert {q.name for q in steps} >= {"feet_first", "feet_then", "feet_last", "hands_last"}
    for one in steps:
        assert one.ask.rstrip().endswith("?"), one.name
        assert not one.unknown_allowed, one.name
        assert one.coach, one.name


def test_one_thing_after_the_other() -> None:
    """The next thing is asked only where the one before did not help."""
    now = tried(sits_wrong="feet_dangle")
    assert now.current is not None
    assert now.current.name == "feet_first"
    assert "feet_then" not in asked(tried(sits_wrong="feet_dangle", feet_first="helped"))
    for answer in ("same", "cannot_set"):
        on = tried(sits_wrong="feet_dangle", feet_first=answer)
        assert on.current is not None
        assert on.current.name == "feet_then"


@pytest.mark.parametrize("fault", UNSAFE)
def test_an_unsafe_chair_is_not_sat_on(fault: str) -> None:
    """Nobody is asked how they sit on it, nor told to try what is tried sitting."""
    now = tried(chair_wrong=f"{fault}, lever_dead, rolls_away", **UNSAFE[fault], other_seat="yes")
    assert "do_not_sit_on_it" in {one.caution.name for one in now.cautions}
    assert "put_it_aside" in advised(now)
    assert asked(now).isdisjoint({"sits_wrong", "lever_first", "away_first"})
    assert now.current is not None
    assert now.current.name == "fault_words"


@pytest.mark.parametrize("fault", MENDED)
def test_a_mended_chair_is_sat_on_again(fault: str) -> None:
    """Where the empty chair was put right, the call goes on to how they sit."""
    now = tried(chair_wrong=fault, **MENDED[fault])
    assert "do_not_sit_on_it" not in {one.caution.name for one in now.cautions}
    assert now.current is not None
    assert now.current.name == "sits_wrong"


@pytest.mark.parametrize("place", ["chair_wrong", "sits_wrong"])
def test_a_sign_said_by_the_way_stops(place: str) -> None:
    """Wherever it is said, without consent too, and before anything else is tried."""
    now = tried(**{place: "sign_said"})
    assert now.stopped is not None
    assert now.stopped.name == "sign_by_the_way"
    assert now.advice == ()
    assert now.current is not None
    assert now.current.name == "with_somebody"


def test_aches_are_asked_about_with_consent_only() -> None:
    """Without a yes no question about health is asked, whatever is ticked."""
    now = tried(sits_wrong="ache_said")
    assert {s.question.name for s in now.steps if s.question.private == "health"} == {
        "warning_signs"
    }
    assert "ache_by_the_way" in {one.caution.name for one in now.cautions}


def test_nothing_is_promised_of_the_warranty() -> None:
    """Who pays is left to the terms; no text says that a fault is covered."""
    tree = my_chair().tree
    texts = [*(one.say for one in tree.advice), *(q.ask for q in tree.questions.values())]
    for word in ("warranty", "guarantee", "free of charge", "we replace", "covered"):
        assert not [text for text in texts if word in text.lower()]
    notes = [one.say for one in tree.advice if one.name == "note_to_service"]
    assert "terms" in notes[0]
