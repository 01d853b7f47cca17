"""Minutes of a call: so far, and what is expected to be asked yet."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path

import pytest

from consult.call.ahead import STILL_WORTH, Pace, coming, work_out
from consult.call.basis import Basis
from consult.call.call import Answer, Call
from consult.call.session import Session
from consult.call.state import state_so_far
from consult.call.worth import seconds_of
from tests.call.calls import TODAY, small, told
from tests.call.test_pools import _basis

# -- minutes of a call: so far, and what is expected to be asked yet ------------------------------

AT = datetime(2026, 11, 25, 9, 0)
TREE = """
tree: little
title: Little
version: 1
first: hurts
works_out: nothing
questions:
  hurts:
    ask: Does it squeak when you sit down on it?
    answer: yes-no
    read_by: people
    next: where
  where:
    ask: And where does it squeak?
    answer: text
    skip_when: hurts == no
    next: goodbye
  goodbye:
    ask: Is there anything else?
    answer: text
    next: end
"""


@pytest.fixture
def basis(tmp_path: Path) -> Basis:
    return small(tmp_path, TREE)


def names(basis: Basis, **answers: str) -> list[str]:
    return [one.name for one in coming(basis, told(basis, **answers)).questions]


def test_the_questions_ahead_take_their_time(basis: Basis) -> None:
    """What is sure to be asked counts in full; what an answer to come may spare does not."""
    assert names(basis) == ["hurts", "goodbye"]
    assert names(basis, hurts="yes") == ["where", "goodbye"]
    assert names(basis, hurts="no") == ["goodbye"]
    asked = basis.tree.questions
    seconds = coming(basis, told(basis, hurts="yes")).seconds
    assert seconds == seconds_of(asked["where"]) + seconds_of(asked["goodbye"])


def test_nothing_is_left(basis: Basis) -> None:
    """At the end there is nothing to go."""
    assert coming(basis, told(basis, hurts="no", goodbye="no")).seconds == 0


def test_a_pool_counts_what_is_still_worth_asking() -> None:
    """Beside the question on the way, half of those worth their time now; in full all of them."""
    basis = _basis()
    call = Call(TODAY, answers=(Answer("stature", "172 cm"),))
    short, full = (
        coming(basis, state_so_far(basis, one)) for one in (call, call.led_in_full(True))
    )
    on_the_way = sum(map(seconds_of, short.questions))
    asked = {one.name: one for one in basis.tree.questions.values() if one.pool}
    most = on_the_way + STILL_WORTH * sum(map(seconds_of, asked.values()))
    assert on_the_way <= short.seconds < most
    others = [one for name, one in asked.items() if one not in full.questions and name != "likes"]
    in_full = sum(map(seconds_of, [*full.questions, *others]))
    assert full.seconds == pytest.approx(in_full)


@pytest.mark.parametrize(
    ("pace", "words", "short"),
    [
        (Pace(0, None), "under 1 min so far", "under 1 min so far"),
        (Pace(29, 29), "under 1 min so far, under 1 min to go", "0 min, under 1 min to go"),
        (Pace(240, 370), "4 min so far, about 6 to go", "4 min, 6 to go"),
        (Pace(560, 0), "9 min in all", "9 min in all"),
    ],
)
def test_as_it_is_read(pace: Pace, words: str, short: str) -> None:
    """Whole minutes, and no figure where none is known."""
    assert (pace.words, pace.short) == (words, short)


def test_minutes_so_far_outlast_a_hold(basis: Basis) -> None:
    """Answers keep what they took, so a continued call counts on; a hold does not count."""
    session = Session(basis, Call(TODAY), AT)
    later = AT + timedelta(seconds=100)
    session.offer("yes", later)
    session.hold(later + timedelta(seconds=20))
    back = later + timedelta(hours=3)
    session.go_on(back)
    assert session.pace(back + timedelta(seconds=5)).so_far == 125
    again = Session(basis, session.now.call, back)
    assert again.pace(back).so_far == 100


def test_to_go_is_known_once_it_is_worked_out(basis: Basis) -> None:
    """Before that no figure is made up; after an answer the last one stays until the next."""
    session = Session(basis, Call(TODAY), AT)
    assert session.pace(AT).to_go is None
    now = session.now
    assert session.take_in(now, work_out(basis, now))
    known = session.pace(AT).to_go
    assert known
    session.offer("no", AT)
    assert session.pace(AT).to_go == known
    session.offer("no", AT)
    assert session.pace(AT).to_go == 0
