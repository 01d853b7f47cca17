"""The report of a group: how each learner does, what is missed most, and what comes next."""

from __future__ import annotations

import json
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, fields

from consult.call.wording import question_label
from consult.practice.learner.done import Done, LearnerRecord, average
from consult.practice.learner.standing import LearningTopic, Week, standings, tries, two_weeks
from consult.practice.learner.store import figure_text, learner_csv, on_one_line, same_name
from consult.practice.model import MEASUREMENT, Behaviour
from consult.practice.scoring.points import SIGN

GROUP_STRONG, GROUP_WEAK = 0.9, 0.7
"""Of all the times a topic was met, how many went well: from here up, and below there."""
_NEXT = 3
"""Kinds of behaviour to practise next, and callers named for each."""
_TOLD = 5
"""Strengths and weak points told of one learner."""


@dataclass(frozen=True, slots=True)
class LearnerRow:
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

    rows: tuple[LearnerRow, ...]
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
        return tuple(group for group in reversed(self.topics) if group.well >= GROUP_STRONG)

    @property
    def weak(self) -> tuple[OfGroup, ...]:
        """What the group misses, worst first."""
        return tuple(group for group in self.topics if group.well < GROUP_WEAK)

    @property
    def behaviours_missed(self) -> tuple[OfGroup, ...]:
        """Behaviours of callers that were missed at all, most often first."""
        groups = [group for group in self.topics if group.what == "behaviour" and group.missed]
        return tuple(sorted(groups, key=lambda group: (-group.missed, group.name)))


def group_report(records: Sequence[LearnerRecord]) -> GroupReport:
    """The report over several records; two of the same learner are taken together."""
    together = _together(records)
    return GroupReport(
        rows=tuple(_row(record) for record in together),
        topics=tuple(
            sorted(_topics(together), key=lambda group: (group.well, -group.missed, group.name))
        ),
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
    easiest = sorted(callers, key=lambda name: (len(callers[name]), name))

    def shown_by(what: str, shows: Callable[[Behaviour], bool]) -> Practise:
        return Practise(
            what, tuple(name for name in easiest if any(map(shows, callers[name])))[:_NEXT]
        )

    def of_kind(kind: str) -> Callable[[Behaviour], bool]:
        return lambda behaviour: behaviour.kind == kind

    def spoils(measure: str) -> Callable[[Behaviour], bool]:
        return lambda behaviour: (
            behaviour.kind in MEASUREMENT and question_label(behaviour.at) == measure
        )

    signs, measures = report.signs_missed[:1], report.measures_missed[:1]
    practises = [
        *(shown_by(f"warning sign: {missed.name}", of_kind("sign_in_passing")) for missed in signs),
        *(shown_by(missed.name, spoils(missed.name)) for missed in measures),
        *(shown_by(group.words, of_kind(group.name)) for group in report.behaviours_missed[:_NEXT]),
    ]
    return tuple(practise for practise in practises if practise.callers)


def _missed(records: Sequence[LearnerRecord], criterion: str, before: str) -> tuple[Missed, ...]:
    """The items of a criterion that were missed; ``before`` is what their names begin with."""
    times, missed = Counter[str](), Counter[str]()
    by: defaultdict[str, set[str]] = defaultdict(set)
    for record in records:
        for item in (item for done in record.done for item in done.marks):
            if item.criterion == criterion and item.name.startswith(before):
                name = item.name.removeprefix(before)
                times[name] += 1
                if not item.full:
                    missed[name] += 1
                    by[name].add(record.learner)
    misseds = (Missed(name, times[name], many, len(by[name])) for name, many in missed.items())
    return tuple(sorted(misseds, key=lambda missed: (-missed.missed, missed.name)))


def _together(records: Sequence[LearnerRecord]) -> list[LearnerRecord]:
    learner_records: dict[str, LearnerRecord] = {}
    for record in records:
        key = same_name(record.learner)
        before = learner_records.get(key, LearnerRecord(record.learner))
        troubles = tuple(dict.fromkeys((*before.troubles, *record.troubles)))
        learner_records[key] = LearnerRecord(
            record.learner, _joined(before.done, record.done), troubles
        )
    return [learner_records[key] for key in sorted(learner_records)]


def _joined(before: Sequence[Done], more: Sequence[Done]) -> tuple[Done, ...]:
    """Both, an exercise that an older export holds too being one and the same."""
    known = Counter(map(_key, before))
    new = []
    for exercise in more:
        if known[_key(exercise)]:
            known[_key(exercise)] -= 1
        else:
            new.append(exercise)
    return tuple(sorted((*before, *new), key=lambda exercise: exercise.day))


def _key(done: Done) -> tuple[object, ...]:
    """What tells an exercise apart, whether or not its conversation was exported."""
    about = (done.day, done.caller, done.seed, done.level, done.total, done.out_of, done.passed)
    return (*about, done.marks, done.met)


def _row(record: LearnerRecord) -> LearnerRow:
    done = record.done
    marked = standings(done)
    strong = sorted((s for s in marked if s.strong), key=lambda s: (-s.in_a_row, s.topic))
    weak = sorted((s for s in marked if s.weak), key=lambda s: (-s.missed, s.topic))
    return LearnerRow(
        learner=record.learner,
        exercises=len(done),
        callers=len({exercise.caller for exercise in done}),
        passed=sum(exercise.passed for exercise in done),
        failed_outright=sum(any(item.fails for item in exercise.marks) for exercise in done),
        average=average(done),
        strengths=tuple(standing.topic.words for standing in strong[:_TOLD]),
        weak=tuple(standing.topic.words for standing in weak[:_TOLD]),
        troubles=record.troubles,
    )


def _topics(records: Sequence[LearnerRecord]) -> Iterator[OfGroup]:
    met: dict[LearningTopic, list[list[bool]]] = {}
    for record in records:
        for topic, each in tries(record.done).items():
            met.setdefault(topic, []).append([one.well for one in each])
    for topic, learners in met.items():
        yield OfGroup(
            what=topic.what,
            name=topic.name,
            words=topic.words,
            times=sum(len(learner) for learner in learners),
            missed=sum(learner.count(False) for learner in learners),
            learners_missing=sum(not all(learner) for learner in learners),
        )


# -- the report of a group as text, CSV and JSON --------------------------------------------------

_SHOWN = 5
"""Measures, and signs, that are listed."""

REPORT_COLUMNS = tuple(field.name for field in fields(LearnerRow))


def report_text(report: GroupReport, nexts: Sequence[Practise] = ()) -> str:
    """The report to be read on a screen or paper; ``nexts`` is what to practise next."""
    return "\n".join((*_lines(report), *_week_lines(report.weeks), *_next_lines(nexts))) + "\n"


def report_csv(report: GroupReport) -> str:
    return learner_csv(REPORT_COLUMNS, (tuple(_cells(row)) for row in report.rows))


def report_json(report: GroupReport, nexts: Sequence[Practise] = ()) -> str:
    """The whole report for programs."""
    data = {
        "learners": [asdict(row) for row in report.rows],
        "topics": [{**asdict(group), "well": round(group.well, 3)} for group in report.topics],
        "strengths": [group.name for group in report.strengths],
        "weak": [group.name for group in report.weak],
        "behaviours_missed": [group.name for group in report.behaviours_missed],
        "measures_missed": [asdict(missed) for missed in report.measures_missed],
        "signs_missed": [asdict(missed) for missed in report.signs_missed],
        "weeks": [_week_json(week) for week in report.weeks or ()],
        "to_practise": [asdict(practise) for practise in nexts],
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
        mean = "" if row.average is None else f", {figure_text(row.average)} of 100 on average"
        yield (
            f"{on_one_line(row.learner)}: {_many(row.exercises, 'exercise')} with "
            f"{_many(row.callers, 'caller')}, {row.passed} passed{mean}."
        )
        if row.failed_outright:
            yield f"  Failed outright: {row.failed_outright}"
        if row.strengths:
            yield f"  Good at: {_in_a_row(row.strengths)}"
        if row.weak:
            yield f"  To practise: {_in_a_row(row.weak)}"
        yield from (f"  {on_one_line(trouble)}" for trouble in row.troubles)
    blocks: dict[str, Sequence[OfGroup | Missed]] = {
        "The group is good at": report.strengths,
        "The group should practise": report.weak,
        "Most often missed in callers": report.behaviours_missed,
        "Warning signs most often missed": report.signs_missed[:_SHOWN],
        "Measures most often wrong": report.measures_missed[:_SHOWN],
    }
    for title, missed in blocks.items():
        if missed:
            yield from ("", f"{title}:")
        yield from map(_missed_line, missed)


def _missed_line(one: OfGroup | Missed) -> str:
    what = f"{one.words}: missed" if isinstance(one, OfGroup) else f"{one.name}:"
    many = _many(one.learners_missing, "learner")
    return f"  {on_one_line(what)} {one.missed} of {_many(one.times, 'time')}, by {many}"


def _week_json(week: Week) -> dict[str, object]:
    return {**asdict(week), "first": week.first.isoformat(), "last": week.last.isoformat()}


def _week_lines(weeks: tuple[Week, Week] | None) -> Iterator[str]:
    if weeks is None:
        return
    before, now = weeks
    yield from ("", f"The week to {now.last.isoformat()}, and the week before:")
    labels = ("exercises", "passed", "score, of 100", "warning signs missed", "measures wrong")
    for label, *figures in zip(labels, _figures(now), _figures(before), strict=True):
        yield f"  {label:<22}" + "".join(f"{figure:>8}" for figure in figures)


def _figures(week: Week) -> tuple[str, ...]:
    """In the order of their labels."""
    counted = (week.exercises, week.passed, week.average, week.signs_missed, week.measures_wrong)
    return tuple("-" if one is None else figure_text(one) for one in counted)


def _next_lines(nexts: Sequence[Practise]) -> Iterator[str]:
    if nexts:
        yield from ("", "To practise next:")
    for practise in nexts:
        yield f"  {on_one_line(practise.what)}: consult practise {' or '.join(practise.callers)}"


def _cells(row: LearnerRow) -> Iterator[str]:
    for name in REPORT_COLUMNS:
        match getattr(row, name):
            case tuple() as words:
                yield _in_a_row(words)
            case float() as figure:
                yield figure_text(figure)
            case value:
                yield "" if value is None else str(value)


def _in_a_row(words: Sequence[str]) -> str:
    return "; ".join(on_one_line(word) for word in words)


def _many(count: int, name: str) -> str:
    return f"{count} {name}" if count == 1 else f"{count} {name}s"
