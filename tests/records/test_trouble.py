"""A full disk, a folder that may not be written, a lock, damage: the call is kept all the same."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Iterator
from concurrent.futures import Future
from multiprocessing import Pipe
from pathlib import Path

import pytest

from consult.records.backup import integrity
from consult.records.errors import CannotKeep
from consult.records.merge import merge_spilled
from consult.records.record import Record
from consult.records.recovery_file import spill_folders
from consult.records.store import Store, open_store
from tests.records.samples import NOW, PRIVATE, VERSIONS, append, begin, call_of, keep
from tests.records.writers import as_nobody, start, starve


@pytest.mark.parametrize("room", [0, 9_000, 60_000])
def test_a_full_disk(tmp_path: Path, room: int) -> None:
    """Every answer is in the records or the recovery file, and all are in the records after."""
    path = tmp_path / "r.db"
    open_store(path)
    told, telling = Pipe(duplex=False)
    process = start(starve, str(path), room, telling)
    telling.close()
    reference, said = told.recv()
    process.join()
    assert said[-1]
    assert "disk" in said[-1][0]
    assert "recovery file" in said[-1][1] or "memory" in said[-1][1]
    store = open_store(path)
    merge_spilled(store, spill_folders(path), NOW)
    kept = store.read(reference).call.answers
    in_memory = sum(bool(one) and "memory" in one[1] for one in said)
    assert len(kept) == 60 - in_memory
    assert integrity(store) == ()


@pytest.fixture
def open_folder() -> Iterator[Path]:
    """A folder that other users can look into."""
    folder = Path(tempfile.mkdtemp(prefix="records-", dir="/tmp"))
    yield folder
    shutil.rmtree(folder)


@pytest.mark.parametrize("exists", [True, False], ids=["file", "no file"])
def test_a_folder_that_may_not_be_written(open_folder: Path, exists: bool) -> None:
    """The adviser is told so, and the call goes to the folder for state."""
    kept, recovery = open_folder / "kept", open_folder / "state"
    path = kept / "r.db"
    recovery.mkdir()
    kept.mkdir()
    if exists:
        open_store(path)
        path.chmod(0o444)
    for folder, mode in ((open_folder, 0o755), (kept, 0o555), (recovery, 0o777)):
        folder.chmod(mode)
    told, telling = Pipe(duplex=False)
    process = start(as_nobody, str(path), str(recovery), telling)
    telling.close()
    reference, said = told.recv()
    process.join()
    assert "recovery file" in said[1]
    kept.chmod(0o755)
    store = open_store(path)
    assert merge_spilled(store, (recovery / "recovery",), NOW).calls == 1
    assert store.read(reference).call == call_of(("a", "1"))


def test_a_lock_that_lasts(tmp_path: Path) -> None:
    """Another program that holds the records is waited for, then the call is spilt."""
    path = tmp_path / "r.db"
    store = open_store(path, wait=0.2)
    opening: Future[Store] = Future()
    opening.set_result(store)
    record = Record(opening, spill_folders(path), VERSIONS, PRIVATE, "Ann")
    call = call_of(("a", "1"))
    assert record.keep(call, consent=None, caller_name="", at=NOW) == ()
    more = call.add(call_of(("b", "2")).answers[0])
    with store.database.raw() as other:
        other.execute("BEGIN IMMEDIATE")
        said = record.keep(more, consent=None, caller_name="", at=NOW)
        assert "using the records" in said[0]
        assert store.read(record.reference).call == call
        other.execute("ROLLBACK")
    assert record.keep(more, consent=None, caller_name="", at=NOW) == ()
    assert store.read(record.reference).call == more


def test_a_shared_lock_that_lasts(shared: str) -> None:
    """The same for a shared database."""
    store = open_store(shared, wait=0.2)
    opened = keep(store, call_of(("a", "1")))
    with store.database.writing() as connection:
        from consult.records.rows import call_row

        call_row(connection, opened.id, lock=True)
        with pytest.raises(CannotKeep, match="using the records"):
            append(store, opened, call_of(("a", "1"), ("b", "2")))
    store.close()


def test_a_server_that_goes_is_spilt(shared: str, tmp_path: Path) -> None:
    """A connection cut in the middle of a call is made again, or the call is spilt."""
    import psycopg

    store = open_store(shared)
    opened, call = begin(store), call_of(("a", "1"))
    append(store, opened, call)
    with psycopg.connect(shared, autocommit=True) as connection:
        connection.execute(
            "SELECT pg_terminate_backend(pid) FROM pg_stat_activity "
            "WHERE datname = current_database() AND pid <> pg_backend_pid()"
        )
    more = call.add(call_of(("b", "2")).answers[0])
    append(store, opened, more)
    with psycopg.connect(shared, autocommit=True) as connection:
        connection.execute("DROP TABLE handled, health, answers, summaries, name_words, calls")
    opening: Future[Store] = Future()
    opening.set_result(store)
    folders = (tmp_path / "recovery",)
    record = Record(opening, folders, VERSIONS, PRIVATE, "Ann", opened=opened)
    said = record.keep(more, consent=None, caller_name="", at=NOW)
    assert "recovery file" in said[1]
    store.close()


def test_nobody_else_may_open_the_file(open_folder: Path) -> None:
    """Another user of the machine is refused, told so, and sees nothing."""
    if os.geteuid() != 0:
        pytest.skip("only root can act as another user")
    open_folder.chmod(0o755)
    (open_folder / "state").mkdir()
    (open_folder / "state").chmod(0o777)
    path = open_folder / "r.db"
    keep(open_store(path), call_of(("a", "1")))
    told, telling = Pipe(duplex=False)
    process = start(as_nobody, str(path), str(open_folder / "state"), telling)
    telling.close()
    _, said = told.recv()
    process.join()
    assert "You may not write" in said[0]
