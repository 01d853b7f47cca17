"""The report over several learners."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from consult.practice.learner.done import Done, LearnerRecord
from consult.practice.learner.report import (
    REPORT_COLUMNS,
    group_report,
    report_csv,
    report_json,
    report_text,
    to_practise,
)
from consult.practice.model import Behaviour, BehaviourKind
from consult.practice.scoring.points import ScoreItem
from tests.long import every_case, examples
from tests.practice.learner.samples import HOSTILE_NAMES, done, dones

ANN = LearnerRecord(
    "Ann",
    (
        done(0, "ada", noticed={"vague": True}, kept=("order",)),
        done(1, "ben", noticed={"vague": True}, kept=("order",)),
        done(2, "ada", noticed={"vague": True}, kept=("order",), got=90),
    ),
)
BOB = LearnerRecord(
    "Bob",
    (done(4, "ada", "Bob", noticed={"hurry": False}, lost=("order",), passed=False, got=31),),
    ("1 exercise is damaged and was left out.",),
)


def test_who_did_what_and_passed() -> None:
    """A row per learner: how many exercises and callers, passed, the average, good at, to do."""
    ann, bob = group_report([BOB, ANN]).rows
    assert (ann.learner, ann.exercises, ann.callers, ann.passed) == ("Ann", 3, 2, 3)
    assert ann.average == pytest.approx(83.3)
    assert ann.strengths == ("a vague answer", "Order of the call")
    assert (bob.passed, bob.average, bob.weak) == (
        0,
        31.0,
        ("a caller who wants to skip a question", "Order of the call"),
    )
    assert bob.troubles == BOB.troubles


def test_strengths_and_weak_points_of_the_group() -> None:
    """Shares over all learners; behaviours missed by most often."""
    report = group_report([ANN, BOB])
    assert [one.name for one in report.strengths] == ["vague"]
    assert [one.name for one in report.weak] == ["hurry"]
    assert [one.name for one in report.behaviours_missed] == ["hurry"]
    order = next(one for one in report.topics if one.name == "order")
    assert (order.times, order.missed, order.learners_missing) == (4, 1, 1)


def test_failing_outright_is_counted() -> None:
    """A missed sign stands out, however good the rest was."""
    failed = replace(
        done(passed=False), marks=(ScoreItem("signs", "a sign", 0.0, 25.0, fails=True),)
    )
    assert group_report([LearnerRecord("Ann", (failed,))]).rows[0].failed_outright == 1


def test_two_exports_of_one_learner_count_once() -> None:
    """An older export beside a newer one adds nothing; two equal exercises stay two."""
    older = LearnerRecord("ann", ANN.done[:2])
    (row,) = group_report([older, ANN]).rows
    assert row.exercises == 3
    twice = LearnerRecord("Ann", (done(), done()))
    (row,) = group_report([twice, twice]).rows
    assert row.exercises == 2


def test_the_text_says_it_plainly() -> None:
    """What a trainer reads."""
    text = report_text(group_report([ANN, BOB]))
    assert text.startswith("2 learners, 4 exercises, 3 passed.\n")
    assert "Ann: 3 exercises with 2 callers, 3 passed, 83.3 of 100 on average." in text
    assert "Most often missed in callers:\n  a caller who wants to skip a question: missed 1 of 1 "
    assert "  1 exercise is damaged and was left out." in text
    assert report_text(group_report([])) == "This report has no learners.\n"


def test_a_learner_without_exercises_has_a_row() -> None:
    """Who has not begun is seen too."""
    report = group_report([LearnerRecord("Ann")])
    assert report.rows[0].average is None
    assert "Ann: 0 exercises" in report_text(report)


@every_case(HOSTILE_NAMES)
def test_no_name_breaks_a_report(name: str) -> None:
    """Every form keeps its shape whatever a learner is called."""
    one = (done(learner=name, lost=("signs",)),)
    report = group_report([LearnerRecord(name, one)])
    head, row = csv.reader(io.StringIO(report_csv(report).removeprefix("\ufeff"), newline=""))
    assert (tuple(head), len(row)) == (REPORT_COLUMNS, len(REPORT_COLUMNS))
    assert json.loads(report_json(report))["learners"][0]["exercises"] == 1
    text = report_text(report)
    usual = report_text(group_report([LearnerRecord("Ann", one)]))
    assert len(text.splitlines()) == len(usual.splitlines())
    text.encode("utf-8")
    assert "\x1b" not in text


@given(st.lists(dones, max_size=4))
@settings(max_examples=examples(50), deadline=None)
def test_any_exercises_can_be_reported(all_: list[Done]) -> None:
    """No record makes a report fail, and every topic's share lies between nothing and all."""
    report = group_report([LearnerRecord(one.learner, (one,)) for one in all_])
    assert all(0 <= one.well <= 1 for one in report.topics)
    report_text(report), report_csv(report), report_json(report)


def test_which_measure_and_which_sign_is_missed_most() -> None:
    """Counted over all learners, most often first; what went well is not listed."""
    marks = (
        ScoreItem("measures", "Desk height", 0, 5),
        ScoreItem("measures", "Stature", 5, 5),
        ScoreItem("signs", "Warning sign: emergency sign", 0, 10, fails=True),
        ScoreItem("signs", "Warning signs asked about", 0, 10),
    )
    ann = replace(ANN, done=tuple(replace(one, marks=marks) for one in ANN.done))
    report = group_report([ann, replace(BOB, done=(replace(BOB.done[0], marks=marks[1:3]),))])
    assert [(one.name, one.times, one.missed) for one in report.measures_missed] == [
        ("Desk height", 3, 3)
    ]
    assert [(one.name, one.missed, one.learners_missing) for one in report.signs_missed] == [
        ("emergency sign", 4, 2)
    ]
    text = report_text(report)
    assert "Warning signs most often missed:\n  emergency sign: 4 of 4 times, by 2 learners" in text
    assert "Measures most often wrong:\n  Desk height: 3 of 3 times, by 1 learner" in text
    assert json.loads(report_json(report))["signs_missed"][0]["missed"] == 4


def shows(kind: BehaviourKind, at: str = "") -> Behaviour:
    """What a caller does."""
    return Behaviour(f"a_{kind}", kind, at, (), "So.")


def test_what_is_missed_is_what_comes_next() -> None:
    """The sign and the measure missed most, and what callers do: each with callers who show it,
    those first with whom there is least besides; what no caller shows is left out."""
    items = (
        ScoreItem("signs", "Warning sign: both legs", 0, 10),
        ScoreItem("measures", "Desk height", 0, 2),
    )
    missed = replace(BOB.done[0], marks=items)
    report = group_report([LearnerRecord("Bob", (missed,))])
    callers = {
        "busy": (shows("hurry"), shows("wrong_tape", "desk_height"), shows("vague")),
        "calm": (shows("hurry"),),
        "other": (shows("wrong_tape", "lower_leg"), shows("sign_in_passing")),
    }
    nexts = to_practise(report, callers)
    assert [(one.what, one.callers) for one in nexts] == [
        ("warning sign: both legs", ("other",)),
        ("Desk height", ("busy",)),
        ("a caller who wants to skip a question", ("calm", "busy")),
    ]
    assert "  Desk height: consult practise busy" in report_text(report, nexts)
    assert json.loads(report_json(report, nexts))["to_practise"][0]["callers"] == ["other"]
    assert to_practise(report, {}) == ()
