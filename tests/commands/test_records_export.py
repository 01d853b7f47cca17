"""``consult records export``: exact JSON, call files that replay, tables no spreadsheet reckons."""

from __future__ import annotations

import csv
import io
import json
import os
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import update

from consult.call.call import UNTOLD, Answer, Call, Handled
from consult.call.state import state
from consult.call.transcript import load_transcript
from consult.commands.records_export import EXPORTED, cell_text
from consult.commands.records_text import call_json, exact_json, kept_json
from consult.paths import demo_folder
from consult.records.erase import erase
from consult.records.schema import answers
from consult.records.store import Store
from consult.visible import FORMULA, visible
from tests.commands.runs import Run
from tests.records.samples import NOW, call_of, keep
from tests.records.test_store import ODD
from tests.ui.desk import NOON, demo, demo_basis
from tests.ui.test_follow_up import REFERENCE
from tests.ui.test_follow_up import keep as keep_in

KEPT = tuple(text for text in ODD if text != "\ud83d\ude42")
"""Two half characters in a row are one character to JSON."""


def rich() -> Call:
    """A call with all that can be kept of one."""
    call = call_of(("caller_name", "Ada"), *(("open", text) for text in KEPT), ("pain", "secret"))
    noted = tuple(
        replace(one, note=f"{one.said}.", confirmed=at % 2 == 0, took=at / 3)
        for at, one in enumerate(call.answers)
    )
    call = replace(call, answers=noted, country="IE", system="imperial")
    for text in KEPT:
        call = call.handle(f"c{text}", lifted=text, at=NOW)
    return call.handle("back_stop", lifted="secret reason", at=NOW)


def as_call(data: dict[str, Any]) -> Call:
    """The call that the JSON tells of."""

    def at(text: str | None) -> datetime | None:
        return datetime.fromisoformat(text) if text else None

    return Call(
        date.fromisoformat(data["today"]),
        data["units"],
        data["country"],
        tuple(Answer(**{**one, "at": at(one["at"])}) for one in data["answers"]),
        tuple(Handled(**{**one, "at": at(one["at"])}) for one in data["handled"]),
    )


def test_a_call_is_written_as_the_library_writes_it(records: Store) -> None:
    """Byte for byte, the odd texts among it too, and with no answer at all."""
    reference = keep(records, rich(), True, 'Ada "answers": [],').reference
    told = kept_json(records.read(reference))
    assert len(json.loads(call_json(told))["answers"]) == len(rich().answers) > 5
    for one in (told, {**told, "answers": []}):
        assert call_json(one) == exact_json(one)


def export(run: Run, out: Path, *words: str) -> str:
    """What stands in the file written."""
    done = run("records", "export", "--out", str(out), *words)
    assert (done.code, done.err) == (0, "")
    return out.read_text("utf-8")


def test_json_is_exact(run: Run, records: Store, tmp_path: Path) -> None:
    """Every character of every text comes back, and the file holds none that a terminal obeys."""
    call = rich()
    opened = keep(records, call, True, "Ada\x9b\ud800")
    text = export(run, tmp_path / "calls.json", "--format", "json")
    (data,) = json.loads(text)
    assert as_call(data) == call
    assert data["caller_name"] == "Ada\x9b\ud800"
    assert data["reference"] == opened.reference
    assert not [sign for sign in text if (sign < " " or "\x7f" <= sign <= "\x9f") and sign != "\n"]
    shown = run("records", "show", opened.reference, "--json").json
    assert shown == data


def test_only_the_calls_named_are_written(run: Run, records: Store, tmp_path: Path) -> None:
    """Each once, in the order named; all of them, the oldest first, where none is."""
    made = [keep(records, call_of(("a", str(n)))).reference for n in range(3)]
    for named, expected in (
        ((made[2], made[0], made[2]), [made[2], made[0]]),
        ((), made),
    ):
        out = tmp_path / f"{len(named)}.json"
        written = json.loads(export(run, out, *named, "--format", "json"))
        assert [call["reference"] for call in written] == expected


@pytest.mark.usefixtures("records")
def test_no_calls_are_an_empty_list(run: Run, tmp_path: Path) -> None:
    """Nothing kept is still whole JSON, and a table with its head."""
    assert json.loads(export(run, tmp_path / "a.json", "--format", "json")) == []
    assert export(run, tmp_path / "a.csv", "--format", "csv").strip("\ufeff\r\n").split(",") == [
        *EXPORTED
    ]


def test_csv_has_a_row_an_answer(run: Run, records: Store, tmp_path: Path) -> None:
    """The text of every cell comes back, control characters as signs, formulas disarmed."""
    texts = [*(f"{sign}1+1" for sign in "=+-@\t\r＝'"), " =1", "\u2009@x", "a\r\nb\nc", *KEPT]
    keep(records, call_of(*(("q", text) for text in texts)), True, "=cmd")
    export(run, tmp_path / "a.csv", "--format", "csv")
    with (tmp_path / "a.csv").open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == len(texts)
    for row, text in zip(rows, texts, strict=True):
        assert row["caller_name"] == "'=cmd"
        assert row["said"].lstrip()[:1] not in FORMULA
        assert row["said"][:1] not in tuple("\t\r\n")
        back = row["said"].removeprefix("'")
        assert back.replace("\r", "") == visible(text.replace("\r", ""))
        assert back.count("\r") == text.count("\r")
        assert not [sign for sign in row["said"] if sign < " " and sign not in "\n\r\t"]
    assert [row["number"] for row in rows[:2]] == ["1", "2"]
    assert rows[0]["took_seconds"] == "2.5"


@given(st.text(max_size=20))
def test_a_cell_can_be_taken_back(text: str) -> None:
    """One apostrophe off a cell that begins with one, and the visible text is there again."""
    shown = cell_text(text)
    assert shown.lstrip()[:1] not in FORMULA
    assert shown[:1] not in tuple("\t\r\n")
    assert shown.removeprefix("'") == "\r".join(visible(part) for part in text.split("\r"))


def test_yaml_replays(run: Run, records: Store, tmp_path: Path) -> None:
    """The call file holds the call as it was kept, and ``consult replay`` reads it."""
    call = call_of(("caller_name", "Ada\x1b[2J"), ("who_sits", "caller"), ("stature", "157 cm"))
    opened = keep(records, call.handle("plain", lifted="no need", at=NOW))
    out = tmp_path / "call.yaml"
    export(run, out, opened.reference, "--format", "yaml")
    transcript, problems = load_transcript(out)
    assert transcript is not None
    assert problems == []
    assert transcript.call == records.read(opened.id).call
    assert transcript.tree == "seating"
    assert run("replay", str(out)).code == 0


def test_yaml_of_several_calls_is_a_folder(
    run: Run, records: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A call file each, named by reference, each this user's alone, all on the disk at the end."""
    settled: list[int] = []
    monkeypatch.setattr(os, "sync", lambda: settled.append(len([*(tmp_path / "calls").iterdir()])))
    made = [keep(records, call_of(("caller_name", str(n)))).reference for n in range(3)]
    out = tmp_path / "calls"
    out.mkdir()
    assert run("records", "export", "--format", "yaml", "--out", str(out)).code == 0
    assert settled == [3]
    assert sorted(file.name for file in out.iterdir()) == sorted(f"{one}.yaml" for one in made)
    assert all(file.stat().st_mode & 0o777 == 0o600 for file in out.iterdir())
    one = ("records", "export", made[0], "--format", "yaml", "--out", str(out))
    assert run(*one).code == 2
    assert run(*one, "--force").code == 0
    done = run("records", "export", "--format", "yaml", "--out", str(out / f"{made[0]}.yaml"))
    assert done.code == 2
    assert "is a file" in done.err


@pytest.mark.parametrize("form", ["json", "csv", "yaml"])
def test_without_health(run: Run, records: Store, tmp_path: Path, form: str) -> None:
    """Neither an answer about health is written nor what it raised; a stop stays, unnamed."""
    opened = keep(records, rich(), True)
    words = (opened.reference, "--format", form)
    assert "secret" in export(run, tmp_path / "with", *words)
    text = export(run, tmp_path / "without", *words, "--without-health")
    assert "secret" not in text
    assert "back_stop" not in text
    assert "pain" not in text
    assert "Ada" in text
    if form == "json":
        last = json.loads(text)[0]["handled"][-1]
        assert (last["caution"], last["lifted"]) == ("", UNTOLD)


def test_a_file_is_never_written_over_unasked(run: Run, records: Store, tmp_path: Path) -> None:
    """It stays as it was without --force, is closed to others with it, and no rest lies about."""
    keep(records, call_of(("a", "1")))
    out, target = tmp_path / "calls.json", tmp_path / "target"
    out.write_text("precious")
    out.chmod(0o644)
    words = ("records", "export", "--format", "json", "--out", str(out))
    done = run(*words)
    assert done.code == 2
    assert "--force" in done.err
    assert out.read_text() == "precious"
    assert run(*words, "--force").code == 0
    assert json.loads(out.read_text())
    assert out.stat().st_mode & 0o777 == 0o600
    target.write_text("precious")
    out.unlink()
    out.symlink_to(target)
    assert run(*words).code == 2
    assert target.read_text() == "precious"
    assert run(*words, "--force").code == 0
    assert out.is_symlink()
    assert json.loads(target.read_text())
    assert sorted(file.name for file in tmp_path.iterdir()) == ["calls.json", "kept", "target"]


@pytest.mark.usefixtures("records")
def test_a_place_that_cannot_be_written(run: Run, tmp_path: Path) -> None:
    """A folder that is not there, or one in place of a file, is said in one sentence."""
    for out in (tmp_path / "none" / "a.json", tmp_path):
        for force in ((), ("--force",)):
            done = run("records", "export", "--format", "json", "--out", str(out), *force)
            assert done.code == 2
            assert len(done.err.splitlines()) == 1


def test_a_damaged_call_does_not_hide_the_others(run: Run, records: Store, tmp_path: Path) -> None:
    """Of all calls it is left out and told, exit code 1; named alone, nothing is written."""
    whole, torn = (keep(records, call_of(("a", "1"))) for _ in range(2))
    with records.database.writing() as connection:
        own = answers.c.call_id == torn.id
        connection.execute(update(answers).where(own).values(said="2"))
    out = tmp_path / "a.json"
    done = run("records", "export", "--format", "json", "--out", str(out))
    assert done.code == 1
    assert torn.reference in done.err
    assert [call["reference"] for call in json.loads(out.read_text())] == [whole.reference]
    named = tmp_path / "b.json"
    done = run("records", "export", torn.reference, "--format", "json", "--out", str(named))
    assert done.code == 2
    assert not named.exists()


def test_an_export_cut_off_leaves_no_half(
    run: Run, records: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A disk that refuses is told, and what was begun is removed."""
    keep(records, call_of(("a", "1")))

    def refuse(handle: int) -> None:
        raise OSError(28, f"No space left ({handle > 0})")

    monkeypatch.setattr(os, "fsync", refuse)
    for force in ((), ("--force",)):
        out = tmp_path / "a.json"
        done = run("records", "export", "--format", "json", "--out", str(out), *force)
        assert done.code == 2
        assert "is full" in done.err
    assert [file.name for file in tmp_path.iterdir()] == ["kept"]


# -- ``--format chairs``: what was sold, for a spreadsheet of any country --------------------------


@pytest.mark.usefixtures("records")
@pytest.mark.parametrize(("decimal", "parted", "sign"), [("point", ",", "."), ("comma", ";", ",")])
def test_a_line_has_the_chair_its_codes_and_its_price(
    run: Run, tmp_path: Path, decimal: str, parted: str, sign: str
) -> None:
    """With the decimal sign that was asked for; what an order says, and nothing about health."""
    assert demo_folder().is_dir()
    call = demo("01").call
    call = replace(call, answers=(*call.answers, Answer("pieces", "2")))
    keep_in(tmp_path / "kept" / "records.db", call, demo_basis())
    out = tmp_path / "a.csv"
    words = ("export", "--format", "chairs", "--decimal", decimal, "--out", str(out))
    assert run("records", *words).code == 0
    (row,) = csv.DictReader(io.StringIO(out.read_text("utf-8-sig")), delimiter=parted)
    picked = state(demo_basis(), call).picked
    assert picked is not None
    assert (row["reference"], row["ordered"], row["pieces"]) == (REFERENCE, "yes", "2")
    for kind, part in picked.parts.items():
        assert (row[f"{kind}_code"], row[f"{kind}_name"]) == (part.code, part.name)
    assert row["price_each"] == f"{picked.price:.2f}".replace(".", sign)
    assert row["total"] == f"{picked.price * 2:.2f}".replace(".", sign)
    assert (row["currency"], row["vat"], row["model_code"]) == ("GBP", "included", "")


@pytest.mark.usefixtures("records")
def test_a_call_without_a_chair_has_its_line(run: Run, tmp_path: Path) -> None:
    """Its cells of the chair are empty."""
    keep_in(tmp_path / "kept" / "records.db", demo("04").call, demo_basis())
    out = tmp_path / "a.csv"
    assert run("records", "export", "--format", "chairs", "--out", str(out)).code == 0
    (row,) = csv.DictReader(io.StringIO(out.read_text("utf-8-sig")))
    assert (row["reference"], row["tree"]) == (REFERENCE, "seating")
    assert {row[name] for name in ("ordered", "seat_code", "total", "currency")} == {""}


def test_a_stopped_call_looks_like_any_without_a_chair(
    run: Run, records: Store, tmp_path: Path
) -> None:
    """Its line is that of a finished call that came to no chair: a stop tells of an illness."""
    found = []
    for number in (False, True):
        keep_in(tmp_path / "kept" / "records.db", demo("04").call, demo_basis())
        records.finish(records.take_over(REFERENCE, "Ann", NOON, anyway=True), NOON, stopped=number)
        out = tmp_path / f"{number}.csv"
        assert run("records", "export", "--format", "chairs", "--out", str(out)).code == 0
        found.append(out.read_bytes())
        erase(records, REFERENCE, NOON)
    assert found[0] == found[1]


@pytest.mark.usefixtures("records")
def test_answers_have_their_meaning(run: Run, tmp_path: Path) -> None:
    """The label of a choice, a length in the units of the call; nothing beside free text."""
    keep_in(tmp_path / "kept" / "records.db", demo("01").call, demo_basis())
    out = tmp_path / "a.csv"
    words = ("export", "--format", "csv", "--decimal", "comma", "--out", str(out))
    assert run("records", *words).code == 0
    rows = csv.DictReader(io.StringIO(out.read_text("utf-8-sig")), delimiter=";")
    told = {row["question"]: (row["said"], row["meaning"]) for row in rows}
    assert told["desk_kind"] == ("one height", "No, a desk or table of one height")
    assert told["desk_height"] == ("30 inches", "30 in")
    assert told["caller_name"] == ("Ada Fenwick", "")
