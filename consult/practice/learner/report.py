"""The report of a group: how each learner does, what is missed most, and what comes next."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

from consult.call.wording import question_label
from consult.practice.learner.done import Record
from consult.practice.learner.standing import Topic, standings, tries
from consult.practice.learner.store import same_name
from consult.practice.learner.weeks import Week, two_weeks
from consult.practice.model import MEASUREMENT
from consult.practice.scoring.points import SIGN

if TYPE_CHECKING:
    from consult.practice.learner.done import Done
    from consult.practice.model import Behaviour

GROUP_STRONG, GROUP_WEAK = 0.9, 0.7
"""Of all the times a topic was met, how many went well: from here up, and below there."""
_NEXT = 3
"""Kinds of behaviour to practise next, and callers named for each."""
_TOLD = 5
"""Strengths and weak points told of one learner."""


@dataclass(frozen=True, slots=True)
class Row:
    """One learner."""

    learner: str
    exercises: int
    callers: int
    """Different ones."""
    passed: int
    failed_outright: int
    """Exercises that one mistake failed by itself."""
    average: float | None
    """Of 100; None without exercises."""
    last_day: str
    """As 2026-11-25; '' without exercises."""
    strengths: tuple[str, ...]
    weak: tuple[str, ...]
    troubles: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class OfGroup:
    """How the group does with one topic."""

    what: str
    """behaviour or criterion"""
    name: str
    words: str
    times: int
    missed: int
    learners_missing: int

    @property
    def well(self) -> float:
        """Share of the times that went well."""
        return 1 - self.missed / self.times


@dataclass(frozen=True, slots=True)
class Missed:
    """A measure or a warning sign that somebody got wrong, and how often it came up."""

    name: str
    times: int
    missed: int
    learners_missing: int


@dataclass(frozen=True, slots=True)
class GroupReport:
    """The whole report."""

    rows: tuple[Row, ...]
    """By name."""
    topics: tuple[OfGroup, ...]
    """What is missed most often, of the times it was met, first."""
    measures_missed: tuple[Missed, ...] = ()
    """Measures that stood wrong at the end of a call, most often first."""
    signs_missed: tuple[Missed, ...] = ()
    """Warning signs that were not acted on in time, most often first."""
    weeks: tuple[Week, Week] | None = None
    """The week before the last one, and the last; None unless both have exercises."""

    @property
    def strengths(self) -> tuple[OfGroup, ...]:
        """What the group does well, best first."""
        return tuple(one for one in reversed(self.topics) if one.well >= GROUP_STRONG)

    @property
    def weak(self) -> tuple[OfGroup, ...]:
        """What the group misses, worst first."""
        return tuple(one for one in self.topics if one.well < GROUP_WEAK)

    @property
    def behaviours_missed(self) -> tuple[OfGroup, ...]:
        """Behaviours of callers that were missed at all, most often first."""
        found = [one for one in self.topics if one.what == "behaviour" and one.missed]
        return tuple(sorted(found, key=lambda one: (-one.missed, one.name)))


def group_report(records: Sequence[Record]) -> GroupReport:
    """The report over several records; two of the same learner are taken together."""
    together = _together(records)
    return GroupReport(
        rows=tuple(_row(one) for one in together),
        topics=tuple(sorted(_topics(together), key=lambda one: (one.well, -one.missed, one.name))),
        measures_missed=_missed(together, "measures", ""),
        signs_missed=_missed(together, "signs", SIGN),
        weeks=two_weeks(together),
    )


@dataclass(frozen=True, slots=True)
class Practise:
    """Something that a group misses, and who lets it be practised."""

    what: str
    callers: tuple[str, ...]
    """Names, those first that show least besides."""


def to_practise(
    report: GroupReport, callers: Mapping[str, Sequence[Behaviour]]
) -> tuple[Practise, ...]:
    """What is missed most, of signs, of measures and in callers, each with callers who show it.

    ``callers``: name -> what the caller does. What no caller shows is left out.
    """
    wanted: list[tuple[str, Callable[[Behaviour], bool]]] = []
    wanted += [
        (f"warning sign: {one.name}", lambda shown: shown.kind == "sign_in_passing")
        for one in report.signs_missed[:1]
    ]
    wanted += [(one.name, partial(_spoils, one.name)) for one in report.measures_missed[:1]]
    wanted += [(one.words, partial(_is, one.name)) for one in report.behaviours_missed[:_NEXT]]
    easiest = sorted(callers, key=lambda name: (len(callers[name]), name))
    found = (
        Practise(what, tuple(name for name in easiest if any(map(shows, callers[name])))[:_NEXT])
        for what, shows in wanted
    )
    return tuple(one for one in found if one.callers)


def _spoils(measure: str, shown: Behaviour) -> bool:
    """Whether a behaviour makes the figure of a measure wrong."""
    return shown.kind in MEASUREMENT and question_label(shown.at) == measure


def _is(kind: str, shown: Behaviour) -> bool:
    return shown.kind == kind


def _missed(records: Sequence[Record], criterion: str, before: str) -> tuple[Missed, ...]:
    """The items of a criterion that were missed; ``before`` is what their names begin with."""
    times: Counter[str] = Counter()
    missed: Counter[str] = Counter()
    by: dict[str, set[str]] = {}
    for record in records:
        for item in (item for done in record.done for item in done.items):
            if item.criterion != criterion or not item.name.startswith(before):
                continue
            name = item.name.removeprefix(before)
            times[name] += 1
            if not item.full:
                missed[name] += 1
                by.setdefault(name, set()).add(record.learner)
    found = (Missed(name, times[name], many, len(by[name])) for name, many in missed.items())
    return tuple(sorted(found, key=lambda one: (-one.missed, one.name)))


def _together(records: Sequence[Record]) -> list[Record]:
    found: dict[str, Record] = {}
    for one in records:
        key = same_name(one.learner)
        before = found.get(key, Record(one.learner))
        troubles = tuple(dict.fromkeys((*before.troubles, *one.troubles)))
        found[key] = Record(one.learner, _joined(before.done, one.done), troubles)
    return [found[key] for key in sorted(found)]


def _joined(before: Sequence[Done], more: Sequence[Done]) -> tuple[Done, ...]:
    """Both, an exercise that an older export holds too being one and the same."""
    known = Counter(map(_key, before))
    new = []
    for one in more:
        if known[_key(one)]:
            known[_key(one)] -= 1
        else:
            new.append(one)
    return tuple(sorted((*before, *new), key=lambda one: one.day))


def _key(done: Done) -> tuple[object, ...]:
    """What tells an exercise apart, whether or not its conversation was exported."""
    about = (done.day, done.caller, done.seed, done.level, done.total, done.out_of, done.passed)
    return (*about, done.items, done.met)


def _row(record: Record) -> Row:
    done = record.done
    marked = standings(done)
    strong = sorted((s for s in marked if s.strong), key=lambda s: (-s.in_a_row, s.topic))
    weak = sorted((s for s in marked if s.weak), key=lambda s: (-s.missed, s.topic))
    return Row(
        learner=record.learner,
        exercises=len(done),
        callers=len({one.caller for one in done}),
        passed=sum(one.passed for one in done),
        failed_outright=sum(any(item.fails for item in one.items) for one in done),
        average=round(sum(one.of_100 for one in done) / len(done), 1) if done else None,
        last_day=max(one.day for one in done).isoformat() if done else "",
        strengths=tuple(one.topic.words for one in strong[:_TOLD]),
        weak=tuple(one.topic.words for one in weak[:_TOLD]),
        troubles=record.troubles,
    )


def _topics(records: Sequence[Record]) -> Iterator[OfGroup]:
    met: dict[Topic, list[list[bool]]] = {}
    for record in records:
        for topic, each in tries(record.done).items():
            met.setdefault(topic, []).append([one.well for one in each])
    for topic, learners in met.items():
        yield OfGroup(
            what=topic.what,
            name=topic.name,
            words=topic.words,
            times=sum(len(one) for one in learners),
            missed=sum(one.count(False) for one in learners),
            learners_missing=sum(not all(one) for one in learners),
        )
