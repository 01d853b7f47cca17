"""Pools: which question is asked next, when none is, and that order does not matter."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from consult.body.population import load_population
from consult.call import route
from consult.call.basis import Basis, load_basis
from consult.call.call import Answer, Call
from consult.call.gains import PoolWorth, worth_of_pool
from consult.call.session import Session
from consult.call.state import State, state
from consult.call.worth import (
    ANSWER_SECONDS,
    LEAST,
    LEAST_UNSURE,
    TAPE_SECONDS,
    least_rate,
    seconds_of,
    worth_their_time,
)
from consult.content.callers.simulation import CallerSource, led_state
from consult.problems import Where
from consult.tree.condition import parse_condition
from consult.tree.model import Question, Route
from consult.tree.shares import NO_SHARES, QuestionShares, Shares
from tests.call.calls import TODAY, derived, question, seating, small, told
from tests.long import examples

MEASURE = """
  {name}:
    ask: How long is it?
    coach: With a tape.
    answer: length
    unit: cm
    expect: {expect}
    measures: {measures}
"""
TREE = (
    """
tree: little
title: Little
version: 1
first: stature
questions:
  stature:
    ask: How tall are you?
    coach: With a tape.
    answer: length
    unit: cm
    expect: 140 to 205
    measures: stature
    next: what_decides
  what_decides:
    best_of: [thigh, lower_leg, likes, soft, upper_leg, elbow]
    next: goodbye
  likes:
    ask: Is there a carpet?
    answer: yes-no
    ask_when: lower_leg > 40
  soft:
    ask: Do you like it soft?
    answer: yes-no
    read_by: people
"""
    + MEASURE.format(name="thigh", expect="9 to 25", measures="thigh_clearance")
    + MEASURE.format(name="lower_leg", expect="32 to 52", measures="popliteal_height")
    + MEASURE.format(name="upper_leg", expect="38 to 60", measures="buttock_popliteal_length")
    + MEASURE.format(name="elbow", expect="15 to 33", measures="elbow_rest_height")
    + """
  goodbye:
    ask: Thank you. Anything else?
    answer: text
    next: end
needs:
  - name: carpet
    when: likes
    feature: soft_castors
    strength: prefer
    source: invented
"""
)


@cache
def _basis() -> Basis:
    """The tree with the shipped range; loaded without, as it asks about no warning sign."""
    with TemporaryDirectory() as folder:
        basis = small(Path(folder), TREE)
    return replace(basis, range=seating().range)


@pytest.fixture
def basis() -> Basis:
    return _basis()


def alone(basis: Basis) -> Basis:
    """The same with a range for which nothing is remembered yet."""
    assert basis.range is not None
    return replace(basis, range=replace(basis.range))


def open_names(now: State) -> list[str]:
    return [step.question.name for step in now.steps if step.status == "open"]


def test_one_question_of_a_pool_is_open(basis: Basis) -> None:
    """It is the most valuable one, whatever its place in the file; the way goes on after it."""
    assert open_names(told(basis, stature="172 cm")) == ["upper_leg", "goodbye"]


def test_it_goes_on_when_nothing_is_worth_its_time(basis: Basis) -> None:
    """With the leg and the thigh measured no other length can change the chair by much."""
    now = told(basis, stature="172 cm", lower_leg="39 cm", upper_leg="48 cm", elbow="24 cm")
    assert now.current is not None
    assert now.current.name == "goodbye"
    assert now.step("thigh") is None


def test_asked_only_when(basis: Basis) -> None:
    """A question with ask_when is asked where that is true, not where it is false or unknown."""
    measured = {"stature": "172 cm", "upper_leg": "48 cm"}
    assert "likes" in open_names(told(basis, **measured, lower_leg="43 cm"))
    for leg in ("39 cm", "?"):
        assert "likes" not in open_names(told(basis, **measured, lower_leg=leg))


def test_what_changes_nothing_is_never_asked(basis: Basis) -> None:
    """A question that nothing about the chair hangs on is left out, but for a thorough call."""
    assert "soft" not in open_names(told(basis, stature="172 cm"))
    assert "soft" not in open_names(told(basis, stature="172 cm", lower_leg="39 cm", likes="no"))


def test_without_a_range_every_question_is_asked(basis: Basis) -> None:
    """Where no chair is chosen, nothing can be said of worth."""
    without = replace(basis, range=None)
    answers = {"stature": "172 cm", "thigh": "?", "lower_leg": "?"}
    assert open_names(told(without, **answers)) == ["soft", "goodbye"]


def test_ahead_of_the_pool(basis: Basis) -> None:
    """Before the pool is come to, the first of the file stands for what it will ask."""
    assert open_names(told(basis)) == ["stature", "thigh", "goodbye"]


def test_an_answer_counts_worth_asking_or_not(basis: Basis) -> None:
    """What was told by name is kept though its question would not have been asked."""
    answers = {"stature": "172 cm", "lower_leg": "39 cm", "upper_leg": "48 cm", "elbow": "24 cm"}
    now = told(basis, **answers, thigh="16 cm")
    step = now.step("thigh")
    assert step is not None
    assert step.status == "answered"
    assert now.estimate.dimensions["thigh_clearance"].origin == "measured"


def test_not_known_is_an_answer(basis: Basis) -> None:
    """A question answered with not known is not asked again."""
    assert "lower_leg" not in open_names(told(basis, stature="172 cm", lower_leg="?"))


@settings(max_examples=examples(25), deadline=None)
@given(order=st.permutations(["thigh", "lower_leg", "upper_leg", "elbow"]))
def test_order_does_not_matter(order: list[str]) -> None:
    """The same answers in any order come to the same state."""
    said = {"thigh": "16 cm", "lower_leg": "43 cm", "upper_leg": "?", "elbow": "23 cm"}
    one, other = (
        Call(TODAY, answers=(Answer("stature", "171 cm"), *(Answer(n, said[n]) for n in names)))
        for names in (order, list(said))
    )
    assert derived(state(_basis(), one)) == derived(state(_basis(), other))


def test_in_full(basis: Basis) -> None:
    """A thorough call asks every question of the pool in the order of the file."""
    call = Call(TODAY, answers=(Answer("stature", "172 cm"),)).led_in_full(True)
    asked = []
    while (now := state(basis, call)).current is not None:
        asked.append(now.current.name)
        call = call.add(Answer(now.current.name, "?"))
    assert asked == ["thigh", "lower_leg", "soft", "upper_leg", "elbow", "goodbye"]


def test_a_call_led_to_its_end(basis: Basis) -> None:
    """A desk that types what is asked comes to the end; no question comes twice."""
    at = datetime(2026, 11, 25, 9, 0)
    session = Session(basis, Call(TODAY), at)
    asked = []
    while session.asking is not None:
        asked.append(session.asking.name)
        said = {"stature": "172 cm", "lower_leg": "43 cm", "upper_leg": "49 cm", "likes": "no"}
        assert session.offer(said.get(asked[-1], "?"), at).taken
        assert len(asked) < 10
    assert len(asked) == len(set(asked))
    assert asked[:2] == ["stature", "upper_leg"]
    assert asked[-1] == "goodbye"


def test_simulated_callers_are_asked_what_is_worth_it(basis: Basis) -> None:
    """They are led as a desk would lead them: the call has nothing open and nothing idle."""
    source = CallerSource(NO_SHARES, load_population(), 7, TODAY)
    for number in range(1, 6):
        call = led_state(basis, source, number).call
        now = state(basis, call)
        assert now.finished
        assert {answer.question for answer in call.answers} == {
            step.question.name for step in now.steps
        }


def test_shares_of_the_folder(tmp_path: Path) -> None:
    """What callers usually answer decides what is worth asking; nobody would name a carpet."""
    asked = {}
    for yes in (0.1, 60):
        likes = f"{{shares: {{yes: {yes}, no: {100 - yes}}}, unknown: 0, source: invented}}"
        text = f"callers: Some\nquestions: {{likes: {likes}}}\n"
        (tmp_path / "callers.yaml").write_text(text, encoding="utf-8")
        basis = replace(small(tmp_path, TREE), range=seating().range)
        now = told(basis, stature="172 cm", lower_leg="43 cm", upper_leg="48 cm")
        asked[yes] = "likes" in open_names(now)
    assert asked == {0.1: False, 60: True}


def counting(monkeypatch: pytest.MonkeyPatch) -> list[tuple[Any, ...]]:
    """What the worth of a pool is worked out of, each time that it is."""
    worked: list[tuple[Any, ...]] = []

    def counted(*of: Any) -> PoolWorth:
        worked.append(of)
        return worth_of_pool(*of)

    monkeypatch.setattr(route, "worth_of_pool", counted)
    return worked


@pytest.mark.parametrize("answers", [{}, {"stature": "172 cm"}, {"stature": "?", "thigh": "15 cm"}])
def test_worth_is_worked_out_once(
    basis: Basis, monkeypatch: pytest.MonkeyPatch, answers: dict[str, str]
) -> None:
    """Never before the pool is come to, then once for all the answers there are."""
    basis, asked = alone(basis), counting(monkeypatch)
    told(basis, **answers)
    assert len(asked) == (1 if answers else 0)
    told(basis, **answers, goodbye="no")
    assert len(asked) == (1 if answers else 0), "weighed again for what comes after the pool"
    told(basis, **{**answers, "stature": "181 cm"})
    assert len(asked) == (2 if answers else 1), "not weighed again for another answer"


def test_broken_shares_are_told(tmp_path: Path) -> None:
    """A pool is never asked by other shares than the folder's without a word."""
    small(tmp_path, TREE)
    (tmp_path / "callers.yaml").write_text("callers: C\nquestions: 3\n", encoding="utf-8")
    basis, problems = load_basis(tmp_path / "little.yaml")
    assert basis is None
    assert problems[-1].where.file.endswith("callers.yaml")


# -- two versions of a tree -------------------------------------------------------------------


def edited(basis: Basis, name: str, **changes: Any) -> Basis:
    """The basis with a question changed, and the same range."""
    questions = basis.tree.questions
    changed = {**questions, name: replace(questions[name], **changes)}
    return replace(basis, tree=replace(basis.tree, questions=changed))


def test_versions_that_ask_alike_are_worked_out_once(
    basis: Basis, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is worked out of a pool serves another version, whatever else is said in it."""
    basis, worked = alone(basis), counting(monkeypatch)
    answers = {"stature": "172 cm", "lower_leg": "39 cm"}
    before, times = open_names(told(basis, **answers)), len(worked)
    assert times
    later = edited(basis, "goodbye", ask="Who are you?")
    asked = later.tree.questions
    first = replace(
        asked["goodbye"], name="name", routes=(Route(None, "stature", Where("", 1, 1)),)
    )
    tree = replace(later.tree, first="name", questions={"name": first, **asked})
    assert open_names(told(replace(later, tree=tree), name="Ann", **answers)) == before
    assert len(worked) == times


def test_a_question_reworded_is_worth_the_same_and_takes_its_own_time(
    basis: Basis, monkeypatch: pytest.MonkeyPatch
) -> None:
    basis, worked = alone(basis), counting(monkeypatch)
    answers = {"stature": "172 cm", "lower_leg": "39 cm"}
    asked = next(iter(open_names(told(basis, **answers))))
    times = len(worked)
    longer = edited(basis, asked, ask=" ".join(["so"] * 20_000) + "?")
    assert asked not in open_names(told(longer, **answers))
    assert len(worked) == times


def with_need(basis: Basis, when: str, **changes: Any) -> Basis:
    """The basis with its need called for by something else, or for something else."""
    condition = parse_condition(when).resolve(basis.tree.questions.keys())
    needs = (replace(basis.tree.needs[0], when=condition, **changes),)
    return replace(basis, tree=replace(basis.tree, needs=needs))


SELDOM = Shares(questions={"upper_leg": QuestionShares(unknown=99.0)})
TALL = {"stature": "172 cm"}
MEASURED = {**TALL, "lower_leg": "43 cm", "upper_leg": "48 cm"}


@pytest.mark.parametrize(
    ("answers", "version"),
    [
        (TALL, lambda basis: edited(basis, "upper_leg", ask="How long is it? " * 4_000)),
        (TALL, lambda basis: edited(basis, "upper_leg", measures="thigh_clearance")),
        (TALL, lambda basis: edited(basis, "upper_leg", seconds=4_000.0)),
        (TALL, lambda basis: replace(basis, shares=SELDOM)),
        (MEASURED, lambda basis: with_need(basis, "soft")),
        (MEASURED, lambda basis: with_need(basis, "likes", feature="no_such_feature")),
    ],
    ids=["words", "measure", "seconds", "shares", "condition", "feature"],
)
def test_a_version_is_asked_by_its_own_rules(
    basis: Basis, answers: dict[str, str], version: Callable[[Basis], Basis]
) -> None:
    """Where it says something else of a pool, nothing that was worked out before is used."""
    other = version(basis)
    assert other.range is basis.range
    was, now = (open_names(told(each, **answers)) for each in (basis, other))
    assert now == open_names(told(alone(other), **answers)) != was


# -- worth its time ---------------------------------------------------------------------------


def test_seconds() -> None:
    """150 words a minute (common practice, no source), and the time to answer."""
    asked = question("yes-no", coach="Never read out to the caller.")
    asked = replace(asked, ask="one two three four five six seven eight nine ten")
    assert seconds_of(asked) == pytest.approx(10 / 150 * 60 + ANSWER_SECONDS["yes-no"])
    taped = replace(asked, answer="length", unit="cm")
    assert seconds_of(taped) == pytest.approx((10 + 6) / 150 * 60 + TAPE_SECONDS)


def best_of(questions: list[Question], gains: dict[str, float]) -> Question | None:
    """The question to ask next; None where none is worth its time."""
    return next(iter(worth_their_time(questions, gains)), None)


def test_what_adds_most_comes_first() -> None:
    """However long it takes; what adds less than its time is worth is left out."""
    quick = replace(question("yes-no"), name="quick")
    slow = replace(question("length", unit="cm", coach="With a tape, please."), name="slow")
    both = [slow, quick]
    assert best_of(both, {"slow": 0.05, "quick": 0.03}) is slow
    assert best_of(both, {"slow": 0.03, "quick": 0.05}) is quick
    assert best_of(both, {"slow": LEAST, "quick": 0.03}) is quick
    assert best_of(both, {"slow": 0.0, "quick": 0.0}) is None
    under = LEAST * seconds_of(quick)
    assert best_of([quick], {"quick": under * 0.99}) is None
    assert best_of([quick], {"quick": under * 1.01}) is quick
    assert best_of([], {}) is None


def test_all_that_is_worth_its_time() -> None:
    """In the order of what they add, and without what is worth less than its time."""
    one, two, three = (replace(question("yes-no"), name=name) for name in ("one", "two", "three"))
    gains = {"one": 0.1, "two": 0.0, "three": 0.2}
    assert worth_their_time([one, two, three], gains) == (three, one)


def test_less_is_enough_while_the_chair_is_unsure() -> None:
    """With a best chair that fits fewer than 95.5 in 100, a smaller gain is worth the same time."""
    quick = replace(question("yes-no"), name="quick")
    gains = {"quick": (LEAST + LEAST_UNSURE) / 2 * seconds_of(quick)}
    assert worth_their_time([quick], gains, least_rate(0.96)) == ()
    assert worth_their_time([quick], gains, least_rate(0.955)) == ()
    assert worth_their_time([quick], gains, least_rate(0.95)) == (quick,)


def test_ties_go_to_the_order_of_the_file() -> None:
    """Of equals the first is asked."""
    for order in itertools.permutations(["a", "b", "c"]):
        asked = [replace(question("yes-no"), name=name) for name in order]
        best = best_of(asked, dict.fromkeys(order, 0.1))
        assert best is not None
        assert best.name == order[0]
