"""``consult records learn``: proposed, accepted, read by calls, taken back."""

from __future__ import annotations

import math
import random
import shutil
from pathlib import Path

import pytest

from consult.call.basis import load_basis
from consult.call.call import Answer, Call
from consult.call.worth import seconds_of, usual_seconds
from consult.paths import shipped_trees
from consult.records.erase import erase
from consult.records.kept import Opened
from consult.records.store import Store
from consult.tree.learned import LEARNED_FILE
from tests.call.calls import seating
from tests.commands.conftest import RecordsWith
from tests.commands.runs import Run
from tests.records.samples import NOW, TODAY, append, begin

NAME = "time.stature"


@pytest.fixture
def trees(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Trees and settings of one's own."""
    folder = tmp_path / "own"
    shutil.copytree(shipped_trees(), folder)
    monkeypatch.setenv("CONSULT_TREES", str(folder))
    return folder


def slow_calls(store: Store, count: int = 50) -> list[Opened]:
    """Finished calls in which the stature alone takes twice as long as shipped."""
    questions = seating().tree.questions
    chance = random.Random(4)
    found = []
    for _ in range(count):
        answers = tuple(
            Answer(
                name,
                said,
                took=times * usual_seconds(questions[name]) * chance.lognormvariate(0, 0.2),
            )
            for name, said, times in (("stature", "170 cm", 2.0), ("weight", "70 kg", 1.0))
        )
        call = Call(TODAY, answers=answers)
        opened = begin(store, call)
        append(store, opened, call)
        store.finish(opened, NOW)
        found.append(opened)
    return found


def seconds(trees: Path) -> float:
    """How long the stature takes in calls that begin now."""
    basis, problems = load_basis(trees / "seating.yaml")
    assert basis is not None, problems
    return seconds_of(basis.tree.questions["stature"])


def test_proposed_accepted_and_taken_back(
    run: Run, records_with: RecordsWith, trees: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nothing changes before it is accepted; the file says when, by whom and from how many."""
    records_with(slow_calls)
    before = seconds(trees)
    told = run("records", "learn", "--json").json
    assert told["looked_at"] == told["finished"] == 50
    assert told["proposed"].keys() == {NAME}
    value = told["proposed"][NAME]["value"]
    assert 1.5 * before < value < 2 * before
    assert told["accepted"] == []
    assert "s in a call as led now" in run("records", "learn").out
    assert seconds(trees) == before
    assert run("records", "learn", "--accept", NAME, "--by", "Ann").code == 0
    assert seconds(trees) == value
    told = run("records", "learn", "--json").json
    assert told["proposed"] == {}
    (entry,) = told["accepted"]
    assert (entry["name"], entry["calls"], entry["by"]) == (NAME, 50, "Ann")
    assert run("check", str(trees / LEARNED_FILE)).code == 0
    back = ("records", "learn", "--take-back", NAME)
    made = run(*back, "--by", "Cem")
    assert "again from the next call on" in made.out
    assert seconds(trees) == before
    assert NAME in (trees / LEARNED_FILE).read_text("utf-8")
    (entry,) = run("records", "learn", "--json").json["accepted"]
    assert (entry["by"], entry["taken_back_by"]) == ("Ann", "Cem")
    assert entry["taken_back"] == entry["on"]
    assert run("records", "learn", "--json").json["proposed"].keys() == {NAME}
    # Who has told their name once need not tell it again.
    monkeypatch.setenv("CONSULT_ADVISER", "Bo")
    assert " ".join(back) in run("records", "learn", "--accept", NAME).out
    assert run("records", "learn", "--json").json["accepted"][-1]["by"] == "Bo"


def test_deleted_calls_leave_the_next_proposal(run: Run, records: Store, trees: Path) -> None:
    """With one call of fifty gone there is nothing to look at; with another in its place there is,
    and what the deleted one said is not in it."""
    assert trees.is_dir()
    opened = slow_calls(records, 49)
    odd = Call(TODAY, answers=(Answer("stature", "170 cm", took=590.0),))
    last = begin(records, odd)
    append(records, last, odd)
    records.finish(last, NOW)
    with_it = run("records", "learn", "--json").json["proposed"][NAME]
    erase(records, last.reference, NOW)
    assert run("records", "learn", "--json").json["looked_at"] == 0
    slow_calls(records, 1)
    without = run("records", "learn", "--json").json["proposed"][NAME]
    assert without["value"] < with_it["value"]
    assert opened


def test_what_cannot_be_accepted(run: Run, records_with: RecordsWith, trees: Path) -> None:
    """What is not proposed, or was never accepted: said in words, exit 2, no file written."""
    records_with(slow_calls)
    made = run("records", "learn", "--accept", "time.weight")
    assert (made.code, f"Proposed now: {NAME}" in made.err) == (2, True)
    made = run("records", "learn", "--take-back", NAME)
    assert (made.code, "In use: nothing" in made.err) == (2, True)
    assert not (trees / LEARNED_FILE).exists()


def test_the_settings_that_come_with_consult_stay_as_they_are(
    run: Run, records_with: RecordsWith
) -> None:
    """Whoever has no folder is told how to make one."""
    records_with(slow_calls)
    made = run("records", "learn", "--accept", NAME)
    assert (made.code, "consult begin FOLDER" in made.err) == (2, True)
    assert not (shipped_trees() / LEARNED_FILE).exists()


def test_before_the_first_look(run: Run, records: Store) -> None:
    """Nothing is proposed, and it is said when it will be looked at."""
    slow_calls(records, 3)
    made = run("records", "learn")
    assert "3 finished calls of seating. The first look is at 50." in made.out
    assert run("records", "learn", "--accept", NAME).code == 2


def test_a_file_with_a_mistake_is_not_read_in_silence(
    run: Run, records: Store, trees: Path
) -> None:
    """No call begins with half of what was accepted."""
    assert records is not None
    (trees / LEARNED_FILE).write_text(
        "learned: 1\naccepted:\n  - {name: time.stature, value: long}\n"
    )
    basis, problems = load_basis(trees / "seating.yaml")
    assert basis is None
    assert {Path(one.where.file).name for one in problems} == {LEARNED_FILE}
    assert run("check", str(trees / LEARNED_FILE)).code == 1
    assert run("records", "learn").code == 2


def test_the_effect_on_simulated_callers(
    run: Run, records_with: RecordsWith, trees: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same callers with the values in use, and with the proposals."""
    assert trees.is_dir()
    monkeypatch.setattr("consult.commands.records_learn.CALLERS_LED", 4)
    records_with(slow_calls)
    told = run("records", "learn", "--effect").out
    lines = [line for line in told.splitlines() if "of 100 chairs fit" in line]
    for line, begins in zip(lines, ("with the values in use", "with the proposals"), strict=True):
        assert line.strip().startswith(begins)
    assert math.isfinite(float(lines[0].split(" questions")[0].split()[-1]))


def test_the_effect_where_nobody_gets_a_chair(
    run: Run, records_with: RecordsWith, trees: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Said, in place of a mean of nothing."""
    assert trees.is_dir()
    monkeypatch.setattr("consult.commands.records_learn.CALLERS_LED", 0)
    records_with(slow_calls)
    found = run("records", "learn", "--effect")
    assert found.code == 0
    assert found.out.count("no chair in any of these calls") == 2
