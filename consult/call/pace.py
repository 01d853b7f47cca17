"""The length of a call: minutes so far, and minutes the remaining questions will take."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from consult.call.facts import Facts
from consult.call.worth import seconds_of

if TYPE_CHECKING:
    from consult.call.basis import Basis
    from consult.call.state import State
    from consult.tree.model import Question

STILL_WORTH = 0.5
"""Of the questions of a pool that are worth their time now, beside the one asked next: the share
that still is when its turn comes, as every answer takes from what others may change. Assumed."""


@dataclass(frozen=True, slots=True)
class Pace:
    """Seconds of a call so far, and to go."""

    so_far: float
    to_go: float | None
    """None while it is being worked out."""

    @property
    def words(self) -> str:
        """As the adviser reads it: "4 min so far, about 6 to go"."""
        if self.to_go is None:
            return f"{_minutes(self.so_far)} so far"
        if not self.to_go:
            return f"{_minutes(self.so_far)} in all"
        return f"{_minutes(self.so_far)} so far, {_to_go(self.to_go)} to go"

    @property
    def short(self) -> str:
        """The same for a small window: "4 min, 6 to go"."""
        if not self.to_go:
            return self.words
        whole = round(self.so_far / 60)
        return f"{whole} min, {_to_go(self.to_go).removeprefix('about ')} to go"


def _to_go(seconds: float) -> str:
    return f"about {round(seconds / 60)}" if seconds >= 30 else "under 1 min"


def _minutes(seconds: float) -> str:
    return f"{round(seconds / 60)} min" if seconds >= 30 else "under 1 min"


@dataclass(frozen=True, slots=True)
class Coming:
    """What is expected to be asked yet."""

    questions: tuple[Question, ...]
    """The questions ahead, the current one first."""
    seconds: float
    """What they and those of their pools take."""


def coming(basis: Basis, now: State) -> Coming:
    """The questions expected from here to the end, and how long they take.

    A question that an answer still to come may spare is not counted: of simulated callers hardly
    any is asked those of ``my_chair``, which asks 4.7 minutes of them on average, 3.9 counted so
    and 18 with all of them. Takes as long as choosing a chair, because what an answer may change
    is worked out for it.
    """
    facts = now.told(basis)
    ahead = [one for one in now.to_ask if one is now.current or not _may_be_spared(one, facts)]
    seconds = sum(map(seconds_of, ahead))
    known = {step.question.name for step in now.steps} | now.call.latest().keys()
    share = 1.0 if now.call.thorough else STILL_WORTH
    for pool in sorted({one.pool for one in now.to_ask if one.pool is not None}):
        left = [one for one in basis.tree.questions.values() if one.pool == pool]
        left = [one for one in left if one.name not in known and not one.spared(facts.lookup)]
        seconds += share * sum(map(seconds_of, facts.worth_asking(left)))
    return Coming(tuple(ahead), seconds)


def _may_be_spared(question: Question, facts: Facts) -> bool:
    skip = question.skip_when
    return skip is not None and skip.evaluate(facts.lookup) is not False
