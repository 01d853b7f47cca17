"""Whether a question is worth its time: what its answer may change, how long it takes and took.

Words are spoken at 150 a minute; what an answer takes is a table by its kind (both common
practice, no source).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from consult.tree.model import Question

WORDS_A_SECOND = 150 / 60
ANSWER_SECONDS = {
    "yes-no": 3.0,
    "choice": 5.0,
    "choices": 8.0,
    "count": 4.0,
    "mass": 6.0,
    "length": 8.0,
    "date": 8.0,
    "text": 12.0,
}
_FROM_MEMORY = ("stature",)
"""Body dimensions that people know without a tape."""
TAPE_SECONDS = 45.0
"""Seconds to find the place, hold the tape and read it."""
LEAST = 0.022 / 60
"""Chance of a chair that fits, a second, that an answer must add: 2.2 in a hundred a minute."""
LEAST_UNSURE = 0.006 / 60
"""The same while the best chair so far fits fewer than UNSURE. All three are chosen so that a call
keeps to ten minutes and its chair fits as often as that of the call in which all is asked."""
UNSURE = 0.955


def taped(question: Question) -> bool:
    """Whether the caller needs a tape to answer."""
    return question.answer == "length" and question.measures not in _FROM_MEMORY


TRIED = 2
"""Measures not known, and none taken, after which nobody is asked for another: without a tape each
question more is only time (common practice, no source)."""


def cannot_measure(told: Iterable[tuple[Question, bool]]) -> bool:
    """Whether a caller has no way to measure, by what was asked and whether it was known."""
    known = [known for question, known in told if taped(question)]
    return len(known) >= TRIED and not any(known)


def seconds_of(question: Question) -> float:
    """How long a question takes: said, coached where something is measured, and answered.

    What was learned from the maker's own calls comes first.
    """
    return question.seconds if question.seconds is not None else usual_seconds(question)


def usual_seconds(question: Question) -> float:
    """The same as it is shipped, from the number of words and the kind of answer."""
    words, coached = question.words
    answering = ANSWER_SECONDS[question.answer]
    if taped(question):
        words += coached
        answering = TAPE_SECONDS
    return words / WORDS_A_SECOND + answering


def least_rate(best: float) -> float:
    """What an answer must add a second, where the best chair so far has this P(fits)."""
    return LEAST if best >= UNSURE else LEAST_UNSURE


def worth_their_time(
    questions: Sequence[Question], gains: Mapping[str, float], least: float = LEAST
) -> tuple[Question, ...]:
    """The questions worth their time, the one that adds most first.

    ``gains`` are by question, in chances of a chair that fits (0 to 1), and ``least`` is what one
    must add a second. Of two worth the same, the one given first comes first.

    What is asked is settled by worth per second, the order is not: a quick question asked before a
    good measure is often made needless by it. With simulated callers the same number of questions
    then ends in a chair that fits 98.3 instead of 97.4 of 100 (400 callers, seed 1).
    """
    worth = [
        question for question in questions if gains[question.name] > least * seconds_of(question)
    ]
    return tuple(sorted(worth, key=lambda question: -gains[question.name]))


# -- how long a question was on the screen, without time on hold ----------------------------------


@dataclass(frozen=True, slots=True)
class Stopwatch:
    """A stopwatch that pauses on hold."""

    since: datetime | None
    """When it last began to run; None on hold."""
    before: float = 0.0
    """Seconds it ran before that."""

    def seconds(self, now: datetime) -> float:
        """Seconds it ran; a clock that was set back counts as no time."""
        running = now.timestamp() - self.since.timestamp() if self.since else 0.0
        return self.before + max(0.0, running)

    def hold(self, now: datetime) -> Stopwatch:
        """Pause."""
        return Stopwatch(None, self.seconds(now))

    def go_on(self, now: datetime) -> Stopwatch:
        """Run again; does nothing if it is running."""
        return self if self.since else replace(self, since=now)


def call_seconds(took: list[float | None]) -> float:
    """How long the answers of a call took together."""
    return sum(value for value in took if value is not None)


def minutes(seconds: float) -> str:
    """As people say it: "under a minute", "1 minute", "12 minutes"."""
    whole = round(seconds / 60)
    if whole == 0:
        return "under a minute"
    return "1 minute" if whole == 1 else f"{whole} minutes"
