"""Call files: what was written is read back to the character, and mistakes are found in place."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from consult.call.call import Answer, Call, Handled
from consult.call.transcript import (
    Transcript,
    _dumped,
    _lines,
    _written,
    load_transcript,
    unknown_questions,
    write_transcript,
)
from consult.problems import Problem
from tests.call.calls import HOSTILE, TODAY, seating

HEAD = "transcript: A call\ntree: seating\ntoday: 2026-11-25\n"


def there_and_back(folder: Path, call: Call, title: str = "A call") -> Transcript:
    """The call written to a file and read again."""
    file = folder / "call.yaml"
    with file.open("w", encoding="utf-8", newline="") as stream:
        stream.write(write_transcript(call, "seating", title))
    transcript, problems = load_transcript(file)
    assert problems == []
    assert transcript is not None
    return transcript


def read(folder: Path, text: str) -> tuple[Transcript | None, list[Problem]]:
    file = folder / "call.yaml"
    file.write_text(text, encoding="utf-8")
    return load_transcript(file)


def the_problem(folder: Path, text: str) -> Problem:
    transcript, problems = read(folder, text)
    assert transcript is None
    assert len(problems) == 1, problems
    return problems[0]


def test_everything_of_a_call_comes_back(tmp_path: Path) -> None:
    """Day, units, country, and each answer with its note and whether it was stood by."""
    call = Call(
        TODAY,
        "imperial",
        "NO",
        (
            Answer("stature", "5ft 3"),
            Answer("stature", "5ft 2", confirmed=True, note="measured: twice"),
            Answer("desk_kind", "no", at=datetime(2026, 11, 25, 10, 15, 3, 7), took=12.5),
        ),
        (
            Handled("chest_signs", 1, at=datetime(2026, 11, 25, 10, 14)),
            Handled("chest_signs", 2, "a slip: [the] caller said 'no'"),
            Handled("", 3),
        ),
    )
    back = there_and_back(tmp_path, call, "Title: with colon")
    assert back.call == call
    assert back.title == "Title: with colon"
    assert back.tree == "seating"


@pytest.mark.parametrize("said", HOSTILE)
def test_hostile_text_comes_back(tmp_path: Path, said: str) -> None:
    """No text an adviser can type is changed by the file, alone or with a note."""
    call = Call(
        TODAY, answers=(Answer("caller_name", said), Answer("caller_name", said, note=said))
    )
    assert there_and_back(tmp_path, call).call == call


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    said=st.lists(
        st.text(max_size=30)
        | st.text(alphabet=" \n\r\t\x85\u2028\u2029\ufeff'\"#:-[]{}&*!|>%@`\\\x00ab", max_size=12),
        max_size=5,
    ),
    day=st.dates(date(2000, 1, 1), date(2100, 1, 1)),
)
def test_any_text_comes_back(tmp_path: Path, said: list[str], day: date) -> None:
    """Round trip of any answers and notes."""
    answers = tuple(
        Answer(f"question_{at}", text, at % 2 == 1, text) for at, text in enumerate(said)
    )
    call = Call(day, answers=answers)
    assert there_and_back(tmp_path, call, "".join(said)).call == call


ODD = ("", "yes", "no", "~", "1", "12 cm", "- a", "a: b", "a #b", "'", "# x", "?", "1e3", "a\nb")
TEXTS = st.text(max_size=50) | st.sampled_from([*ODD, "12:30", "<<", "a ", "\u2028", "a b " * 10])
NAMES = st.sampled_from(["stature", "yes", "a b", "", "a" * 38, "a" * 39, "?"]) | TEXTS
DETAILS = st.dictionaries(NAMES, TEXTS | st.booleans() | st.floats() | st.integers(), max_size=3)


@given(st.lists(st.dictionaries(NAMES, TEXTS | DETAILS, min_size=1, max_size=2), max_size=3), TEXTS)
def test_a_call_is_written_as_the_library_does(entries: list[dict[str, Any]], title: str) -> None:
    """Only faster, where its texts are short and take a line each."""
    content = {"transcript": title, "format": 1, "answers": entries}
    assert "".join(_written(content)) == _dumped(content)
    assert _lines({"stature": {"said": "162 cm", "at": "2026-11-25T12:00:00", "took": 2.5}})


def test_half_a_character_does_not_spoil_the_file(tmp_path: Path) -> None:
    """A lone surrogate cannot stand in UTF-8; it is replaced, and the rest of the call is kept."""
    call = Call(TODAY, answers=(Answer("caller_name", "a\ud800b"), Answer("heel", "2 cm")))
    assert [a.said for a in there_and_back(tmp_path, call).call.answers] == ["a?b", "2 cm"]


def test_numbers_and_words_stay_as_typed(tmp_path: Path) -> None:
    """What stands in the file unquoted is what was typed: 010, 1.50, no and ~ are no numbers."""
    text = (
        HEAD + "answers:\n  - a: 010\n  - b: 1.50\n  - c: no\n  - d: {said: 2.0, confirmed: yes}\n"
    )
    transcript, problems = read(tmp_path, text + "  - e: true\n  - f:\n")
    assert problems == []
    assert transcript is not None
    said = [(answer.question, answer.said, answer.confirmed) for answer in transcript.call.answers]
    assert said == [
        ("a", "010", False),
        ("b", "1.50", False),
        ("c", "no", False),
        ("d", "2.0", True),
        ("e", "true", False),
        ("f", "", False),
    ]


def test_a_missing_part_is_named(tmp_path: Path) -> None:
    """Without answers a call file is no call file."""
    assert "answers" in str(the_problem(tmp_path, HEAD))


def test_an_unknown_part_has_its_place_and_the_nearest_name(tmp_path: Path) -> None:
    """A misspelt part is found at its line and column."""
    problem = the_problem(tmp_path, HEAD + "contry: GB\nanswers: []\n")
    assert (problem.where.line, problem.where.column) == (4, 1)
    assert "country" in str(problem)


def test_a_day_that_does_not_exist(tmp_path: Path) -> None:
    """A day the calendar does not have is found where it stands."""
    problem = the_problem(tmp_path, HEAD.replace("11-25", "11-31") + "answers: []\n")
    assert problem.rule == "bad-date"
    assert (problem.where.line, problem.where.column) == (3, 8)


def test_a_list_is_no_answer(tmp_path: Path) -> None:
    """An answer is what was typed, so a list in its place is a mistake, on its line."""
    problem = the_problem(tmp_path, HEAD + "answers:\n  - stature: 5ft\n  - tasks: [phone]\n")
    assert problem.where.line == 6


def test_a_wrong_detail_of_an_answer(tmp_path: Path) -> None:
    """A misspelt detail beside an answer is found on its line."""
    problem = the_problem(
        tmp_path, HEAD + "answers:\n  - stature: {said: 5ft, note: x, sure: yes}\n"
    )
    assert problem.where.line == 5
    assert "sure" in str(problem)


def test_an_expectation_of_no_such_name(tmp_path: Path) -> None:
    """A misspelt expectation is found; it must never be passed over as met."""
    problem = the_problem(tmp_path, HEAD + "answers: []\nexpect:\n  finnished: yes\n")
    assert problem.where.line == 6


@pytest.mark.parametrize(
    "text", ["", "- a\n", "just words\n", HEAD + "answers: nothing\n", "a: [\n"]
)
def test_no_call_file_at_all(tmp_path: Path, text: str) -> None:
    """Whatever stands in the file, it is told with its place, never as an exception."""
    transcript, problems = read(tmp_path, text)
    assert transcript is None
    assert problems
    assert all(problem.where.line >= 1 for problem in problems)


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    """A name that leads nowhere is a problem like any other."""
    transcript, problems = load_transcript(tmp_path / "none.yaml")
    assert transcript is None
    assert [problem.rule for problem in problems] == ["missing-file"]


def test_unknown_questions_have_their_place_and_the_nearest_name(tmp_path: Path) -> None:
    """An answer to a question the tree lacks is found where it first stands."""
    answers = "answers:\n  - stature: 160\n  - lower_legg: 40\n  - lower_legg: 41\n"
    transcript, _ = read(tmp_path, HEAD + answers)
    assert transcript is not None
    problems = unknown_questions(transcript, seating().tree.questions)
    assert [(p.where.line, p.where.column) for p in problems] == [(6, 5)]
    assert "lower_legg" in problems[0].message
    assert "'lower_leg'" in problems[0].fix
    known = replace(transcript, answers_at={})
    assert unknown_questions(known, seating().tree.questions) == []


def test_a_time_that_is_none_is_found_in_place(tmp_path: Path) -> None:
    """A time of an answer or of a caution is read as such, or said to be none, where it stands."""
    problem = the_problem(
        tmp_path, HEAD + "answers:\n  - stature: {said: 170, at: half past nine}\n"
    )
    assert (problem.where.line, problem.rule) == (5, "bad-time")
    problem = the_problem(
        tmp_path, HEAD + "answers: []\nhandled:\n  - {caution: a, after: 0, at: noon}\n"
    )
    assert (problem.where.line, problem.rule) == (6, "bad-time")
