"""What a question of a pool is worth, against choosing again for every answer."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import pytest

from consult.call.basis import Basis
from consult.call.call import Answer
from consult.call.facts import Facts
from consult.call.gains import likely_answers, worth_of_pool
from consult.call.route import read_answer
from consult.call.state import request_of
from consult.call.worth import least_rate, seconds_of
from consult.fit.choose import choose
from consult.fit.ranking import weigh
from consult.fit.worth import worth
from consult.range.parts import chair_has
from consult.tree.shares import Amount, QuestionShares, Shares
from tests.call.calls import TODAY, seating, small, told

TREE = """
tree: little
title: Little
version: 1
first: stature
questions:
  stature: {ask: How tall?, coach: With a tape., answer: length, unit: cm, measures: stature,
            next: what_decides}
  what_decides:
    best_of: [floor, wishes, several, arms, hours, kind, height, leg, weight, close, words]
    next: end
  floor: {ask: What floor?, answer: choice, choices: {hard: Hard, soft: Soft, other: Other}}
  wishes: {ask: Which?, answer: choices, exclusive: none,
           choices: {none: None, lean: Lean, tilt: Tilt}}
  several: {ask: Do several sit there?, answer: yes-no}
  arms: {ask: Do you rest your arms?, answer: yes-no, ask_when: several}
  hours: {ask: How many hours?, answer: count}
  kind: {ask: What desk?, answer: choice, choices: {fixed: Fixed, adjustable: Adjustable},
         sets: desk_kind}
  height: {ask: How high?, coach: With a tape., answer: length, unit: cm, sets: desk_height,
           ask_when: kind == fixed}
  leg: {ask: How long?, coach: With a tape., answer: length, unit: cm, measures: popliteal_height}
  weight: {ask: How heavy?, coach: On scales., answer: mass, unit: kg, measures: weight}
  close: {ask: Do you sit close?, answer: yes-no, sets: close_to_desk}
  words: {ask: Anything else?, answer: text}
needs:
  - {name: hard, when: floor == hard, feature: hard_castors, strength: must, source: invented}
  - {name: soft, when: floor == soft, feature: soft_castors, strength: must, source: invented}
  - {name: lean, when: lean in wishes, feature: tilts_forward, strength: prefer, source: invented}
  - {name: both, when: several and arms, feature: arms_slide_back, strength: must, source: invented}
  - {name: long, when: hours > 8, feature: lumbar_height, strength: must, source: invented}
"""
SHARES = Shares(
    questions={
        "floor": QuestionShares(shares={"hard": 30.0, "soft": 60.0, "other": 10.0}, unknown=20.0),
        "wishes": QuestionShares(chances={"none": 60.0, "lean": 30.0, "tilt": 20.0}, unknown=0.0),
        "several": QuestionShares(shares={"yes": 25.0, "no": 75.0}, unknown=0.0),
        "arms": QuestionShares(shares={"yes": 50.0, "no": 50.0}, unknown=0.0),
        "hours": QuestionShares(mean=Amount("count", 7.0, 7.0), spread=Amount("count", 2.0, 2.0)),
        "kind": QuestionShares(unknown=0.0),
        "leg": QuestionShares(unknown=0.0),
    }
)


@cache
def basis() -> Basis:
    with TemporaryDirectory() as folder:
        found = small(Path(folder), TREE)
    return replace(found, range=seating().range, shares=SHARES)


def facts(**answers: str) -> Facts:
    found = Facts(basis(), "metric")
    for name, said in {"stature": "172 cm", **answers}.items():
        question = basis().tree.questions[name]
        understood = read_answer(question, Answer(name, said), TODAY).understood
        assert understood is not None
        found.learn(question, understood, confirmed=False)
    return found


def gains(**answers: str) -> Mapping[str, float]:
    return gains_of(facts(**answers))


def gains_of(known: Facts) -> Mapping[str, float]:
    request = known.request()
    assert request is not None
    left = [one for one in basis().tree.questions.values() if one.name not in known.understood]
    spared = [one for one in left if one.spared(known.lookup)]
    worth = worth_of_pool(known, request, [one for one in left if one not in spared], spared)
    return worth.gains(basis().tree.questions)


def rise(before: Mapping[str, str], after: Mapping[str, str]) -> float:
    """What the chair chosen on hearing more is better by, for the needs that are then known."""
    now, then = told(basis(), **before), told(basis(), **after)
    range_ = basis().range
    assert range_ is not None
    one, other = choose(request_of(range_, now)).best, choose(request_of(range_, then)).best
    assert one is not None
    assert other is not None

    def value(candidate: object) -> float:
        parts = candidate.parts.values()  # type: ignore[attr-defined]
        found: float = candidate.p_fits  # type: ignore[attr-defined]
        for need in then.needs:
            if not chair_has(parts, need.feature):
                found = 0.0 if need.strength == "must" else found - 0.02
        return found

    return max(0.0, value(other) - value(one))


def test_a_choice_against_choosing_again() -> None:
    """The share of each answer times what the chair chosen without it lacks; who knows counts."""
    at = {"stature": "172 cm"}
    each = {name: rise(at, {**at, "floor": name}) for name in ("hard", "soft", "other")}
    assert max(each.values()) > 0.5
    expected = 0.8 * (0.3 * each["hard"] + 0.6 * each["soft"] + 0.1 * each["other"])
    assert gains()["floor"] == pytest.approx(expected, abs=0.01)


def test_several_choices_each_alone() -> None:
    """A preference counts as little as a footrest, for as many as name it."""
    at = {"stature": "172 cm"}
    assert rise(at, {**at, "wishes": "lean"}) == pytest.approx(0.02, abs=0.005)
    assert gains()["wishes"] == pytest.approx(0.3 * 0.02, abs=0.002)


def test_a_need_that_two_answers_call_for() -> None:
    """Neither calls for it alone: it is shared between the two, and all of it is the last one's."""
    at = {"stature": "172 cm"}
    whole = rise(at, {**at, "several": "yes", "arms": "yes"})
    assert whole > 0.5
    assert gains(several="yes")["arms"] == pytest.approx(0.5 * whole, abs=0.01)
    request = facts().request()
    assert request is not None
    time = least_rate(weigh(request).best) * seconds_of(basis().tree.questions["arms"])
    exact = 1.5 * gains(several="yes")["arms"] - time
    assert gains()["several"] == pytest.approx(0.25 * exact, abs=1e-9)
    assert "arms" not in gains()
    assert "arms" not in gains(several="no")


def test_only_the_answers_that_open_a_question_count_it() -> None:
    """Who says that nobody else sits there, as three in four do, is not asked about arms."""
    known, request = facts(), facts().request()
    assert request is not None
    questions = basis().tree.questions
    found = worth_of_pool(known, request, [questions["several"]], [questions["arms"]])
    assert [way[:2] for way in found.opening["several"]] == [(0.25, "arms")]


def test_what_an_answer_opens_counts_for_those_who_know_it() -> None:
    """Who cannot say whether several sit there is not asked about arms afterwards, either."""
    seldom = replace(SHARES.questions["several"], unknown=75.0)
    shares = replace(SHARES, questions={**SHARES.questions, "several": seldom})
    known = Facts(replace(basis(), shares=shares), "metric", facts().understood)
    assert gains()["several"] > 0.01
    assert gains_of(known)["several"] == pytest.approx(gains()["several"] / 4)


def test_a_number_that_a_need_reads() -> None:
    """Of the tenths of a normal around 7 with a spread of 2, three lie above 8."""
    at = {"stature": "172 cm"}
    whole = rise(at, {**at, "hours": "9"})
    assert whole > 0.2
    assert gains()["hours"] == pytest.approx(0.95 * whole * 3 / 10, abs=0.01)


def test_measures_and_facts_as_the_fit_has_them() -> None:
    """A body measure and a fact of the workplace are worth what the fit says."""
    found, request = gains(), facts().request()
    assert request is not None
    known = worth(request, seating().population, ["popliteal_height", "desk_kind", "weight"])
    assert found["leg"] == pytest.approx(known["popliteal_height"].gain)
    assert found["kind"] == pytest.approx(known["desk_kind"].gain)
    assert found["weight"] == pytest.approx(0.95 * known["weight"].gain)
    assert found["kind"] > 0.02
    fixed = gains(kind="fixed")
    assert fixed["height"] > 0.02
    assert "kind" not in fixed


def test_what_touches_nothing_is_worth_nothing() -> None:
    """Words, and facts that no chair hangs on."""
    found = gains()
    assert found["words"] == 0.0
    assert found["close"] == 0.0


def test_a_need_once_met_is_worth_nothing() -> None:
    """An answer that can only call for what the chair has already adds nothing."""
    now = told(basis(), stature="172 cm")
    assert now.chosen is not None
    assert now.chosen.ordered is not None
    has = [
        name
        for name in ("hard_castors", "soft_castors")
        if chair_has(now.chosen.ordered.parts.values(), name)
    ]
    nobody = {"hard": 0.0, "soft": 0.0, "other": 0.0}
    met = QuestionShares(shares={**nobody, has[0].split("_")[0]: 100.0})
    only = replace(SHARES, questions={"floor": met})
    known = facts()
    known.basis = replace(basis(), shares=only)
    request = known.request()
    assert request is not None
    floor = basis().tree.questions["floor"]
    assert worth_of_pool(known, request, [floor], []).alone["floor"] == 0.0


def test_same_answers_same_gains() -> None:
    """Worked out again, and in another order of the answers, nothing is otherwise."""
    assert gains(floor="hard", hours="7") == gains(hours="7", floor="hard")


# -- what may be heard to a question, and how likely --------------------------------------------


def shares_heard(name: str) -> dict[object, float]:
    return {value: share for share, value in likely_answers(basis().tree.questions[name], facts())}


def test_shares_of_the_file() -> None:
    """One choice, yes and no, and several choices each alone."""
    assert shares_heard("floor") == {"hard": 0.3, "soft": 0.6, "other": 0.1}
    assert shares_heard("several") == {True: 0.25, False: 0.75}
    found = shares_heard("wishes")
    assert found == {
        frozenset(("none",)): 0.6,
        frozenset(("lean",)): pytest.approx(0.3),
        frozenset(("tilt",)): pytest.approx(0.2),
    }


def test_even_shares() -> None:
    """Of a question that the file says nothing of."""
    assert shares_heard("kind") == {"fixed": 0.5, "adjustable": 0.5}


def test_a_body_measure_as_the_body_is_estimated() -> None:
    """Whatever the file says of numbers, a body is drawn from the survey."""
    told = facts().body[0].dimensions["weight"]
    values = np.array(list(shares_heard("weight")), float)
    assert values.mean() == pytest.approx(told.mean)
    assert values.std() == pytest.approx(told.sd, rel=0.1)


def test_other_numbers_as_the_file_has_them() -> None:
    """Ten equally likely readings around the mean."""
    values = np.array(list(shares_heard("hours")), float)
    assert len(values) == 10
    assert values.mean() == pytest.approx(7.0)
    assert values.std() == pytest.approx(2.0, rel=0.1)


def test_words_say_nothing() -> None:
    """Nobody can tell what a text will be."""
    assert shares_heard("words") == {}
