"""The report of a group as text, CSV and JSON."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import asdict, fields

from consult.practice.learner.cells import csv_text, one_line
from consult.practice.learner.export import number
from consult.practice.learner.group import GroupReport, Row

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
            yield f"  Good at: {_joined(row.strengths)}"
        if row.weak:
            yield f"  To practise: {_joined(row.weak)}"
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


def _cells(row: Row) -> Iterator[str]:
    for name in COLUMNS:
        value = getattr(row, name)
        if isinstance(value, tuple):
            yield _joined(value)
        elif isinstance(value, float):
            yield number(value)
        else:
            yield "" if value is None else str(value)


def _joined(words: Sequence[str]) -> str:
    return "; ".join(one_line(each) for each in words)


def _many(count: int, name: str) -> str:
    return f"{count} {name}" if count == 1 else f"{count} {name}s"
