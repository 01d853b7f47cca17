"""How many different things callers say for one and the same: nobody hears the same call twice."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from itertools import combinations

import pytest

from consult.practice.answering import Voice
from consult.practice.load import load_persona
from consult.practice.log import Ask
from consult.practice.model import Manner, Persona
from consult.practice.model_call import led_exercise
from consult.practice.speech import reply
from consult.practice.ways import keyed
from tests.call.calls import basis_of
from tests.long import LONG
from tests.practice.callers import CALLERS, survey
from tests.practice.trainees import BEGAN

WAYS = ("plain", "brisk", "gentle", "cheerful", "tired", "exact")


def person(way: str) -> Persona:
    """The shipped caller who is somebody else every time, in a way of speaking."""
    tree = basis_of("seating").tree
    persona, problems = load_persona(CALLERS / "somebody_new.yaml", tree, survey(), 1)
    assert persona is not None, problems
    return replace(persona, manner=Manner(way=way), behaviours=())


@pytest.mark.parametrize("name", ["yes", "no", "not_known", "figure", "measured", "hurry"])
def test_sixty_different_replies(name: str) -> None:
    """At least 60 ways to say the same, over the ways of speaking."""
    said = set()
    for way in WAYS:
        persona = person(way)
        for seed in range(250):
            voice = Voice(persona, keyed(seed, persona.name, 1))
            said.add(voice.remark(name) if name == "hurry" else voice.phrase(name))
    assert len(said) >= 60


def test_words_before_an_answer_do_not_change_it() -> None:
    """An "er" or a "well" is said and not entered."""
    persona = person("plain")
    turns = [reply(persona, seed, (), Ask("stature")) for seed in range(40)]
    assert len({turn.caller for turn in turns}) > 20
    assert len({turn.tells["stature"] for turn in turns}) == 1


DRAWN = ["chair_for_the_study", "somebody_new"]
if LONG:
    DRAWN = [path.stem for path in sorted(CALLERS.glob("*.yaml")) if "\ndraws:" in path.read_text()]


def heard(name: str, seed: int) -> Counter[str]:
    """What a caller said in a whole call."""
    basis = basis_of("seating")
    persona, problems = load_persona(CALLERS / f"{name}.yaml", basis.tree, survey(), seed)
    assert persona is not None, problems
    return Counter(
        turn.caller for turn in led_exercise(basis, persona, seed, "guided", BEGAN).turns
    )


@pytest.mark.parametrize("name", DRAWN)
def test_no_two_calls_in_a_row_are_alike(name: str) -> None:
    """One caller's file with 6 seeds, or 30: no two have more than half of what is said alike."""
    calls = [heard(name, seed) for seed in range(30 if LONG else 6)]
    for one, other in combinations(calls, 2):
        assert (one & other).total() <= min(one.total(), other.total()) / 2
