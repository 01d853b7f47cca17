"""The tree for a chair that somebody already has."""

from __future__ import annotations

from functools import cache

import pytest

from consult.call.basis import Basis, load_basis
from consult.call.state import State
from consult.paths import default_tree, trees_folder
from consult.tree.settings import settings_of
from tests.call.calls import told

HERE = {
    "caller_name": "Patricia Sandiford",
    "who_sits_there": "sitter",
    "consent": "no",
    "warning_signs": "none",
}
WELL = {"consent": "yes", "pain_sites": "none", "special_care": "none"}
UNSAFE = {
    "cracked": {},
    "seat_sinks": {},
    "tips_wobbles": {"tips_first": "cannot_set", "tips_last": "same"},
}
MENDED = {"tips_first": "helped"}, {"tips_first": "same", "tips_last": "helped"}
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


def test_every_step_asks_one_thing_and_whether_it_helped() -> None:
    """Each thing to try is one question, answered in a word."""
    steps = [q for q in my_chair().tree.questions.values() if tuple(q.choices) == TRIED]
    assert {q.name for q in steps} >= {"feet_first", "feet_last", "lever_tried", "screen_then"}
    for one in steps:
        assert one.ask.rstrip().endswith("?"), one.name
        assert one.ask.count("?") == 1, one.name
        assert not one.unknown_allowed, one.name
        assert one.coach, one.name


def test_one_thing_after_the_other() -> None:
    """The next thing is asked only where the one before did not help."""
    now = tried(trouble="feet_dangle")
    assert now.current is not None
    assert now.current.name == "feet_first"
    assert "feet_last" not in asked(tried(trouble="feet_dangle", feet_first="helped"))
    for answer in ("same", "cannot_set"):
        on = tried(trouble="feet_dangle", feet_first=answer)
        assert on.current is not None
        assert on.current.name == "feet_last"


@pytest.mark.parametrize("fault", UNSAFE)
def test_an_unsafe_chair_is_not_sat_on(fault: str) -> None:
    """Nobody is told to try what is tried sitting, nor asked about health for it."""
    told_ = {"trouble": f"{fault}, lever_dead, rolls_away, feet_dangle", **UNSAFE[fault]}
    asks = tried(**(WELL | told_)).current
    assert asks is not None
    assert asks.name == "unsafe_words"
    assert "don't sit on this chair" in asks.ask
    now = tried(**(WELL | told_), unsafe_words="it gives way")
    assert "do_not_sit_on_it" in {one.caution.name for one in now.cautions}
    assert "put_it_aside" in advised(now)
    assert asked(now).isdisjoint({"pain_sites", "feet_first", "lever_tried", "away_tried"})
    assert now.current is not None
    assert now.current.name == "whose_chair"


@pytest.mark.parametrize("answers", MENDED)
def test_a_mended_chair_is_sat_on_again(answers: dict[str, str]) -> None:
    """Where the empty chair was put right, the call goes on to how they sit."""
    now = tried(trouble="tips_wobbles, feet_dangle", **answers)
    assert "do_not_sit_on_it" not in {one.caution.name for one in now.cautions}
    assert now.current is not None
    assert now.current.name == "feet_first"


@pytest.mark.parametrize("more", ["", ", cracked", ", feet_dangle"])
def test_a_sign_said_by_the_way_stops(more: str) -> None:
    """Wherever it is said, without consent too, and before anything else is tried."""
    now = tried(trouble=f"sign_said{more}")
    assert now.stopped is not None
    assert now.stopped.name == "sign_by_the_way"
    assert now.advice == ()
    assert now.current is not None
    assert now.current.name == "with_somebody"


def test_aches_are_asked_about_with_consent_only() -> None:
    """Without a yes no question about health is asked, whatever is ticked."""
    now = tried(trouble="ache_said")
    assert {s.question.name for s in now.steps if s.question.private == "health"} == {
        "warning_signs"
    }
    assert "ache_by_the_way" in {one.caution.name for one in now.cautions}


def test_what_forbids_a_step_is_known_before_it() -> None:
    """With a yes, aches and operations are asked about before anything is tried sitting."""
    now = tried(consent="yes", trouble="feet_dangle")
    assert now.current is not None
    assert now.current.name == "pain_sites"


def test_a_chair_somewhere_else_is_not_tried() -> None:
    """Nothing is tried and no ache asked about; a fault is noted all the same."""
    now = tried(who_sits_there="chair_away", consent="yes", trouble="feet_dangle, lever_dead")
    assert now.current is not None
    assert now.current.name == "fault_words"
    assert "pain_sites" not in asked(now)
    assert "ring_from_the_chair" in advised(now)


def test_nothing_is_arranged_where_nothing_is_open() -> None:
    """A step that helped ends the call; one that did not, a fault or a referral is followed up."""
    assert tried(**WELL, trouble="neck_bends", screen_first="helped").current is None
    assert tried(**WELL, trouble="none").current is None
    sore = {**WELL, "pain_sites": "neck", "trouble": "none"}
    left_open = (
        {**WELL, "trouble": "neck_bends", "screen_first": "same", "screen_then": "same"},
        {**sore, "pain_signs": "lasting"},
        {"trouble": "cracked", "unsafe_words": "it split", "whose_chair": "ours"},
    )
    for answers in left_open:
        now = tried(**answers)
        assert now.current is not None
        assert now.current.name == "caller_contact"
    assert tried(**sore, pain_signs="none").current is None


def test_nothing_is_promised_of_the_warranty() -> None:
    """Who pays is said by the maker's own terms alone; no text says that a fault is covered."""
    tree = my_chair().tree
    texts = [*(one.say for one in tree.advice), *(q.ask for q in tree.questions.values())]
    for word in ("warranty", "guarantee", "free of charge", "we replace", "covered"):
        assert not [text for text in texts if word in text.lower()]
    notes = [one.say for one in tree.advice if one.name == "note_to_service"]
    assert settings_of(default_tree().parent).terms.service in notes[0]
