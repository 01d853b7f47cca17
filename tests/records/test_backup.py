"""Backups made while a call is on, put back, and records that are asked whether they are whole."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path
from threading import Event, Thread

import pytest
from cryptography.fernet import Fernet

from consult.records.backup import FULL, backup, integrity, restore, restore_shared
from consult.records.erase import erase
from consult.records.errors import CannotKeep, Damaged, Newer, NotRecords
from consult.records.schema import SCHEMA_VERSION
from consult.records.store import Store, open_store
from tests.records.postgres import Server
from tests.records.samples import NOW, append, begin, call_of, keep, words


def test_a_backup_while_a_call_is_on(file_store: Store, tmp_path: Path) -> None:
    """It is whole and this user's alone, and holds every answer given before it began."""
    opened, call = begin(file_store), call_of()
    stop, made = Event(), [0]

    def talk() -> None:
        said = call
        while not stop.is_set():
            said = said.add(call_of(("a", str(made[0]))).answers[0])
            append(file_store, opened, said)
            made[0] += 1

    talker = Thread(target=talk)
    talker.start()
    try:
        for number in range(5):
            before = made[0]
            path = tmp_path / f"copy{number}.db"
            backup(file_store, path)
            assert path.stat().st_mode & 0o777 == 0o600
            copy = open_store(path)
            assert integrity(copy) == ()
            with closing(sqlite3.connect(path)) as alone:
                assert alone.execute("PRAGMA journal_mode").fetchone()[0] == "delete"
            assert len(copy.read(opened.reference).call.answers) >= before
    finally:
        stop.set()
        talker.join()
    assert not list(tmp_path.glob(".*"))


def test_a_backup_is_never_written_over(file_store: Store, tmp_path: Path) -> None:
    """A file that is there stays as it is."""
    (tmp_path / "copy.db").write_text("precious")
    with pytest.raises(CannotKeep, match="exists already"):
        backup(file_store, tmp_path / "copy.db")
    assert (tmp_path / "copy.db").read_text() == "precious"
    with pytest.raises(CannotKeep):
        backup(file_store, tmp_path / "no" / "folder.db")


def test_a_backup_put_back(file_store: Store, tmp_path: Path) -> None:
    """The calls of the backup are there again, and what was there is set aside."""
    opened = keep(file_store, call_of(("a", "1")))
    backup(file_store, tmp_path / "copy.db")
    append(file_store, opened, call_of(("a", "1"), ("b", "2")))
    place = tmp_path / "kept" / "records.db"
    aside = restore(tmp_path / "copy.db", place)
    assert aside is not None
    assert words(open_store(place).read(opened.id).call.answers) == [("a", "1")]
    assert len(open_store(aside).read(opened.id).call.answers) == 2
    assert place.stat().st_mode & 0o777 == 0o600
    assert restore(tmp_path / "copy.db", tmp_path / "new" / "r.db") is None


def test_what_is_no_backup_is_not_put_back(file_store: Store, tmp_path: Path) -> None:
    """Another file, one that is damaged, or of a newer version: the records stay as they are."""
    opened = keep(file_store, call_of(*(("a", "x" * 2_000) for _ in range(20))))
    place = tmp_path / "kept" / "records.db"
    whole = tmp_path / "copy.db"
    backup(file_store, whole)
    (tmp_path / "text").write_text("notes\n" * 100)
    data = bytearray(whole.read_bytes())
    data[4096 * 3 : 4096 * 4] = bytes(4096)
    (tmp_path / "torn").write_bytes(data)
    with closing(sqlite3.connect(whole)) as connection:
        connection.execute(f"PRAGMA user_version={SCHEMA_VERSION + 1}")
    for name, trouble in {
        "text": NotRecords,
        "torn": Damaged,
        "copy.db": Newer,
        "none": NotRecords,
    }.items():
        with pytest.raises(trouble):
            restore(tmp_path / name, place)
        assert len(file_store.read(opened.id).call.answers) == 20
    file_store.close()
    assert [file.name for file in place.parent.iterdir()] == ["records.db"]


@pytest.mark.parametrize("back", ["file", "server"])
def test_shared_records_are_copied_into_a_file(
    server: Server, back: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """All of every call is in it, health under the same key; it is put back here or there."""
    shared, there = server.database(), str(tmp_path / "own" / "records.db")
    monkeypatch.setattr("consult.records.backup._ROWS", 2)
    key, path = Fernet.generate_key().decode(), tmp_path / "copy.db"
    said = call_of(("a", "Zo\u00eb \u202e"), ("pain", "backsecret"), ("b", "2")).handle(
        "plain", at=NOW
    )
    with closing(open_store(shared, key)) as store:
        made = [keep(store, said, True, f"Ada {number}") for number in range(3)]
        append(store, made[0], said, True, "Ada 0")
        store.note_summary(made[0].id, tmp_path / "summary.txt", NOW)
        erase(store, keep(store, said, True, "Gone").id, NOW)
        store.hold(made[1], NOW)
        backup(store, path)
        before = {one.reference: store.read(one.reference) for one in made}
        listed = store.latest()
    assert path.stat().st_mode & 0o777 == 0o600
    assert [one.name for one in tmp_path.iterdir()] == ["copy.db"]
    assert b"backsecret" not in path.read_bytes()
    with closing(sqlite3.connect(path)) as alone:
        assert alone.execute("PRAGMA journal_mode").fetchone()[0] == "delete"
    if back == "file":
        restore(path, Path(there))
    else:
        there = server.database()
        (tmp_path / ".copy.db.backup-part").write_bytes(b"of one that was killed")
        restore_shared(path, there)
        assert [one.name for one in tmp_path.iterdir()] == ["copy.db"]
        with pytest.raises(CannotKeep, match=FULL):
            restore_shared(path, shared)
    with closing(open_store(there, key)) as copy:
        assert integrity(copy) == ()
        assert copy.latest() == listed
        assert {reference: copy.read(reference) for reference in before} == before
        # What is made there gets a number of its own.
        assert copy.read(keep(copy, said, True).reference).call.answers == said.answers


def test_a_changed_letter_is_noticed(store: Store) -> None:
    """A value that is well formed but not what was written is damage all the same."""
    from sqlalchemy import update

    from consult.records.schema import answers, calls

    one, two, whole = (keep(store, call_of(("a", "157 cm"))) for _ in range(3))
    assert integrity(store) == ()
    with store.database.writing() as connection:
        own = answers.c.call_id == one.id
        connection.execute(update(answers).where(own).values(said="175 cm"))
        connection.execute(update(calls).where(calls.c.id == two.id).values(country="FR"))
    for opened in (one, two):
        with pytest.raises(Damaged):
            store.read(opened.id)
    assert store.read(whole.id)
    assert integrity(store) == (
        f"Call {one.reference} is damaged.",
        f"Call {two.reference} is damaged.",
    )
