"""Own times per question: the right proposal by 200 calls, and no false one."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping
from functools import cache

import numpy as np
import pytest
from scipy import stats  # type: ignore[import-untyped]

from consult.call.as_learned import with_times
from consult.call.worth import seconds_of, usual_seconds
from consult.learning.looks import look_at
from consult.learning.proposals import Comparison, Proposals, proposals, shrunk
from consult.learning.times import A_SECOND, LogTimes, Timed, compare_times, log_times
from consult.tree.learned import Accepted, Learned
from consult.tree.model import Tree
from tests.call.calls import seating
from tests.long import LONG

SPREAD = 0.5
"""Of the logarithm of a time: two in three within a factor of 1.65."""


@cache
def tree() -> Tree:
    """The shipped tree with the times it comes with."""
    return seating().tree


class Calls:
    """Calls that go on: every question asked in a share of them, with a mean time of its own."""

    def __init__(self, seed: int, times: Mapping[str, float] | None = None) -> None:
        self.chance = np.random.default_rng(seed)
        self.mean = {name: usual_seconds(one) for name, one in tree().questions.items()}
        self.mean |= times or {}
        self.asked = dict(zip(self.mean, self.chance.uniform(0.1, 1, len(self.mean)), strict=True))
        self.timed: dict[str, Counter[int]] = {name: Counter() for name in self.mean}
        self.count = 0

    def until(self, count: int) -> Mapping[str, Timed]:
        """The times of the first ``count`` calls."""
        more = count - self.count
        for name, mean in self.mean.items():
            number = self.chance.binomial(more, self.asked[name])
            logs = self.chance.normal(math.log(mean) - SPREAD**2 / 2, SPREAD, number)
            quarters = np.rint(np.exp(logs) * A_SECOND).astype(int)
            self.timed[name].update(quarters.tolist())
        self.count = count
        return self.timed


def looked(calls: Calls, count: int, of: Tree | None = None) -> Proposals:
    """What is proposed after so many calls."""
    look = look_at(count)
    assert look is not None
    return proposals(look, compare_times(of or tree(), calls.until(look.calls)))


def test_no_false_proposal_in_nineteen_of_twenty_histories() -> None:
    """Where every question takes as long as shipped, over all looks of a history together."""
    histories, looks = (400, 6) if LONG else (60, 4)
    false = 0
    for seed in range(histories):
        calls = Calls(seed)
        found = [looked(calls, 50 << k).found for k in range(looks)]
        false += any(found)
    assert false <= 0.05 * histories


@pytest.mark.parametrize("seed", range(12 if LONG else 3))
def test_questions_that_take_twice_as_long_are_found_by_200_calls(seed: int) -> None:
    """All of them that were asked often, with a time near the truth, and no other."""
    slow = ("stature", "weight", "lower_leg", "desk_height")
    times = {name: 2 * usual_seconds(tree().questions[name]) for name in slow}
    calls = Calls(seed, times)
    calls.asked |= dict.fromkeys(slow, 0.6)
    found = {one.name: one for one in looked(calls, 200).found}
    assert found.keys() == {f"time.{name}" for name in slow}
    for name in slow:
        one = found[f"time.{name}"]
        assert one.value == pytest.approx(times[name], rel=0.25)
        # The shipped value counts as twenty observations.
        assert one.shipped < one.value


def test_after_accepting_nothing_more_is_proposed() -> None:
    """The tree takes the times that were learned, and the next look finds them right."""
    calls = Calls(1, {"lower_leg": 2 * usual_seconds(tree().questions["lower_leg"])})
    calls.asked["lower_leg"] = 0.8
    (one,) = looked(calls, 400).found
    learned = Learned((Accepted(one.name, one.value, one.shipped, 400, "2026-11-29"),))
    then = with_times(tree(), learned)
    assert seconds_of(then.questions["lower_leg"]) == one.value
    assert usual_seconds(then.questions["lower_leg"]) == one.shipped
    others = [name for name in tree().questions if name != "lower_leg"]
    assert all(then.questions[name] == tree().questions[name] for name in others)
    assert looked(calls, 400, then).found == ()


def test_by_hand() -> None:
    """Logarithms of 2, 4 and 8 seconds: mean log 4, spread log 2."""
    found = log_times({8: 1, 16: 1, 32: 1})
    assert found.count == 3
    assert found.mean == pytest.approx(math.log(4))
    assert found.spread == pytest.approx(math.log(2))
    likeliest = found.mean + found.spread**2 * 2 / 3 / 2
    assert found.chance(math.exp(likeliest)) == pytest.approx(1)
    assert shrunk(10, 40, 10) == pytest.approx(20)
    assert shrunk(10, 40, 0) == 10


def test_close_together_times_are_compared_as_by_a_t_test() -> None:
    """Where the spread is small, the mean of the logarithms alone counts."""
    quarters = [392, 400, 404, 408, 420] * 5
    found = log_times(Counter(quarters))
    logs = np.log(np.array(quarters) / A_SECOND)
    for seconds in (99.0, 101.5, 103.0):
        found = LogTimes(found.count, found.mean, float(logs.std(ddof=1)))
        known = stats.ttest_1samp(logs, math.log(seconds) - found.spread**2 / 2).pvalue
        assert math.log(found.chance(seconds)) == pytest.approx(math.log(known), rel=0.03, abs=0.01)


def test_few_answers_are_not_looked_at() -> None:
    """Nineteen of one question say nothing; twenty are compared."""
    few: Mapping[str, Timed] = {"stature": {400: 19}, "nobody_asks_this": {400: 99}}
    assert list(compare_times(tree(), few)) == []
    enough: Mapping[str, Timed] = {"stature": {400: 10, 420: 10}}
    assert [one.name for one in compare_times(tree(), enough)] == ["time.stature"]


def test_what_is_sure_but_small_is_not_proposed() -> None:
    """A difference of a tenth or less changes no call."""
    look = look_at(100)
    assert look is not None
    sure = Comparison("time.a", 1e-9, 10, 10, 10.5, 90, matters=False)
    unsure = Comparison("time.b", 0.4, 10, 10, 20, 90, matters=True)
    both = Comparison("time.c", 1e-9, 10, 10, 20, 90, matters=True)
    assert proposals(look, [sure, unsure, both]).found == (both,)
