"""The report of a group as text, CSV and JSON."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass, fields
from typing import TYPE_CHECKING

from consult.practice.learner.done import Record
from consult.practice.learner.export import csv_text, number, one_line
from consult.practice.learner.standing import Topic, standings, tries
from consult.practice.learner.store import same_name
from consult.practice.scoring.points import SIGN

if TYPE_CHECKING:
    from consult.practice.learner.done import Done

GROUP_STRONG, GROUP_WEAK = 0.9, 0.7
"""Of all the times a topic was met, how many went well: from here up, and below there."""
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
    )


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


_SHOWN = 5
"""Measures, and signs, that are listed."""

COLUMNS = tuple(one.name for one in fields(Row))


def report_text(report: GroupReport) -> str:
    """The report to be read on a screen or paper."""
    return "\n".join(_lines(report)) + "\n"


def report_csv(report: GroupReport) -> str:
    """One row per learner, for a spreadsheet."""
    return csv_text(COLUMNS, (tuple(_cells(row)) for row in report.rows))


def report_json(report: GroupReport) -> str:
    """The whole report for programs."""
    data = {
        "learners": [asdict(row) for row in report.rows],
        "topics": [{**asdict(one), "well": round(one.well, 3)} for one in report.topics],
        "strengths": [one.name for one in report.strengths],
        "weak": [one.name for one in report.weak],
        "behaviours_missed": [one.name for one in report.behaviours_missed],
        "measures_missed": [asdict(one) for one in report.measures_missed],
        "signs_missed": [asdict(one) for one in report.signs_missed],
    }
    return json.dumps(data, indent=2, allow_nan=False) + "\n"


def _lines(report: GroupReport) -> Iterator[str]:
    if not report.rows:
        yield "This report has no learners."
        return
    exercises = sum(row.exercises for row in report.rows)
    passed = sum(row.passed for row in report.rows)
    yield f"{_many(len(report.rows), 'learner')}, {_many(exercises, 'exercise')}, {passed} passed."
    for row in report.rows:
        yield ""
        average = "" if row.average is None else f", {number(row.average)} of 100 on average"
        yield (
            f"{one_line(row.learner)}: {_many(row.exercises, 'exercise')} with "
            f"{_many(row.callers, 'caller')}, {row.passed} passed{average}."
        )
        if row.failed_outright:
            yield f"  Failed outright: {row.failed_outright}"
        if row.strengths:
            yield f"  Good at: {_in_a_row(row.strengths)}"
        if row.weak:
            yield f"  To practise: {_in_a_row(row.weak)}"
        yield from (f"  {one_line(trouble)}" for trouble in row.troubles)
    blocks = {
        "The group is good at": report.strengths,
        "The group should practise": report.weak,
        "Most often missed in callers": report.behaviours_missed,
    }
    for title, topics in blocks.items():
        if topics:
            yield ""
            yield f"{title}:"
        for one in topics:
            yield (
                f"  {one_line(one.words)}: missed {one.missed} of {_many(one.times, 'time')}, "
                f"by {_many(one.learners_missing, 'learner')}"
            )
    pieces = {
        "Warning signs most often missed": report.signs_missed,
        "Measures most often wrong": report.measures_missed,
    }
    for title, missed in pieces.items():
        if missed:
            yield ""
            yield f"{title}:"
        for each in missed[:_SHOWN]:
            yield (
                f"  {one_line(each.name)}: {each.missed} of {_many(each.times, 'time')}, "
                f"by {_many(each.learners_missing, 'learner')}"
            )


def _cells(row: Row) -> Iterator[str]:
    for name in COLUMNS:
        value = getattr(row, name)
        if isinstance(value, tuple):
            yield _in_a_row(value)
        elif isinstance(value, float):
            yield number(value)
        else:
            yield "" if value is None else str(value)


def _in_a_row(words: Sequence[str]) -> str:
    return "; ".join(one_line(each) for each in words)


def _many(count: int, name: str) -> str:
    return f"{count} {name}" if count == 1 else f"{count} {name}s"
