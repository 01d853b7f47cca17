"""A record as a file for the trainer."""

from __future__ import annotations

import csv
import io
import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from consult.practice.learner.done import Done, LearnerRecord, PracticeTrouble
from consult.practice.learner.export import (
    SCORE_COLUMNS,
    cell,
    export_csv,
    export_json,
    read_export,
)
from consult.visible import FORMULA
from tests.long import every_case, examples
from tests.practice.learner.samples import HOSTILE_NAMES, done, dones


def rows(text: str) -> list[list[str]]:
    assert text.startswith("\ufeff")
    return list(csv.reader(io.StringIO(text[1:], newline="")))


@given(st.lists(dones, max_size=3))
@settings(max_examples=examples(50), deadline=None)
def test_an_export_reads_back_the_same(all_: list[Done]) -> None:
    """Nothing is lost or changed between the learner's machine and the trainer's."""
    record = LearnerRecord(
        "Ann \N{SLIGHTLY SMILING FACE}", tuple(all_), ("Something was damaged.",)
    )
    assert read_export(export_json(record), "ann.json") == record


def test_an_export_may_leave_the_conversations_out() -> None:
    """Without logs the score stay, and what was said does not."""
    one = Done("Ann", done().day, "x", 1, "unaided", 1.0, 2.0, True, log={"events": ["hello"]})
    text = export_json(LearnerRecord("Ann", (one,)), logs=False)
    assert "hello" not in text
    assert read_export(text, "f").done[0].total == 1.0


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "is not an export"),
        ("[]", "is not an export"),
        ('{"kind": "something"}', "is not an export"),
        ("[" * 100_000, "is not an export"),
        ('{"kind": "consult practice record", "form": 9}', "another version"),
        ('{"kind": "consult practice record", "form": 1}', "is damaged"),
    ],
)
def test_what_is_no_export_is_said(text: str, said: str) -> None:
    """Each wrong file is told by name in plain words."""
    with pytest.raises(PracticeTrouble, match=said) as found:
        read_export(text, "[red]\x1b.json")
    assert "\x1b" not in str(found.value)


@every_case(HOSTILE_NAMES)
def test_no_cell_is_a_formula(name: str) -> None:
    """Whatever a learner is called, the table keeps its shape and reckons with nothing."""
    record = LearnerRecord(name, (done(learner=name, lost=("signs",), kept=("order",)),))
    head, *body = rows(export_csv(record))
    assert tuple(head) == SCORE_COLUMNS
    assert len(body) == 2
    for row in body:
        assert len(row) == len(SCORE_COLUMNS)
        assert not any(text.lstrip()[:1] in FORMULA for text in row if text)


def test_an_exercise_without_marks_has_a_row_too() -> None:
    """Everything that was done is in the table."""
    assert len(rows(export_csv(LearnerRecord("Ann", (done(),))))) == 2


def test_a_cell_is_one_line_before_it_is_guarded() -> None:
    """Breaks at its beginning hide no formula."""
    assert cell(" =1") == "' =1"
    assert cell("\t@x\n y") == "' @x  y"


def test_json_is_one_object() -> None:
    """Programs find the kind and the form of the file."""
    data = json.loads(export_json(LearnerRecord("Ann")))
    assert (data["kind"], data["form"]) == ("consult practice record", 1)
