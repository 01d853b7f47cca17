"""When a topic that was missed comes again.

A miss begins at the first interval. Each time it goes well on the day it is due, or later, the
next interval begins; after the last it is learned. Going well before it is due proves little and
changes nothing. Spacing repetitions out is common practice in teaching; the days are ours.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from consult.practice.learner.topics import Topic, Try, tries

if TYPE_CHECKING:
    from consult.practice.learner.model import Done


@dataclass(frozen=True, slots=True)
class Interval:
    """How long a topic rests."""

    name: str
    days: int


INTERVALS = (
    Interval("the next day", 1),
    Interval("after three days", 3),
    Interval("after a week", 7),
    Interval("after three weeks", 21),
)


@dataclass(frozen=True, slots=True)
class Resting:
    """A topic that was missed and is not learned yet."""

    topic: Topic
    interval: Interval
    since: date
    """The day the interval began."""

    @property
    def due(self) -> date:
        """The first day it comes again."""
        return _after(self.since, self.interval)


def resting(done: Sequence[Done]) -> tuple[Resting, ...]:
    """Every topic that will come again, what is due first at the beginning."""
    found = [_resting(topic, each) for topic, each in tries(done).items()]
    return tuple(sorted((one for one in found if one), key=lambda one: (one.due, one.topic)))


def due(done: Sequence[Done], today: date) -> tuple[Resting, ...]:
    """The topics to practise today, those that wait longest first."""
    return tuple(one for one in resting(done) if one.due <= today)


def _resting(topic: Topic, each: tuple[Try, ...]) -> Resting | None:
    step: int | None = None
    since = each[0].day
    for one in each:
        if not one.well:
            step, since = 0, one.day
        elif step is not None and one.day >= _after(since, INTERVALS[step]):
            step, since = step + 1, one.day
            if step == len(INTERVALS):
                step = None
    return None if step is None else Resting(topic, INTERVALS[step], since)


def _after(since: date, interval: Interval) -> date:
    try:
        return since + timedelta(days=interval.days)
    except OverflowError:
        return date.max
