"""``consult practise`` on the command line."""

from __future__ import annotations

import io
import json
import sys
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from sqlalchemy import select

from consult.call.call import Answer, Call, private_of
from consult.practice.catalogue import choice_of
from consult.practice.learner.done import Done, Met
from consult.practice.learner.store import Learners
from consult.practice.scoring.points import ScoreItem
from consult.records.erase import erase
from consult.records.kept import versions_of
from consult.records.schema import audit
from consult.records.store import Store
from tests.call.calls import basis_of
from tests.commands.runs import Run
from tests.ui.practice.practice_desk import CALLERS

AT = datetime(2026, 11, 20, 12, 0, tzinfo=UTC)
HOSTILE = "../[b]Ann\x1b[31m\u202e"
DONE = Done(
    learner="Ann Lee",
    day=date(2026, 11, 20),
    caller="tape_too_far",
    seed=3,
    level="partly_guided",
    total=64.5,
    out_of=95,
    passed=False,
    marks=(ScoreItem("signs", "A sign", 0, 25, fails=True, turn=4, why="It was not said."),),
    met=(Met("knee", "wrong_tape", False),),
)


@pytest.fixture
def kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Learners:
    """An empty place for records of practice, where the command finds it."""
    monkeypatch.setenv("CONSULT_PRACTICE", str(tmp_path / "practice"))
    monkeypatch.delenv("CONSULT_ADVISER", raising=False)
    return Learners(tmp_path / "practice")


@pytest.fixture
def house(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A house with three callers and a course."""
    trees = tmp_path / "trees"
    (trees / "practice" / "courses").mkdir(parents=True)
    for path in CALLERS.glob("*.yaml"):
        (trees / "practice" / path.name).write_bytes(path.read_bytes())
    (trees / "practice" / "courses" / "two.yaml").write_text(
        "course: two\ntitle: Two calls\norder: as_written\nexercises:\n"
        "  - {caller: young_sitter, level: guided}\n"
        "  - {caller: tape_too_far, level: partly_guided}\n",
        "utf-8",
    )
    monkeypatch.setenv("CONSULT_TREES", str(trees))
    return trees


def test_help(run: Run) -> None:
    """The help shows by example what can be done."""
    made = run("practise", "--help")
    assert made.code == 0
    for word in (
        "--level",
        "--course first_week",
        "--report ann.json bo.json --csv",
        "--agreed-by",
    ):
        assert word in made.out


@pytest.mark.usefixtures("house")
def test_list(run: Run, kept: Learners) -> None:
    """Easy callers first, with how it went with each, then the courses; the same as data."""
    kept.keep(DONE)
    made = run("practise", "--list", "--learner", "ann  lee")
    assert (made.code, made.err) == (0, "")
    lines = made.out.splitlines()
    assert lines[0] == "young_sitter  (easy, seating)"
    done = "last on 20 November 2026, partly guided: 68 of 100, NOT PASSED"
    assert f"    practised once; {done}" in lines
    assert lines[-2:] == ["Courses", "two  Two calls: 2 exercises"]
    told = run("practise", "--list", "--json", "--learner", "Ann Lee").json
    assert told["callers"][0]["name"] == "young_sitter"
    assert {one["name"]: one["played"] for one in told["callers"]}["tape_too_far"] == 1
    assert told["courses"] == [{"name": "two", "title": "Two calls"}]


@pytest.mark.usefixtures("house", "kept")
def test_list_as_a_table(run: Run) -> None:
    """A row for each caller, for a spreadsheet."""
    made = run("practise", "--list", "--csv")
    assert made.code == 0
    head, *rows = made.out.lstrip("\ufeff").splitlines()
    assert head == "name,title,tree,difficulty,behaviours,played"
    assert len(rows) == len(list(CALLERS.glob("*.yaml")))
    assert any(row.startswith("tape_too_far,") and "wrong_tape" in row for row in rows)


@pytest.mark.any_day
@pytest.mark.usefixtures("house")
def test_record(run: Run, kept: Learners) -> None:
    """What is due, what was missed, the latest exercises, and whom to play next."""
    made = run("practise", "--record", "--learner", "Ann Lee")
    assert made.out.startswith("Ann Lee: 0 exercises, 0 passed.\nNothing practised yet.")
    kept.keep(DONE)
    made = run("practise", "--record", "--learner", "Ann Lee")
    assert made.code == 0
    assert "  a tape held at the wrong point: due now" in made.out
    assert "  20 November 2026  tape_too_far, partly guided: 68 of 100, NOT PASSED" in made.out
    assert made.out.endswith("\nNext: consult practise tape_too_far\n")


def test_progress_of_a_course(run: Run, kept: Learners, house: Path) -> None:
    """By its name or its file, an exercise a line, and what comes next."""
    kept.keep(DONE)
    file = str(house / "practice" / "courses" / "two.yaml")
    for named in ("two", file):
        made = run("practise", "--record", "--course", named, "--learner", "Ann Lee")
        assert made.code == 0
        assert made.out.splitlines() == [
            "Two calls: 0 of 2 passed.",
            "   1  young_sitter (guided): not tried yet",
            "   2  tape_too_far (partly guided): pass the ones before it first",
            "Next: young_sitter, guided.",
        ]
    made = run("practise", "--record", "--course", "too")
    assert (made.code, made.err) == (2, "consult: No course is called 'too'. Did you mean 'two'?\n")


def test_erase(run: Run, kept: Learners, monkeypatch: pytest.MonkeyPatch) -> None:
    """The name is typed again, or nothing is erased; an empty record says so."""
    kept.keep(DONE)
    for typed, code, left in (("no\n", 2, 1), ("ann lee\n", 0, 0)):
        monkeypatch.setattr(sys, "stdin", io.StringIO(typed))
        made = run("practise", "--delete", "--learner", "Ann Lee")
        assert made.code == code
        assert len(kept.read("Ann Lee").done) == left
    made = run("practise", "--delete", "--learner", "Ann Lee")
    assert (made.code, made.out) == (0, "There is no record of practice for Ann Lee.\n")
    kept.keep(DONE)
    assert run("practise", "--delete", "--yes", "--learner", "Ann Lee").code == 0
    assert kept.read("Ann Lee").done == ()


def test_export_and_report(run: Run, kept: Learners, tmp_path: Path) -> None:
    """What is exported is what the report reads: as text, as rows, as data."""
    kept.keep(DONE)
    path = tmp_path / "ann.json"
    made = run("practise", "--export", str(path), "--learner", "Ann Lee")
    assert (made.code, made.out) == (0, f"Wrote 1 exercise to {path}.\n")
    assert run("practise", "--export", str(tmp_path / "a.csv"), "--learner", "Ann Lee").code == 0
    assert "tape_too_far" in (tmp_path / "a.csv").read_text("utf-8-sig")
    made = run("practise", "--report", str(path))
    assert made.code == 0
    assert "Ann Lee: 1 exercise with 1 caller, 0 passed" in made.out
    made = run("practise", "--report", str(path), "--csv")
    assert made.out.lstrip("\ufeff").startswith("learner,exercises,")
    assert run("practise", "--report", str(path), "--json").json["learners"][0]["exercises"] == 1


def test_without_conversations(run: Run, kept: Learners, tmp_path: Path) -> None:
    """The marks can be handed over without what was said."""
    kept.keep(DONE)
    path = tmp_path / "ann.json"
    run("practise", "--export", str(path), "--without-conversations", "--learner", "Ann Lee")
    assert json.loads(path.read_text("utf-8"))["exercises"][0]["log"] == {}


def test_hostile_learner(run: Run, kept: Learners, tmp_path: Path) -> None:
    """A name is never obeyed: not by the terminal, not by the file system."""
    kept.keep(replace(DONE, learner=HOSTILE))
    made = run("practise", "--record", "--learner", HOSTILE)
    assert made.code == 0
    assert "\x1b" not in made.out
    assert [path.parent for path in tmp_path.rglob("*.jsonl")] == [tmp_path / "practice"]


@pytest.mark.usefixtures("kept", "house")
@pytest.mark.parametrize(
    ("argv", "said"),
    [
        (("tape_to_far",), "No practice caller is called 'tape_to_far'. Did you mean"),
        (("none.yaml",), "There is no file none.yaml."),
        (("tape_too_far", "--list"), "--list takes no caller."),
        (("tape_too_far", "--course", "two"), "Give a caller or --course, not both."),
        (
            ("--course", "two", "--level", "unaided"),
            "A course sets the level and seed of each call",
        ),
        (("--course", "two", "--list"), "--course goes with --record, not with --list."),
        (("--csv",), "--csv goes with --report or --list."),
        (("--yes", "--list"), "--yes goes with --delete."),
        (("--seed", "-1"), "--seed takes a whole number"),
        (("--learner", "  "), "The name of the learner is empty. Type one."),
        (("--report", "none.json"), "There is no file none.json."),
        (("--from-call", "K7M-2QX"), "Name the file for the new caller"),
        ((), "Practice needs a terminal."),
    ],
)
def test_bad_use(run: Run, argv: tuple[str, ...], said: str) -> None:
    """Each is told in a sentence; the exit code is 2 and nothing else is printed."""
    made = run("practise", *argv)
    assert (made.code, made.out) == (2, "")
    assert made.err.startswith("consult: ")
    assert said in made.err


def test_reports_of_other_files(run: Run, kept: Learners, tmp_path: Path) -> None:
    """A file that is no export, no text or a folder is named, without a traceback."""
    assert not [*kept.folder.glob("*")]
    other = tmp_path / "other.json"
    for content in (b"{}", b"\xff\xfe\x00", b"[" * 100_000):
        other.write_bytes(content)
        made = run("practise", "--report", str(other))
        assert made.code == 2
        assert "other.json" in made.err
    assert run("practise", "--report", str(tmp_path)).code == 2


def test_a_file_with_mistakes(run: Run, kept: Learners, tmp_path: Path) -> None:
    """The mistakes of a caller's file are told with their lines."""
    assert not [*kept.folder.glob("*")]
    path = tmp_path / "bad.yaml"
    path.write_text("practice: bad\ntitle: Bad\ntree: seating\nsex: unheard_of\n", "utf-8")
    made = run("practise", str(path))
    assert made.code == 2
    assert f"{path}:4:" in made.err


WORDS = "Zebedee Quill of 12 Nowhere Lane"
NAMED = ("caller_name", WORDS)


def kept_call(records: Store, *, ended: bool = True) -> str:
    """A call of the records; its reference."""
    basis = basis_of("seating")
    call = Call(date(2026, 11, 20))
    told = (NAMED, ("who_sits", "caller"), ("reasons", "chair worn"), ("lower_leg", "41.3 cm"))
    for question, said in told:
        call = call.add(Answer(question, said, note="He is Zebedee"))
    opened = records.begin(call, versions_of(basis), "Ann", AT)
    private = private_of(basis.tree)
    records.append(opened, call, consent=None, caller_name=WORDS, private=private, at=AT)
    if ended:
        records.finish(opened, AT)
    return opened.reference


def audited(records: Store) -> list[str]:
    """What the records noted of uses for training."""
    with records.database.reading() as connection:
        lines = connection.scalars(select(audit.c.what))
        return [one for one in lines if "practice" in one]


def test_from_a_call(run: Run, records: Store, kept: Learners, tmp_path: Path) -> None:
    """A caller's file comes of a finished call, without its words, and can be practised on."""
    assert not [*kept.folder.glob("*")]
    path = tmp_path / "quiet_caller.yaml"
    reference = kept_call(records)
    argv = ("practise", "--from-call", reference, "--out", str(path))
    agreed = ("--caller-agreed", "2026-11-21")
    for left_out, said in (
        (("--agreed-by", "Bo Ray"), "The caller must agree to training use"),
        (agreed, "A trainer must agree"),
        (("--agreed-by", "Bo Ray", "--caller-agreed", "yes"), "takes a day, such as 2026-11-25"),
    ):
        refused = run(*argv, *left_out)
        assert refused.code == 2
        assert said in refused.err
        assert not path.exists()
        assert audited(records) == []
    made = run(*argv, "--agreed-by", "Bo Ray", *agreed)
    assert (made.code, made.err) == (0, "")
    assert "Read the file before anybody uses it" in made.out
    text = path.read_text("utf-8")
    assert not any(word in text for word in (*WORDS.split(), "41.3", "Bo", "Ray", reference))
    choice = choice_of(path)
    assert choice is not None
    assert choice.name == "quiet_caller"
    (line,) = audited(records)
    assert "the caller agreed on 2026-11-21, trainer Bo Ray" in line
    assert reference not in line
    again = run(*argv, "--agreed-by", "Bo Ray", *agreed)
    assert (again.code, again.err) == (
        2,
        f"consult: {path} exists already. Choose another name.\n",
    )
    erase(records, reference, AT)
    assert not path.exists(), "a caller who takes it back takes the file along"


def test_from_no_call(run: Run, records: Store, kept: Learners, tmp_path: Path) -> None:
    """A call that goes on, one that is not kept, and another ending are told in words."""
    assert not [*kept.folder.glob("*")]
    agreed = ("--caller-agreed", "2026-11-21")
    going = kept_call(records, ended=False)
    out = str(tmp_path / "quiet.yaml")
    for reference, file, said in (
        (going, out, "is not finished yet"),
        ("K7M-2QX", out, "K7M-2QX"),
        (going, str(tmp_path / "quiet.txt"), "ends in .yaml"),
    ):
        made = run(
            "practise", "--from-call", reference, "--agreed-by", "Bo", "--out", file, *agreed
        )
        assert (made.code, made.out) == (2, "")
        assert said in made.err
    assert not Path(out).exists()


def test_a_template_is_written_and_never_over_another(
    run: Run, kept: Learners, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The new caller is called as its file; a name that no caller can have is refused."""
    monkeypatch.chdir(tmp_path)
    made = run("practise", "--template", "quiet_one.yaml")
    assert made.code == 0
    assert "practice: quiet_one\n" in (tmp_path / "quiet_one.yaml").read_text("utf-8")
    again = run("practise", "--template", "quiet_one.yaml")
    assert again.code != 0
    assert "exists already" in again.err
    assert "my_caller.yaml" in run("practise", "--template", "Quiet One.txt").err
    assert not kept.read("Ann").done


def test_what_comes_before_the_first_call(kept: Learners, run: Run) -> None:
    """The worked example and the words of the trade are printed, and no record is begun."""
    made = run("practise", "--example")
    assert made.code == 0
    assert "    # Everybody hears this list" in made.out
    assert "    typed: /floor 2" in made.out
    made = run("practise", "--words")
    assert made.code == 0
    assert "Lower leg (popliteal height)" in made.out
    assert not kept.folder.exists()


def test_the_check_of_the_score(run: Run) -> None:
    """A row for each adviser, the rank correlation, and what may never happen."""
    made = run("practise", "--check-score", "1")
    assert made.code == 0
    for word in ("perfect", "never notices", "random", "Rank correlation", "sign missed: 0"):
        assert word in made.out
    assert "from 1 to 1000" in run("practise", "--check-score", "0").err
