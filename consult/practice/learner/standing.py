"""What a learner is good at, what not yet, when it comes again, and whom to practise on next.

A miss begins at the first interval. Each time it goes well on the day it is due, or later, the
next interval begins; after the last it is learned. Going well before it is due proves little and
changes nothing. Spacing repetitions out is common practice in teaching; the days are ours.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import takewhile
from typing import Literal

from consult.practice.learner.done import Done, LearnerRecord, average
from consult.practice.scoring.points import LABELS, SIGN

NOTICING: Mapping[str, str] = {
    "mixes_units": "units that change from one figure to the next",
    "rounds": "a rounded figure",
    "vague": "a vague answer",
    "volunteers": "an answer given early",
    "wrong_tape": "a tape held at the wrong point",
    "shoes_on": "a measure taken with shoes on",
    "contradicts": "two answers that contradict each other",
    "hurry": "a caller who wants to skip a question",
    "sign_in_passing": "a warning sign said in passing",
    "refuses_consent": "a caller who will not talk about health",
    "for_somebody_else": "a caller who speaks for somebody else",
    "interrupted": "a caller who is interrupted",
    "presses": "a caller who presses you to pass over a warning sign",
}
"""Kind of behaviour -> what there was to notice."""


@dataclass(frozen=True, slots=True, order=True)
class LearningTopic:
    """One thing to learn."""

    what: Literal["behaviour", "criterion"]
    name: str
    """Kind of the behaviour, or name of the criterion."""

    @property
    def words(self) -> str:
        """As it is told to the learner."""
        known = NOTICING if self.what == "behaviour" else LABELS
        return known.get(self.name, self.name)


@dataclass(frozen=True, slots=True)
class Try:
    """How it went with a topic in one exercise."""

    day: date
    well: bool


def tries(done: Sequence[Done]) -> dict[LearningTopic, tuple[Try, ...]]:
    """Every topic met so far -> how it went, in the order of the exercises.

    A topic met several times in one exercise went well where it did every time.
    """
    found: defaultdict[LearningTopic, list[Try]] = defaultdict(list)
    for exercise in done:
        met = list(_met(exercise))
        for topic in {topic for topic, _ in met}:
            found[topic].append(Try(exercise.day, (topic, False) not in met))
    return {topic: tuple(found[topic]) for topic in sorted(found)}


def _met(done: Done) -> Iterator[tuple[LearningTopic, bool]]:
    for behaviour in done.met:
        if behaviour.noticed is not None:
            yield LearningTopic("behaviour", behaviour.kind), behaviour.noticed
    for item in done.marks:
        # What did not come up, or could not be earned in this call, tells nothing.
        if item.came_up and (item.of > 0 or item.fails):
            yield LearningTopic("criterion", item.criterion), item.full


INTERVALS = (1, 3, 7, 21)
"""Days that a topic rests."""


@dataclass(frozen=True, slots=True)
class Resting:
    """A topic that was missed and is not learned yet."""

    topic: LearningTopic
    interval: int
    """Days."""
    since: date
    """The day the interval began."""

    @property
    def due(self) -> date:
        """The first day it comes again."""
        return _after(self.since, self.interval)


def resting(done: Sequence[Done]) -> tuple[Resting, ...]:
    """Every topic that will come again, what is due first at the beginning."""
    restings = [_resting(topic, each) for topic, each in tries(done).items()]
    return tuple(sorted((one for one in restings if one), key=lambda one: (one.due, one.topic)))


def due(done: Sequence[Done], today: date) -> tuple[Resting, ...]:
    """The topics to practise today, those that wait longest first."""
    return tuple(one for one in resting(done) if one.due <= today)


def _resting(topic: LearningTopic, each: tuple[Try, ...]) -> Resting | None:
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


def _after(since: date, days: int) -> date:
    try:
        return since + timedelta(days=days)
    except OverflowError:
        return date.max


ENOUGH = 3
"""Times in a row that something has to go well before it is called a strength."""


@dataclass(frozen=True, slots=True)
class Standing:
    """One topic, over all exercises."""

    topic: LearningTopic
    times: int
    missed: int
    in_a_row: int
    """Times it went well since the last miss."""

    @property
    def strong(self) -> bool:
        """It went well often enough lately."""
        return self.in_a_row >= ENOUGH

    @property
    def weak(self) -> bool:
        """It was missed, and has not gone well often enough since."""
        return self.missed > 0 and not self.strong


@dataclass(frozen=True, slots=True)
class Outlook:
    """What there is to say of a learner on a day."""

    strengths: tuple[Standing, ...]
    """What went well longest first."""
    weak: tuple[Standing, ...]
    """What was missed most often first."""
    due: tuple[Resting, ...]
    later: tuple[Resting, ...]


def outlook(done: Sequence[Done], today: date) -> Outlook:
    """Strengths, weak points and what comes next."""
    all_, again = standings(done), resting(done)
    strong, weak = (
        (standing for standing in all_ if standing.strong),
        (standing for standing in all_ if standing.weak),
    )
    return Outlook(
        strengths=tuple(sorted(strong, key=lambda standing: (-standing.in_a_row, standing.topic))),
        weak=tuple(
            sorted(weak, key=lambda standing: (-standing.missed, standing.in_a_row, standing.topic))
        ),
        due=tuple(one for one in again if one.due <= today),
        later=tuple(one for one in again if one.due > today),
    )


def standings(done: Sequence[Done]) -> tuple[Standing, ...]:
    """Every topic met so far, in the order of their names."""
    found = []
    for topic, each in tries(done).items():
        in_a_row = len(list(takewhile(lambda one: one.well, reversed(each))))
        missed = sum(not one.well for one in each)
        found.append(Standing(topic, len(each), missed, in_a_row))
    return tuple(found)


def next_caller(
    callers: Mapping[str, Iterable[LearningTopic]], done: Sequence[Done], today: date
) -> str | None:
    """The caller to practise on: shows what is due, and was played least; None without callers.

    ``callers``: name -> the topics it shows. Of several played equally seldom, the one that shows
    more of what is due, then the one that was played longest ago, then the first by name. Where
    nothing is due, or nobody shows it, all callers are looked at.
    """
    wanted = {one.topic for one in due(done, today)}
    shown = {name: len(wanted.intersection(topics)) for name, topics in callers.items()}
    fit = [name for name in callers if shown[name]] or list(callers)
    plays = {name: [exercise.day for exercise in done if exercise.caller == name] for name in fit}
    return min(
        fit,
        key=lambda name: (len(plays[name]), -shown[name], max(plays[name], default=date.min), name),
        default=None,
    )


# -- the last week of a group beside the week before, counted back from the latest exercise -------

_DAYS = 7


@dataclass(frozen=True, slots=True)
class Week:
    """What a group did in seven days."""

    first: date
    last: date
    exercises: int
    passed: int
    average: float | None
    """Of 100; None without exercises."""
    signs_missed: int
    measures_wrong: int


def two_weeks(records: Sequence[LearnerRecord]) -> tuple[Week, Week] | None:
    """The week before the last one, and the last; None unless both have exercises."""
    done = [exercise for record in records for exercise in record.done]
    last = max((exercise.day for exercise in done), default=date.min)
    if last < date.min + timedelta(days=2 * _DAYS):
        return None
    before, now = _week(done, last - timedelta(days=_DAYS)), _week(done, last)
    return (before, now) if before.exercises else None


def _week(done: Sequence[Done], last: date) -> Week:
    first = last - timedelta(days=_DAYS - 1)
    own = [exercise for exercise in done if first <= exercise.day <= last]
    missed = [item for exercise in own for item in exercise.marks if item.came_up and not item.full]
    return Week(
        first=first,
        last=last,
        exercises=len(own),
        passed=sum(exercise.passed for exercise in own),
        average=average(own),
        signs_missed=sum(
            item.criterion == "signs" and item.name.startswith(SIGN) for item in missed
        ),
        measures_wrong=sum(item.criterion == "measures" for item in missed),
    )
