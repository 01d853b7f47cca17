"""The learners' records on the disk."""

from __future__ import annotations

import csv
import errno
import io
import json
import os
import stat
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from consult.practice.learner.done import Done, LearnerRecord, PracticeTrouble
from consult.practice.learner.store import (
    SCORE_COLUMNS,
    Learners,
    cell,
    export_csv,
    export_json,
    file_name,
    practice_place,
    read_export,
    read_line,
    same_name,
    written_line,
)
from consult.visible import FORMULA
from tests.long import every_case, examples
from tests.practice.learner.samples import HOSTILE_NAMES, done, dones


@pytest.fixture
def kept(tmp_path: Path) -> Learners:
    """A place where nobody has practised yet."""
    return Learners(tmp_path / "practice")


@given(dones)
@settings(max_examples=examples(100), deadline=None)
def test_a_line_comes_back_as_it_was(one: Done) -> None:
    """Whatever texts and numbers are in an exercise, its line is plain and reads the same."""
    line = written_line(one)
    assert line.isascii()
    assert line.count(b"\n") == 1
    assert read_line(line) == one


@given(st.data())
@settings(max_examples=examples(200), deadline=None)
def test_one_changed_byte_is_never_taken(data: st.DataObject) -> None:
    """A line with any byte changed is damaged, or still says exactly the same."""
    one = done(lost=("signs",), noticed={"vague": False})
    line = bytearray(written_line(one))
    at = data.draw(st.integers(0, len(line) - 2))
    line[at] = data.draw(st.integers(0, 255).filter(lambda byte: byte != line[at]))
    try:
        found = read_line(bytes(line))
    except ValueError:
        return
    assert found == one


def test_what_was_kept_is_read_in_order(kept: Learners) -> None:
    """Exercises come back in the order they were finished, for their learner alone."""
    first, second, other = done(0), done(3, "another"), done(1, learner="Bob")
    for one in (first, other, second):
        kept.keep(one)
    assert kept.read("Ann").done == (first, second)
    assert kept.read("Bob").done == (other,)
    assert kept.read("Cy").done == ()
    assert len([*kept.folder.iterdir()]) == 2


def test_one_learner_under_two_ways_of_writing(kept: Learners) -> None:
    """Capital letters, blanks and the way an accent is typed make no other learner."""
    kept.keep(done(0, learner="Zoe\u0301 Hill"))
    kept.keep(done(1, learner=" zo\u00e9  HILL "))
    assert len(kept.read("ZO\u00c9 hill").done) == 2
    assert len([*kept.folder.iterdir()]) == 1


@pytest.mark.parametrize("name", HOSTILE_NAMES)
def test_any_name_is_kept_inside_the_folder(name: str, kept: Learners) -> None:
    """No name reaches out of the folder, breaks a file, or is changed on the way."""
    kept.keep(done(learner=name))
    assert kept.read(name).learner == name
    (file,) = kept.folder.iterdir()
    assert len(file.name) < 60
    assert kept.erase(name) == 1
    assert list(kept.folder.iterdir()) == []


@given(st.text(min_size=1, max_size=30), st.text(min_size=1, max_size=30))
def test_different_names_have_different_files(one: str, other: str) -> None:
    """Two learners share a file only where their names are the same."""
    if same_name(one) and same_name(other):
        assert (file_name(one) == file_name(other)) == (same_name(one) == same_name(other))


def test_no_name_is_refused(kept: Learners) -> None:
    """Blanks are nobody's name."""
    with pytest.raises(PracticeTrouble, match="name of the learner is empty"):
        kept.keep(done(learner=" \n"))


def test_damaged_lines_are_told_and_nothing_is_lost(kept: Learners) -> None:
    """Damage costs only its own line, is told in words, and stays on the disk."""
    kept.keep(done(0))
    kept.keep(done(1))
    (file,) = kept.folder.iterdir()
    whole = file.read_bytes()
    torn = whole.replace(b'"somebody"', b'"s\xffmebody"', 1)[:-40]
    file.write_bytes(torn)
    kept.keep(done(2))
    record = kept.read("Ann")
    assert [one.day for one in record.done] == [done(2).day]
    assert record.troubles == (
        f"2 exercises are damaged and left out. Nothing was deleted: see {file}.",
    )
    assert file.read_bytes().startswith(torn)


def test_a_line_of_somebody_else_is_damage(kept: Learners) -> None:
    """A file copied over another is not read as that learner's."""
    kept.keep(done(learner="Bob"))
    (file,) = kept.folder.iterdir()
    file.rename(kept.folder / file_name("Ann"))
    record = kept.read("Ann")
    assert record.done == ()
    assert len(record.troubles) == 1


def test_lines_of_a_newer_version_are_left_alone(kept: Learners) -> None:
    """What a newer version wrote is told, not taken for damage."""
    kept.keep(done())
    (file,) = kept.folder.iterdir()
    file.write_bytes(file.read_bytes() + b'{"form": 2, "anything": []}\n')
    record = kept.read("Ann")
    assert len(record.done) == 1
    assert record.troubles == ("1 exercise was stored by a newer version and cannot be read here.",)


def test_erasing_takes_everything(kept: Learners) -> None:
    """Nothing of a learner is left in any file, and the others keep theirs."""
    kept.keep(done())
    kept.keep(done(learner="Bob"))
    file = kept.folder / file_name("Ann")
    file.write_bytes(file.read_bytes() + b"damage\n")
    file.with_suffix(".damaged").write_bytes(b"damage\n")
    assert kept.erase("ANN") == 1
    assert [one.name for one in kept.folder.iterdir()] == [file_name("Bob")]
    assert kept.erase("ANN") == 0


def test_a_full_disk_leaves_the_record_as_it_was(
    kept: Learners, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where a line cannot be written whole, it is said, and no half of it stays."""
    kept.keep(done())
    (file,) = kept.folder.iterdir()
    before = file.read_bytes()
    write = os.write

    def half(handle: int, content: bytes) -> int:
        if len(content) < 100:
            raise OSError(errno.ENOSPC, "No space left on device")
        return write(handle, content[:50] if len(content) > 250 else content[: len(content) // 2])

    monkeypatch.setattr(os, "write", half)
    with pytest.raises(PracticeTrouble, match="No space left"):
        kept.keep(done(1))
    monkeypatch.undo()
    assert file.read_bytes() == before


@pytest.mark.skipif(os.name != "posix", reason="rights of files are a matter of POSIX")
def test_only_the_user_may_read_it(kept: Learners) -> None:
    """Folder and files are closed to other users of the machine."""
    kept.keep(done())
    (file,) = kept.folder.iterdir()
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert stat.S_IMODE(kept.folder.stat().st_mode) == 0o700


def test_a_place_that_cannot_be_used_is_said(tmp_path: Path) -> None:
    """A file in place of the folder is told in words."""
    (tmp_path / "practice").write_text("not a folder")
    blocked = Learners(tmp_path / "practice")
    assert blocked.read("Ann").done == ()
    with pytest.raises(PracticeTrouble, match="cannot be stored"):
        blocked.keep(done())


def test_practice_has_a_place_of_its_own(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """CONSULT_PRACTICE names the folder; else it lies beside the records, never in them."""
    monkeypatch.delenv("CONSULT_PRACTICE", raising=False)
    assert practice_place().name == "practice"
    monkeypatch.setenv("CONSULT_PRACTICE", str(tmp_path))
    assert practice_place() == tmp_path
    monkeypatch.setenv("CONSULT_PRACTICE", "~nobody-by-this-name/practice")
    with pytest.raises(PracticeTrouble, match="unknown on this machine"):
        practice_place()


def test_the_first_and_last_days_are_kept(kept: Learners) -> None:
    """Days at the ends of the calendar read back as they were."""
    for day in (date.min, date.max):
        kept.keep(Done("Ann", day, "x", 1, "unaided", 0.0, 0.0, False))
    assert [one.day for one in kept.read("Ann").done] == [date.min, date.max]


# -- a record as a file for the trainer ------------------------------------------------------------


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
    assert read_export(export_json(record, logs=True), "ann.json") == record


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
    data = json.loads(export_json(LearnerRecord("Ann"), logs=True))
    assert (data["kind"], data["form"]) == ("consult practice record", 1)
