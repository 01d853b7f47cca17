"""Two stops in one call: the caller hears whom to ring first, and nobody else beside it."""

from __future__ import annotations

from datetime import datetime

import pytest

from consult.call.session import Session
from consult.summary.model import summarise
from tests.call.calls import call_of, seating, told

START = {"caller_name": "Ola", "who_sits": "caller", "reasons": "other_reason", "consent": "yes"}
SAID_AT = datetime(2026, 11, 25, 9, 0)


@pytest.mark.parametrize(
    ("signs", "heard"),
    [
        # NHS pages on stroke and on back pain: call 999. Doubt waits for 111, a clot for the GP.
        ("stroke, not_sure", "emergency_sign"),
        ("swollen_leg, both_legs", "emergency_sign"),
        ("swollen_leg, not_sure", "unsure_of_a_sign"),
        ("pregnancy, unwell", "pregnancy_sign"),
        ("operation, broken_skin", "skin_where_you_sit"),
    ],
)
def test_the_most_urgent_is_said(signs: str, heard: str) -> None:
    """All the stops hold; one is to say, and the document of the caller has its words alone."""
    session = Session(seating(), call_of({**START, "warning_signs": signs}), SAID_AT)
    assert len([one for one in session.now.cautions if one.caution.level == "stop"]) == 2
    assert [one.caution.name for one in session.now.to_say] == [heard]
    assert session.now.stopped is not None
    assert session.now.stopped.name == heard
    summary = summarise(seating(), session.now, reference="7K3-M2Q", adviser="Ann")
    assert [line.name for line in summary.cautions] == [heard]


def test_lifted_it_makes_way_for_the_other() -> None:
    """The lesser stop is in force all the while: with the graver one lifted alone, it is said."""
    call = call_of({**START, "warning_signs": "stroke, swollen_leg"})
    call = call.handle("emergency_sign", lifted="a slip of the finger", at=SAID_AT)
    session = Session(seating(), call, SAID_AT)
    assert session.now.stopped is not None
    assert [one.caution.name for one in session.now.to_say] == ["urgent_sign"]


def test_equals_are_both_said() -> None:
    """Two stops that send to the same place stand side by side."""
    now = told(seating(), **START, warning_signs="unwell, broken_skin")
    assert not any(one.outranked for one in now.cautions)


def test_a_referral_beside_a_stop() -> None:
    """Nobody hears "speak to your GP" beside "call 999"."""
    now = told(
        seating(), **START, warning_signs="none", pain_sites="numb_hands, legs",
        pain_signs="none", pain_since="days", special_care="none", legs_feel="legs_both_weak",
    )  # fmt: skip
    raised = {one.caution.name: one.outranked for one in now.cautions}
    assert raised["numb_hands_review"]
    assert now.stopped is not None
    assert not raised[now.stopped.name]
