"""Minutes of a call: how many so far, and how many the questions ahead will take."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from consult.call.facts import Facts
from consult.call.route import spared
from consult.call.worth import seconds_of

if TYPE_CHECKING:
    from consult.call.basis import Basis
    from consult.call.state import State

STILL_WORTH = 0.5
"""Of the questions of a pool that are worth their time now, beside the one asked next: the share
that still is when its turn comes, as every answer takes from what others may change. Assumed."""


@dataclass(frozen=True, slots=True)
class Pace:
    """Seconds of a call so far, and to go."""

    so_far: float
    to_go: float

    @property
    def words(self) -> str:
        """As the adviser reads it: "4 min so far, about 6 min to go"."""
        if not self.to_go:
            return f"{_minutes(self.so_far)} in all"
        return f"{_minutes(self.so_far)} so far, about {_minutes(self.to_go)} to go"

    @property
    def short(self) -> str:
        """The same for a small window: "4 min, 6 to go"."""
        whole = round(self.so_far / 60)
        return f"{whole} min, {_minutes(self.to_go).removesuffix(' min')} to go"


def _minutes(seconds: float) -> str:
    return f"{round(seconds / 60)} min" if seconds >= 30 else "under 1 min"


def seconds_on_the_way(now: State) -> float:
    """What the open questions on the way will take."""
    return sum(seconds_of(step.question) for step in now.steps if _is_open(step.status))


def seconds_in_pools(basis: Basis, now: State) -> float:
    """What is expected of the questions that pools have beside those on the way.

    Takes as long as choosing a chair, because what an answer may change is worked out for it.
    """
    pools = {step.question.pool for step in now.steps if _is_open(step.status)} - {None}
    if not pools:
        return 0.0
    facts = Facts(basis, now.call.system, thorough=now.call.thorough)
    for step in now.steps:
        if step.understood and step.answer:
            facts.learn(step.question, step.understood, step.answer.confirmed)
    known = {step.question.name for step in now.steps} | now.call.latest().keys()
    share, seconds = 1.0 if now.call.thorough else STILL_WORTH, 0.0
    for pool in sorted(filter(None, pools)):
        left = [one for one in basis.tree.questions.values() if one.pool == pool]
        left = [one for one in left if one.name not in known and not spared(one, facts.lookup)]
        while (best := facts.best_of(left)) is not None:
            left.remove(best)
            seconds += share * seconds_of(best)
    return seconds


def _is_open(status: str) -> bool:
    return status in ("open", "unclear")
