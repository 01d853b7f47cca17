"""The list of warning signs in the records: a mark without consent, the answer with it."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from hypothesis import given, settings
from sqlalchemy import select

from consult.call.call import READ_OUT, UNNAMED_STOP, Call, private_of
from consult.call.session import Session
from consult.call.stops import WITHHELD
from consult.records.call_snapshot import held_of
from consult.records.desk_calls import DeskCalls
from consult.records.encryption import Seal
from consult.records.kept import versions_of
from consult.records.recovery_file import Spilled, write_spill
from consult.records.schema import metadata
from consult.records.store import Store, open_store
from tests.call.signs import NOON, give, led, little, say_all
from tests.call.test_private import COURSES
from tests.long import examples
from tests.records.samples import NOW, on_disk

PRIVATE = private_of(little().tree)


@pytest.fixture
def desk(tmp_path: Path) -> DeskCalls:
    """A desk with records of its own."""
    found = DeskCalls(little(), tmp_path / "r.db", "Ann", lambda: NOON)
    found.start()
    return found


def reopened(desk: DeskCalls, name: str) -> Session:
    """The call as another desk finds it."""
    call = desk.open(name, anyway=True)
    assert isinstance(call, Call), call
    return Session(little(), call, NOON)


def test_killed_at_the_box_the_stop_is_known(desk: DeskCalls, tmp_path: Path) -> None:
    """What is stored with the answer, before the caution was said, stops the call that goes on."""
    found, name = led(("caller_name", "Ada")), desk.new(NOON)
    give(found, "signs", "saddle")
    assert desk.keep(name, found.now) == ""
    assert found.now.to_say
    assert b"saddle" not in on_disk(tmp_path)
    resumed = reopened(desk, name)
    assert resumed.now.stopped is WITHHELD
    assert resumed.now.call.latest()["signs"].said == READ_OUT
    assert [one.caution for one in resumed.now.to_say] == [WITHHELD]


def test_two_marks_of_an_earlier_version(desk: DeskCalls, monkeypatch: pytest.MonkeyPatch) -> None:
    """A call stored when every stop left a mark goes on as one call."""
    found, name = led(("caller_name", "Ada")), desk.new(NOON)
    give(found, "signs", "saddle")
    say_all(found)
    give(found, "signs", "not_sure, saddle")
    say_all(found)
    with monkeypatch.context() as earlier:
        earlier.setattr(
            "consult.records.call_snapshot.bare_handled",
            lambda _, handled: [replace(one, caution=UNNAMED_STOP) for one in handled],
        )
        assert desk.keep(name, found.now) == ""
    resumed = reopened(desk, name)
    assert len(resumed.now.call.handled) > 1
    assert {one.caution for one in resumed.now.call.handled} == {UNNAMED_STOP}
    give(resumed, "caller_contact", "at home")
    assert desk.keep(name, resumed.now) == ""
    assert [one.name for one in desk.find("")] == [name]
    assert reopened(desk, name).now.stopped is WITHHELD


def test_killed_before_the_list_was_answered_it_is_asked(desk: DeskCalls) -> None:
    """Only an answer leaves the mark."""
    found, name = led(("caller_name", "Ada")), desk.new(NOON)
    desk.keep(name, found.now)
    asking = reopened(desk, name).asking
    assert asking is not None
    assert asking.name == "signs"


def test_a_finished_call_stays_finished(desk: DeskCalls) -> None:
    """Without its answer the list is no open question of a call that came to its end."""
    said = ("signs", "none"), ("consent", "no"), ("bag", "laptop"), ("at_home", "no")
    found = led(("caller_name", "Ada"), *said, ("delivery_country", "?"), ("caller_contact", "x"))
    assert found.now.finished
    name = desk.new(NOON)
    desk.keep(name, found.now)
    desk.finish(name, stopped=False)
    assert reopened(desk, name).now.finished


def test_the_answer_is_stored_with_consent_and_gone_without(
    desk: DeskCalls, tmp_path: Path
) -> None:
    """Consent given later stores what was said, taken back it leaves the mark alone."""
    found, name = led(("caller_name", "Ada"), ("signs", "legs")), desk.new(NOON)
    desk.keep(name, found.now)
    say_all(found)
    desk.keep(name, found.now)
    assert b"legs" not in on_disk(tmp_path)
    give(found, "consent", "yes")
    assert desk.keep(name, found.now) == ""
    assert b"legs" in on_disk(tmp_path)
    resumed = reopened(desk, name)
    assert resumed.now.call == found.now.call
    give(resumed, "consent", "no")
    assert desk.keep(name, resumed.now) == ""
    assert b"legs" not in on_disk(tmp_path)
    last = reopened(desk, name)
    assert [one.said for one in last.now.call.answers] == ["Ada", READ_OUT, "yes", "no"]
    assert last.now.stopped is WITHHELD


def test_asked_again_at_another_desk(desk: DeskCalls) -> None:
    """What is answered after the mark goes on from it, with consent or without."""
    found, name = led(("caller_name", "Ada"), ("signs", "none"), ("consent", "no")), desk.new(NOON)
    desk.keep(name, found.now)
    second = reopened(desk, name)
    give(second, "signs", "legs")
    assert desk.keep(name, second.now) == ""
    third = reopened(desk, name)
    assert third.now.stopped is WITHHELD
    give(third, "signs", "swollen")
    give(third, "consent", "yes")
    assert desk.keep(name, third.now) == ""
    assert reopened(desk, name).now.call == third.now.call


def _tables(store: Store) -> dict[str, list[dict[str, Any]]]:
    """Every row but what differs from one opening, or from one count of marks, to another."""
    own = {"open_by", "handled_count", "check", "reference"}
    with store.database.reading() as connection:
        return {
            table.name: [
                {name: value for name, value in row.items() if name not in own}
                for row in connection.execute(select(table)).mappings()
            ]
            for table in metadata.sorted_tables
            if table.name != "handled"
        }


@settings(deadline=None, max_examples=examples(25))
@given(COURSES)
def test_the_same_bytes_whatever_the_list_was_answered(
    course: list[tuple[str, tuple[str, str]]],
) -> None:
    """Tables and recovery files of two callers who differ only in their signs, stop marks aside."""
    tables, files = [], []
    for who in (0, 1):
        found = led(*((name, said[who]) for name, said in course))
        say_all(found)
        with TemporaryDirectory() as folder:
            store = open_store(Path(folder) / "r.db")
            opened = store.begin(found.now.call, versions_of(little()), "Ann", NOW, "234-567")
            now = found.now
            store.append(
                opened,
                now.call,
                consent=now.consent,
                caller_name=now.caller_name,
                private=PRIVATE,
                at=NOW,
            )
            tables.append(_tables(store))
            store.close()
            held = held_of(now.call, now.consent, now.caller_name, PRIVATE)
            spilled = Spilled(
                *("call", None, "234-567", "token", "Ann", "now", "now"),
                *("2026-11-25", "metric", "GB", versions_of(little()), "open", (), held),
            )
            path = write_spill([Path(folder) / "recovery"], spilled, Seal(None))
            lines = [json.loads(line) for line in path.read_text().splitlines()]
            for line in lines:
                line.pop("handled", None)
            files.append([line for line in lines if line])
    assert tables[0] == tables[1]
    assert files[0] == files[1]
