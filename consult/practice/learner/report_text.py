"""The report of a group as text, CSV and JSON."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import asdict, fields
from typing import TYPE_CHECKING

from consult.practice.learner.export import csv_text, number, one_line
from consult.practice.learner.report import Row

if TYPE_CHECKING:
    from consult.practice.learner.report import GroupReport, Missed, OfGroup, Practise
    from consult.practice.learner.weeks import Week

_SHOWN = 5
"""Measures, and signs, that are listed."""

COLUMNS = tuple(one.name for one in fields(Row))


def report_text(report: GroupReport, nexts: Sequence[Practise] = ()) -> str:
    """The report to be read on a screen or paper; ``nexts`` is what to practise next."""
    return "\n".join((*_lines(report), *_week_lines(report.weeks), *_next_lines(nexts))) + "\n"


def report_csv(report: GroupReport) -> str:
    """One row per learner, for a spreadsheet."""
    return csv_text(COLUMNS, (tuple(_cells(row)) for row in report.rows))


def report_json(report: GroupReport, nexts: Sequence[Practise] = ()) -> str:
    """The whole report for programs."""
    data = {
        "learners": [asdict(row) for row in report.rows],
        "topics": [{**asdict(one), "well": round(one.well, 3)} for one in report.topics],
        "strengths": [one.name for one in report.strengths],
        "weak": [one.name for one in report.weak],
        "behaviours_missed": [one.name for one in report.behaviours_missed],
        "measures_missed": [asdict(one) for one in report.measures_missed],
        "signs_missed": [asdict(one) for one in report.signs_missed],
        "weeks": [_week_json(week) for week in report.weeks or ()],
        "to_practise": [asdict(one) for one in nexts],
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
            yield _missed(f"{one_line(one.words)}: missed", one)
    pieces = {
        "Warning signs most often missed": report.signs_missed,
        "Measures most often wrong": report.measures_missed,
    }
    for title, missed in pieces.items():
        if missed:
            yield ""
            yield f"{title}:"
        for each in missed[:_SHOWN]:
            yield _missed(f"{one_line(each.name)}:", each)


def _missed(what: str, one: Missed | OfGroup) -> str:
    many = _many(one.learners_missing, "learner")
    return f"  {what} {one.missed} of {_many(one.times, 'time')}, by {many}"


def _week_json(week: Week) -> dict[str, object]:
    return {**asdict(week), "first": week.first.isoformat(), "last": week.last.isoformat()}


def _week_lines(weeks: tuple[Week, Week] | None) -> Iterator[str]:
    if weeks is None:
        return
    before, now = weeks
    yield ""
    yield f"The week to {now.last.isoformat()}, and the week before:"
    labels = ("exercises", "passed", "score, of 100", "warning signs missed", "measures wrong")
    for label, *figures in zip(labels, _figures(now), _figures(before), strict=True):
        yield f"  {label:<22}" + "".join(f"{figure:>8}" for figure in figures)


def _figures(week: Week) -> tuple[str, ...]:
    """In the order of their labels."""
    counted = (week.exercises, week.passed, week.average, week.signs_missed, week.measures_wrong)
    return tuple("-" if one is None else number(one) for one in counted)


def _next_lines(nexts: Sequence[Practise]) -> Iterator[str]:
    if nexts:
        yield ""
        yield "To practise next:"
    for one in nexts:
        yield f"  {one_line(one.what)}: consult practise {' or '.join(one.callers)}"


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
