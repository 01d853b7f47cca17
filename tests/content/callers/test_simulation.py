"""Simulated callers led through trees."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from consult.call.basis import Basis
from consult.call.state import State
from consult.content.callers.simulation import (
    CallerSource,
    drawn,
    leans_on_pools,
    led_state,
)
from consult.range.parts import OPTIONS
from consult.tree.shares import NO_SHARES, QuestionShares, Shares
from tests.call.calls import TODAY, seating, small
from tests.content.callers.people import SEED, caller, led, shares, source
from tests.long import LONG

MANY = 500
LED = MANY if LONG else 60
"""Led the short way, which weighs each question; ``test_all_trees`` leads more, of every tree."""
OFTEN = 40
"""Of them; a question asked of fewer, as of the very tall, need not get every answer."""
LITTLE = """\
tree: little
title: A little tree
version: 1
first: fond
questions:
  fond:
    ask: Are you fond of it?
    answer: yes-no
    unknown: refused
    next:
      - when: fond
        go: why
      - otherwise: width
  why:
    ask: Why?
    answer: choice
    unknown: refused
    choices: {looks: Its looks, price: Its price}
    next: width
  width:
    ask: How wide is it now?
    answer: length
    unit: cm
    unknown: refused
    expect: 30 to 60
    skip_when: not known(width) and why == price
    next: leg
  leg:
    ask: How long is the lower leg?
    coach: With a tape.
    answer: length
    unit: cm
    expect: 20 to 70
    measures: popliteal_height
    next: end
cautions:
  - name: wide
    level: stop
    when: width > 55
    say: It is too wide.
    source: common_practice
"""


def through_the_tree() -> Iterator[State]:
    """Callers led through the shipped tree."""
    return (led("seating", number) for number in range(1, LED + 1))


@cache
def in_full() -> tuple[State, ...]:
    """Callers led in full: every topic, and all that a pool could ask; a few at odd desks."""
    desk = shares().questions["desk_height"]
    assert desk.spread is not None
    wide = replace(desk.spread, low=100.0, high=100.0)
    odd = replace(
        shares(), questions={**shares().questions, "desk_height": replace(desk, spread=wide)}
    )
    return tuple(
        led_state(seating(), source(said), number, thorough=True)
        for said, many in ((shares(), MANY), (odd, MANY // 5))
        for number in range(1, many + 1)
    )


def test_every_call_comes_to_its_end() -> None:
    """Nobody gets stuck, and nothing is left open or in doubt."""
    for state in through_the_tree():
        assert state.finished
        assert {step.status for step in state.steps} <= {"answered", "unknown"}
        assert all(doubt.confirmed for doubt in state.doubts)


def test_a_caller_answers_what_is_asked_and_no_more() -> None:
    """The answers of a call are those of the questions on its way, in their order but in a pool."""
    pooled = {name for name, one in seating().tree.questions.items() if one.pool is not None}
    for state in through_the_tree():
        told = [answer.question for answer in state.call.answers]
        asked = [step.question.name for step in state.steps]
        assert sorted(told) == sorted(asked)
        assert [name for name in told if name not in pooled] == [
            name for name in asked if name not in pooled
        ]


def test_every_choice_of_the_tree_is_met() -> None:
    """Led in full, a few hundred reach every question, and give every answer to one asked often."""
    met: dict[str, list[str]] = {}
    for state in in_full()[:MANY]:
        for answer in state.call.answers:
            met.setdefault(answer.question, []).append(answer.said)
    at_odd_desks = {one.question for state in in_full()[MANY:] for one in state.call.answers}
    questions = seating().tree.questions
    # What only an adviser enters, of their own accord, and what is asked upon that alone.
    entered = {
        name for name, one in questions.items() if one.ask_when and one.ask_when.names == {name}
    }
    for name, question in questions.items():
        if question.sets in OPTIONS:  # of which the demo range lists none
            assert name not in met
            continue
        if question.ask_when and question.ask_when.names & entered:
            assert name not in met
            continue
        assert name in met.keys() | at_odd_desks, f"nobody is asked {name}"
        if name not in met:
            continue
        given = {choice for said in met[name] for choice in said.split(", ")}
        assert len(met[name]) < OFTEN or set(question.choices) <= given, name


def test_every_warning_sign_is_met() -> None:
    """Every stop and referral of the shipped tree is raised for somebody."""
    raised = {one.caution.name for state in in_full() for one in state.cautions}
    grave = {one.name for one in seating().tree.cautions if one.level != "note"}
    assert grave <= raised


def test_the_body_is_in_the_answers() -> None:
    """What a caller measures lies about the true body."""
    for number in range(1, 16):
        call = led("seating", number).call
        told = {answer.question: answer.said for answer in call.answers}
        if told.get("lower_leg", "?") != "?":
            heard = float(told["lower_leg"].removesuffix(" cm")) * 10
            true = caller(number, shares(), SEED).body["popliteal_height"]
            assert abs(heard - true) < 5 * 15 + 2.5


def test_a_question_that_keeps_an_answer_is_asked_only_where_it_applies(tmp_path: Path) -> None:
    """A simulated caller does not answer out of turn, so nothing is asked for having an answer."""
    basis = small(tmp_path, LITTLE)
    asked = set()
    for number in range(1, 101):
        told = {
            answer.question: answer.said
            for answer in led_state(basis, source(), number).call.answers
        }
        assert ("width" in told) == (told.get("why") != "price")
        asked.add("width" in told)
    assert asked == {True, False}


def test_a_stop_ends_the_call(tmp_path: Path) -> None:
    """Nothing is answered after it."""
    basis = small(tmp_path, LITTLE)
    stopped = 0
    for number in range(1, 101):
        state = led_state(basis, source(), number)
        if state.stopped is not None:
            stopped += 1
            assert state.call.answers[-1].question == "width"
    assert stopped


def test_an_odd_value_is_stood_by(tmp_path: Path) -> None:
    """Whoever is asked once more, as the value is not usual, confirms it; others do not."""
    basis = small(tmp_path, LITTLE.replace("expect: 20 to 70", "expect: 43 to 70"))
    seen = set()
    for number in range(1, 101):
        answer = led_state(basis, source(), number).call.answers[-1]
        if answer.question == "leg" and answer.said != "?":
            odd = float(answer.said.removesuffix(" cm")) < 43
            assert answer.confirmed == odd
            seen.add(odd)
    assert seen == {True, False}


def test_what_cannot_be_taken_is_left_for_the_state_to_tell(tmp_path: Path) -> None:
    """Where a tree expects 320 to 520 cm of a leg, the call gets stuck there, and ends."""
    basis = small(tmp_path, LITTLE.replace("expect: 20 to 70", "expect: 320 to 520"))
    fond = Shares(unknown=0.0, questions={"fond": QuestionShares(shares={"no": 100.0})})
    state = led_state(basis, source(fond), 2)
    assert state.steps[-1].status == "unclear"
    assert not state.finished


@given(st.integers(1, 10_000), st.integers(0, 2**40))
@settings(max_examples=20 if LONG else 6, deadline=None)
def test_an_edit_elsewhere_changes_no_answer(number: int, seed: int) -> None:
    """Questions asked in both trees are answered alike, whatever was edited around them."""
    before = led_state(seating(), source(shares(), seed), number).call
    after = led_state(edited(), source(shares(), seed), number).call
    told = {answer.question: answer for answer in before.answers}
    for answer in after.answers:
        if answer.question in told:
            assert answer.said == told[answer.question].said


@cache
def edited() -> Basis:
    """The shipped tree beginning elsewhere, without cautions: nearly another call."""
    tree = seating().tree
    return replace(seating(), tree=replace(tree, first="stature", cautions=()))


def test_a_renamed_question_known_as_before_is_answered_as_before(tmp_path: Path) -> None:
    """The name that chance goes by can be the old one."""
    (tmp_path / "old").mkdir()
    (tmp_path / "new").mkdir()
    old = small(tmp_path / "old", LITTLE)
    new = small(tmp_path / "new", LITTLE.replace("why", "because"))
    plain = source()
    known = replace(plain, known_as={"because": "why"})
    for number in range(1, 60):
        said = [answer.said for answer in led_state(old, plain, number).call.answers]
        assert [answer.said for answer in led_state(new, known, number).call.answers] == said


def test_without_a_file_every_question_is_answered() -> None:
    """No shares at all break nothing."""
    assert all(led_state(seating(), source(NO_SHARES), number).finished for number in range(1, 30))


@pytest.mark.parametrize("count", [0, 1, 3])
def test_so_many_callers(count: int) -> None:
    """Numbered from 1; who they are hangs on source and number alone."""
    found = drawn(source(shares(), 9), count)
    assert [one.number for one in found] == list(range(1, count + 1))


SIX_CALLS = """
from datetime import date
from consult.call.basis import load_basis
from consult.content.callers.simulation import CallerSource, led_state
from consult.paths import default_tree, trees_folder
from consult.tree.shares import SHARES_FILE, load_shares
basis, shares = load_basis(default_tree())[0], load_shares(trees_folder() / SHARES_FILE)[0]
source = CallerSource(shares, basis.population, 11, date(2026, 11, 25))
print([led_state(basis, source, number).call for number in range(1, 7)])
"""


def test_another_process_leads_the_same_calls() -> None:
    """Python's own hash differs from run to run; the callers do not."""
    told = subprocess.run(
        [sys.executable, "-c", SIX_CALLS],
        env={
            **os.environ,
            "PYTHONHASHSEED": "2" if os.environ.get("PYTHONHASHSEED") == "1" else "1",
        },
        capture_output=True,
        check=True,
        text=True,
    ).stdout
    assert told.strip() == str([led("seating", number).call for number in range(1, 7)])
    assert told.count("Answer(") > 60


POOLED = """\
tree: little
title: Little
version: 1
first: before
questions:
  before: {ask: Is it cold?, answer: yes-no, next: decides}
  decides:
    best_of: [stands]
    next: end
  stands: {ask: Does it stand?, answer: yes-no}
cautions:
  - {name: cold, level: note, when: before, say: Keep warm., source: invented}
  - {name: falls, level: note, when: stands, say: Hold it., source: invented}
needs:
  - {name: hard, when: stands, feature: hard_castors, strength: must, source: invented}
"""


def test_who_leans_on_pools(tmp_path: Path) -> None:
    """Whoever would hear a caution that only a pool's question raises; nobody by one before it."""
    basis = small(tmp_path, POOLED)
    of = CallerSource(NO_SHARES, basis.population, 1, TODAY)
    everybody = drawn(of, 40)
    full = [led_state(basis, of, one.number, thorough=True) for one in everybody]
    would = [any(raised.caution.name == "falls" for raised in now.cautions) for now in full]
    assert {*would} == {True, False}
    assert [leans_on_pools(basis, one) for one in everybody] == would
