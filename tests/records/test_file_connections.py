"""A connection is kept as long as the files it opened stand where they did."""

from __future__ import annotations

import fcntl
import os
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from queue import Queue
from threading import Thread
from threading import enumerate as enumerate_threads

import pytest
from sqlalchemy import event

from consult.records.errors import CannotKeep
from consult.records.file_connections import turn
from consult.records.store import Store, open_store
from tests.records.samples import NOW, append, begin, call_of, keep

CALL = call_of(("a", "1"))
MORE = call_of(("a", "1"), ("b", "2"))


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Where the records are."""
    return tmp_path / "r.db"


@pytest.fixture
def store(path: Path) -> Iterator[Store]:
    """Open records."""
    with closing(open_store(path)) as opened:
        yield opened


def log_of(path: Path) -> Path:
    """The log of the records."""
    return path.with_name(f"{path.name}-wal")


def elsewhere(path: Path, statement: str) -> str:
    """What a statement finds in another process, which opens and closes the file."""
    program = (
        "import sqlite3, sys; opened = sqlite3.connect(sys.argv[1]); "
        "print(*opened.execute(sys.argv[2]).fetchall()); opened.commit(); opened.close()"
    )
    done = subprocess.run(
        [sys.executable, "-c", program, str(path), statement],
        check=True,
        stdout=subprocess.PIPE,
        text=True,
    )
    return done.stdout.strip()


def test_one_connection_for_many_answers(path: Path, store: Store) -> None:
    """The log stays while the records are open, and is gone when they are closed."""
    opened = begin(store)
    made: list[object] = []
    event.listen(store.database.engine, "connect", lambda *given: made.append(given))
    for count in range(10):
        append(store, opened, call_of(*((f"q{number}", "1") for number in range(count))))
        store.read(opened.id)
    assert made == []
    assert log_of(path).stat().st_size
    store.close()
    assert not log_of(path).exists()


def test_another_file_in_its_place(tmp_path: Path, path: Path, store: Store) -> None:
    """What is written next is in the file that stands there now, all before in the earlier one."""
    before = keep(store, CALL)
    with closing(open_store(tmp_path / "other.db")) as other:
        theirs = keep(other, CALL)
    path.rename(tmp_path / "aside.db")
    (tmp_path / "other.db").rename(path)
    assert store.read(theirs.reference).call == CALL
    ours = keep(store, MORE)
    store.close()
    with closing(open_store(path)) as now:
        assert now.read(ours.reference).call == MORE
        assert {one.reference for one in now.latest()} == {ours.reference, theirs.reference}
    with closing(open_store(tmp_path / "aside.db")) as aside:
        assert aside.read(before.reference).call == CALL
        assert len(aside.latest()) == 1


def test_a_file_that_goes_and_comes_back(tmp_path: Path, path: Path, store: Store) -> None:
    """It is told while it is gone, and written again when it is back."""
    opened = keep(store, CALL)
    path.rename(tmp_path / "gone.db")
    with pytest.raises(CannotKeep, match="no longer exists"):
        append(store, opened, MORE)
    (tmp_path / "gone.db").rename(path)
    append(store, opened, MORE)
    assert store.read(opened.id).call == MORE


def test_everything_is_in_the_file_between_two_signs_of_life(path: Path, store: Store) -> None:
    """So a copy of the file alone, made by hand, has what was said in the call."""
    opened = keep(store, CALL)
    assert log_of(path).stat().st_size
    store.beat(opened, NOW)
    assert log_of(path).stat().st_size == 0
    append(store, opened, MORE)
    store.hold(opened, NOW)
    assert log_of(path).stat().st_size == 0


def test_a_log_that_was_removed(path: Path, store: Store) -> None:
    """Nobody writes on into a log that others cannot see."""
    opened = keep(store, CALL)
    log_of(path).unlink()
    append(store, opened, MORE)
    assert elsewhere(path, "SELECT count(*) FROM answers") == "(2,)"


def test_others_leave_the_log_while_the_records_are_open(path: Path, store: Store) -> None:
    """Also after this process opened them again: its locks are not lost with that."""
    opened = keep(store, CALL)
    log = log_of(path).stat().st_ino
    open_store(path).close()
    elsewhere(path, "UPDATE meta SET value = value")
    assert log_of(path).stat().st_ino == log
    append(store, opened, MORE)
    assert elsewhere(path, "SELECT count(*) FROM answers") == "(2,)"


def test_a_failed_transaction_leaves_no_connection(store: Store) -> None:
    """The next one begins with a new one."""
    made: list[object] = []
    event.listen(store.database.engine, "connect", lambda *given: made.append(given))
    with pytest.raises(KeyboardInterrupt), store.database.writing():
        raise KeyboardInterrupt
    keep(store, CALL)
    assert len(made) == 1


@pytest.mark.skipif(not hasattr(os, "fork"), reason="processes are not forked there")
def test_a_fork_has_connections_of_its_own(path: Path, store: Store) -> None:
    """Both processes write, and nothing of either is lost."""
    opened = keep(store, CALL)
    child = os.fork()
    if child == 0:
        keep(store, CALL)
        os._exit(0)
    append(store, opened, MORE)
    assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 0
    store.close()
    with closing(sqlite3.connect(path)) as connection:
        assert connection.execute("SELECT count(*) FROM answers").fetchone() == (3,)
        assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)


@pytest.mark.skipif(not hasattr(os, "fork"), reason="processes are not forked there")
def test_a_fork_takes_no_open_connection_along(store: Store) -> None:
    """SQLite in a process believes in the locks of the one it was copied from."""
    keep(store, CALL)
    child = os.fork()
    if child == 0:
        os._exit(store.database.engine.pool.checkedin())  # type: ignore[attr-defined]
    assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 0


# -- desks that write to one file wait in a line --------------------------------------------------

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="folders are not locked there")


@contextmanager
def taken(folder: Path) -> Iterator[None]:
    """Somebody else's turn."""
    handle = os.open(folder, os.O_RDONLY)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX)
        yield
    finally:
        os.close(handle)


def free(folder: Path) -> bool:
    """Whether nobody has the turn."""
    handle = os.open(folder, os.O_RDONLY)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    finally:
        os.close(handle)
    return True


def test_one_at_a_time(tmp_path: Path) -> None:
    with turn(tmp_path, 3):
        assert not free(tmp_path)
    assert free(tmp_path)


def test_the_next_one_waits_for_the_first(tmp_path: Path) -> None:
    """However many wait, no two are in at once, and all come in."""
    inside: Queue[str] = Queue()

    def write(name: str) -> None:
        with turn(tmp_path, 30):
            inside.put(f"{name} in")
            inside.put(f"{name} out")

    writers = [Thread(target=write, args=(name,)) for name in "abcdef"]
    with turn(tmp_path, 3):
        for writer in writers:
            writer.start()
        assert inside.empty()
    for writer in writers:
        writer.join()
    seen = [inside.get_nowait() for _ in range(12)]
    assert [out.replace("out", "in") for out in seen[1::2]] == seen[::2]
    assert free(tmp_path)


def test_nobody_waits_for_ever(tmp_path: Path) -> None:
    """Past its patience a desk goes on, and the turn that comes too late is given back."""
    others = set(enumerate_threads())  # an earlier test may have left one that never ends
    with taken(tmp_path):
        with turn(tmp_path, 0.01):
            pass
        assert not free(tmp_path)
        late = set(enumerate_threads()) - others
    assert late
    for one in late:
        one.join()
    assert free(tmp_path)


def test_what_goes_wrong_ends_the_turn(tmp_path: Path) -> None:
    with pytest.raises(ZeroDivisionError), turn(tmp_path, 3):
        raise ZeroDivisionError
    assert free(tmp_path)


def test_a_folder_that_is_gone(tmp_path: Path) -> None:
    """Then there is nothing to wait for; the records say what is wrong themselves."""
    with turn(tmp_path / "gone", 3):
        pass
