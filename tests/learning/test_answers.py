"""Own shares of answers: found where callers answer otherwise, and no false one."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import replace

import numpy as np
import pytest

from consult.learning.comparison import look_at, proposals
from consult.learning.estimates import LEAST_ANSWERS, compare_answers, questions_compared
from consult.tree.learned import AcceptedValue, Learned
from consult.tree.shares import Shares, weights_of
from tests.call.calls import seating
from tests.long import LONG

TREE, SHARES = seating().tree, seating().shares
NAMES = questions_compared(TREE)


def weights(name: str, shares: Shares = SHARES) -> Mapping[str, float]:
    """Of the choices of a question, of 100."""
    question = TREE.questions[name]
    entry = shares.of(question)
    return weights_of(list(question.choices), entry.shares if entry else {})


class Calls:
    """Calls that go on, every question asked in six of ten, answered with shares of their own."""

    def __init__(self, seed: int, own: Mapping[str, Mapping[str, float]] | None = None) -> None:
        self.chance = np.random.default_rng(seed)
        self.own = own or {}
        self.said: dict[str, Counter[str]] = {name: Counter() for name in NAMES}
        self.count = 0

    def until(self, count: int) -> Mapping[str, Mapping[str, int]]:
        """The words of the first ``count`` calls, and how often."""
        for name in NAMES:
            shares = self.own.get(name) or weights(name)
            part = np.array(list(shares.values())) / sum(shares.values())
            asked = self.chance.binomial(count - self.count, 0.6)
            drawn = self.chance.multinomial(asked, part)
            self.said[name].update(dict(zip(shares, drawn.tolist(), strict=True)))
        self.count = count
        return self.said


def proposed(calls: Calls, count: int, shares: Shares = SHARES) -> dict[str, float]:
    """The shares proposed at a look."""
    look = look_at(count)
    assert look is not None
    found = compare_answers(TREE, shares, SHARES, calls.until(look.calls))
    return {one.name.removeprefix("share."): one.value for one in proposals(look, found).found}


def test_no_false_share_in_nineteen_of_twenty_histories() -> None:
    """Where callers answer as the callers file says, over all looks of a history together."""
    histories = 300 if LONG else 20
    false = 0
    for seed in range(histories):
        calls = Calls(seed)
        false += any(proposed(calls, 50 << k) for k in range(5))
    assert false <= 0.05 * histories


def test_another_share_is_found_by_200_calls_and_settles() -> None:
    """Two thirds have a desk that moves; accepted, the rest is shared as before."""
    other = {"fixed": 27.0, "adjustable": 70.0, "none": 3.0}
    calls = Calls(3, {"desk_kind": other})
    found = proposed(calls, 200)
    assert found.keys() <= {"desk_kind.fixed", "desk_kind.adjustable"}
    assert found["desk_kind.adjustable"] == pytest.approx(70, abs=15)
    entries = tuple(AcceptedValue(f"share.{n}", v, 0, 200, "2026-11-29") for n, v in found.items())
    then = SHARES.as_learned(Learned(entries).of("share"))
    assert sum(weights("desk_kind", then).values()) == pytest.approx(100)
    assert weights("desk_kind", then)["adjustable"] == found["desk_kind.adjustable"]
    assert proposed(calls, 200, then) == {}


def test_learned_shares_keep_the_proportions_of_the_others() -> None:
    """By hand: 40, 30, 30 with the first at 70 leaves 15 and 15; no other question is touched."""
    entry = replace(next(iter(SHARES.questions.values())), shares={"a": 40, "b": 30, "c": 30})
    shares = Shares(questions={"one": entry, "two": entry})
    then = shares.as_learned({"one.a": 70.0})
    assert then.questions["one"].shares == {"a": 70, "b": 15, "c": 15}
    assert then.questions["two"] is entry
    assert shares.as_learned({}).questions == shares.questions
    assert Shares().as_learned({"new.a": 70.0}).questions["new"].shares == {"a": 70}


def test_words_that_are_no_choice_and_few_answers() -> None:
    """Neither counts; private questions are not looked at at all."""
    few = {"desk_kind": {"fixed": LEAST_ANSWERS - 1, "no idea whatsoever": 30}}
    assert list(compare_answers(TREE, SHARES, SHARES, few)) == []
    enough = {"desk_kind": {"fixed": LEAST_ANSWERS - 1, "1": 1}}
    found = list(compare_answers(TREE, SHARES, SHARES, enough))
    assert {one.count for one in found} == {LEAST_ANSWERS}
    # A choice of four callers points at them.
    four = {"desk_kind": {"fixed": LEAST_ANSWERS, "adjustable": 4, "none": 5}}
    names = {one.name for one in compare_answers(TREE, SHARES, SHARES, four)}
    assert names == {"share.desk_kind.fixed", "share.desk_kind.none"}
    assert all(TREE.questions[name].private is None for name in NAMES)
    assert "sex" not in NAMES
