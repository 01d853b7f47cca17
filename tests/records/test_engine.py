"""Records of older and newer versions, and files that are no records at all."""

from __future__ import annotations

import shutil
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import text

from consult.records.engine import SCHEMA_STEPS, bring_up, open_database
from consult.records.errors import CannotKeep, Newer, NotRecords, RecordsTrouble
from consult.records.place import records_place
from consult.records.schema import APPLICATION_ID, SCHEMA_VERSION, calls
from consult.records.store import Store, open_store
from tests.records.samples import call_of, keep

if TYPE_CHECKING:
    from sqlalchemy.engine import Connection


# -- records of older and newer versions, and files that are no records at all --------------------


def older(store: Store) -> None:
    """Make the records those of an invented version 0, in which no call had a country."""
    with store.database.writing() as connection:
        connection.execute(text("ALTER TABLE calls DROP COLUMN country"))
        connection.execute(text("UPDATE meta SET value = '0' WHERE name = 'schema_version'"))
        if store.database.path is not None:
            connection.exec_driver_sql("PRAGMA user_version=0")
    store.database.settle()


def add_country(connection: Connection) -> None:
    """The step from the invented version to the first."""
    connection.execute(text("ALTER TABLE calls ADD COLUMN country TEXT NOT NULL DEFAULT 'GB'"))


def break_off(connection: Connection) -> None:
    """A step that fails half-way."""
    add_country(connection)
    raise OSError(28, "No space left on device")


def test_an_older_version_is_brought_forward(store: Store) -> None:
    """Calls kept by an older version read as before, and stay so at the next start."""
    call = call_of(("a", "1"))
    opened = keep(store, call)
    older(store)
    for _ in range(2):
        bring_up(store.database, {0: add_country})
        assert store.read(opened.id).call == call


def test_a_step_that_fails_changes_nothing(store: Store) -> None:
    """The older records stay as they were, to be brought forward another time."""
    call = call_of(("a", "1"))
    opened = keep(store, call)
    older(store)
    with pytest.raises(CannotKeep, match="is full"):
        bring_up(store.database, {0: break_off})
    with store.database.reading() as connection:
        assert connection.scalar(text("SELECT value FROM meta")) == "0"
    bring_up(store.database, {0: add_country})
    assert store.read(opened.id).call == call


def test_every_released_version_has_its_step() -> None:
    """From the first version on there is a way to this one."""
    assert sorted(SCHEMA_STEPS) == list(range(1, SCHEMA_VERSION))


def test_a_newer_file_is_never_touched(tmp_path: Path) -> None:
    """It is refused in a sentence, by this very file's first bytes, and nothing of it changes."""
    path = tmp_path / "r.db"
    keep(store := open_store(path), call_of(("a", "1")))
    store.close()
    with closing(sqlite3.connect(path)) as connection:
        connection.execute(f"PRAGMA user_version={SCHEMA_VERSION + 1}")
        connection.execute("UPDATE meta SET value = '2' WHERE name = 'schema_version'")
        connection.commit()
    before, changed = path.read_bytes(), path.stat().st_mtime_ns
    with pytest.raises(Newer, match="newer version of consult"):
        open_store(path)
    assert path.read_bytes() == before
    assert path.stat().st_mtime_ns == changed
    assert [file.name for file in tmp_path.iterdir()] == ["r.db"]


def test_newer_shared_records_are_refused(shared: str) -> None:
    """The same for a shared database."""
    store = open_store(shared)
    with store.database.writing() as connection:
        connection.execute(text("UPDATE meta SET value = '2' WHERE name = 'schema_version'"))
    with pytest.raises(Newer):
        open_store(shared)
    store.close()


@pytest.mark.parametrize("kind", ["text", "foreign", "short"])
def test_other_files_are_left_alone(tmp_path: Path, kind: str) -> None:
    """A file of another program is refused and not changed by a byte."""
    path = tmp_path / "r.db"
    if kind == "foreign":
        with closing(sqlite3.connect(path)) as connection:
            connection.execute("CREATE TABLE theirs (x)")
            connection.commit()
    else:
        path.write_bytes(b"SQLite format 3\0" if kind == "short" else b"notes\n" * 100)
    before = path.read_bytes()
    with pytest.raises(NotRecords):
        open_store(path)
    assert path.read_bytes() == before


def test_a_database_of_others_is_left_alone(shared: str) -> None:
    """Tables that are not ours are never added to."""
    import psycopg

    with psycopg.connect(shared, autocommit=True) as connection:
        connection.execute("CREATE TABLE theirs (x int)")
    with pytest.raises(NotRecords):
        open_store(shared)
    with psycopg.connect(shared) as connection:
        found = connection.execute("SELECT to_regclass('calls')").fetchone()
    assert found == (None,)


def test_an_empty_file_becomes_records(tmp_path: Path) -> None:
    """A start that was cut off before the first table is begun again."""
    path = tmp_path / "r.db"
    path.touch(0o600)
    keep(open_store(path), call_of(("a", "1")))
    assert path.read_bytes()[68:72] == APPLICATION_ID.to_bytes(4, "big")


def test_files_are_closed_to_others(tmp_path: Path) -> None:
    """The file and what stands beside it are this user's alone, the folder too."""
    path = tmp_path / "deep" / "kept" / "r.db"
    store = open_store(path)
    keep(store, call_of(("a", "1")))
    assert path.parent.stat().st_mode & 0o777 == 0o700
    with store.database.raw() as connection:
        connection.execute("SELECT * FROM calls").fetchall()
        files = list(path.parent.iterdir())
        assert len(files) == 3
        assert all(file.stat().st_mode & 0o777 == 0o600 for file in files)
    path.chmod(0o644)
    open_store(path)
    assert path.stat().st_mode & 0o777 == 0o600


def test_the_file_is_written_as_agreed(tmp_path: Path) -> None:
    """A log ahead of the file, every commit on the disk, what is removed overwritten."""
    store = open_store(tmp_path / "r.db")
    with store.database.raw() as connection:
        pragmas = ("journal_mode", "synchronous", "foreign_keys", "secure_delete", "busy_timeout")
        values = [connection.execute(f"PRAGMA {name}").fetchone()[0] for name in pragmas]
    assert values == ["wal", 2, 1, 1, 3000]


def test_where_the_records_are(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """CONSULT_RECORDS is a path or an address; without it they are in this user's data folder."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert records_place() == tmp_path / "consult" / "records.db"
    monkeypatch.setenv("CONSULT_RECORDS", str(tmp_path / "x.db"))
    assert records_place() == tmp_path / "x.db"
    monkeypatch.setenv("CONSULT_RECORDS", "postgresql://h/d")
    assert records_place() == "postgresql://h/d"
    odd = tmp_path / "50% ?#é" / "x.db"
    keep(open_store(odd), call_of(("a", "1")))
    assert odd.exists()


@pytest.mark.parametrize("place", ["mysql://h/d", "://", "sqlite://", "postgresql://h:x/d"])
def test_addresses_that_are_none(place: str) -> None:
    """Each is refused in a sentence, without showing a password in it."""
    with pytest.raises(RecordsTrouble):
        open_store(place)


def test_a_server_that_is_not_there(tmp_path: Path) -> None:
    """It is said that it cannot be reached."""
    with pytest.raises(CannotKeep, match="cannot be reached"):
        open_store(f"postgresql://u:hush@/x?host={tmp_path}")


def test_a_file_that_goes_mid_call_is_noticed(tmp_path: Path) -> None:
    """Nothing is written to a file that was deleted, and no new one is made in its place."""
    store = open_store(tmp_path / "d" / "r.db")
    opened = keep(store, call_of(("a", "1")))
    shutil.rmtree(tmp_path / "d")
    from tests.records.samples import append

    with pytest.raises(CannotKeep, match="no longer exists"):
        append(store, opened, call_of(("a", "1"), ("b", "2")))
    assert not (tmp_path / "d").exists()


def test_opening_writes_nothing_to_what_is_there(tmp_path: Path) -> None:
    """Connecting alone leaves a file as it is."""
    path = tmp_path / "r.db"
    keep(open_store(path), call_of(("a", "1")))
    before = path.read_bytes()
    open_database(path, 1)
    assert path.read_bytes() == before
    assert "country" in calls.c
