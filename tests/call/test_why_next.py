"""Why a question is next: what its answer could change, on one line."""

from __future__ import annotations

from dataclasses import replace

import pytest

from consult.call.ahead import MOST_CHARACTERS, why_next
from consult.call.state import State
from consult.tree.condition import parse_condition
from tests.call.calls import told
from tests.call.test_gains import basis


def why(name: str, now: State | None = None) -> str:
    """What would be said if this question were next."""
    now = now or told(basis(), stature="172 cm")
    return why_next(basis(), replace(now, current=basis().tree.questions[name]))


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("kind", "kind: could change the gas lift and add a footrest"),
        ("floor", "floor: decides the castors"),
        ("wishes", "wishes: could change the back"),
        ("several", "several: decides the armrests"),
        ("close", ""),
        ("words", ""),
        ("stature", ""),
    ],
)
def test_what_it_could_change(name: str, words: str) -> None:
    """Parts for what the fit hangs on and for what a need calls for; nothing where nothing."""
    assert why(name) == words


def test_a_need_of_a_question_it_leads_to() -> None:
    """What is asked only after a yes counts for the question that lets it be asked."""
    tree = basis().tree
    arms = parse_condition("arms").resolve(tree.questions.keys())
    needs = [replace(one, when=arms) for one in tree.needs if one.name == "both"]
    now = replace(told(basis(), stature="172 cm"), current=tree.questions["several"])
    for left, words in ((needs, "several: decides the armrests"), ([], "")):
        changed = replace(basis(), tree=replace(tree, needs=tuple(left)))
        assert why_next(changed, now) == words


def test_it_stays_on_one_line() -> None:
    """A long name is cut, and as many parts are named as there is room for."""
    now = told(basis(), stature="172 cm")
    long = replace(basis().tree.questions["leg"], name="the_length_of_the_lower_leg_" * 3)
    said = why_next(basis(), replace(now, current=long))
    assert len(said) <= MOST_CHARACTERS
    assert "\N{HORIZONTAL ELLIPSIS}: could change the" in said
    middling = replace(long, name="the_length_of_the_lower_leg_with_shoes")
    said = why_next(basis(), replace(now, current=middling))
    assert said.startswith("the length of the lower leg with shoes: could change the ")
    assert len(said) <= MOST_CHARACTERS


def test_nothing_where_no_chair_is_chosen() -> None:
    """Without a range, after a stop and at the end of a call."""
    now = told(basis(), stature="172 cm")
    kind = basis().tree.questions["kind"]
    assert why_next(replace(basis(), range=None), replace(now, current=kind)) == ""
    assert why_next(basis(), replace(now, current=kind, fit=None)) == ""
    assert why_next(basis(), replace(now, current=None)) == ""


def test_it_is_surer_at_least() -> None:
    """Where no part would change the answer still tells whether the chair fits."""
    now = told(basis(), stature="172 cm", leg="38 cm", kind="fixed", height="74 cm")
    assert why("weight", now) == "weight: makes it surer that the chair fits"
