"""Connections to a SQLite file of the records, kept from one transaction to the next.

SQLite moves its log into the file and removes it when the last connection is closed: half a dozen
waits for the disk, where an answer needs one. But a kept connection goes on with the file it
opened, whatever stands at that place now, so its files are looked at before it is used again.
"""

from __future__ import annotations

import atexit
import os
import sqlite3
import sys
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path
from threading import Event, Lock, Thread
from typing import TYPE_CHECKING, Any
from weakref import WeakSet

from sqlalchemy import create_engine, event
from sqlalchemy.exc import DisconnectionError
from sqlalchemy.pool import QueuePool

if TYPE_CHECKING:
    from sqlalchemy.engine import Connection, Engine

BEGIN_WRITING = "BEGIN IMMEDIATE"
"""Waits for another writer here, and not in the middle."""
_engines: WeakSet[Engine] = WeakSet()


def file_engine(path: Path, patience: float) -> Engine:
    """Transactions on a file that is there; ``patience`` is seconds to wait for other writers."""
    engine = create_engine(
        "sqlite://",
        # A call screen writes in one thread and reads in another. More are closed after use.
        poolclass=QueuePool,
        pool_size=2,
        max_overflow=-1,
        pool_use_lifo=True,
        hide_parameters=True,
    )
    _engines.add(engine)
    log = path.with_name(f"{path.name}-wal")

    @event.listens_for(engine, "do_connect")
    def connect(_dialect: Any, record: Any, _given: Any, _named: Any) -> sqlite3.Connection:
        # Looked at first: a file put there meanwhile must not be taken for the one opened.
        record.info["file"] = _identity(path)
        return connect_file(path, patience)

    @event.listens_for(engine, "checkin")
    def keep(_connection: Any, record: Any) -> None:
        record.info.setdefault("log", _identity(log))

    @event.listens_for(engine, "checkout")
    def use(connection: sqlite3.Connection, record: Any, _proxy: Any) -> None:
        known = record.info
        if "log" in known and (known["file"], known["log"]) != (_identity(path), _identity(log)):
            # The log goes into the file it is of, or it would be read as that of the new one.
            with suppress(sqlite3.Error):
                connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
            raise DisconnectionError

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        writes = connection.get_execution_options().get("consult_writes")
        driver: Any = connection.connection.driver_connection
        driver.execute(BEGIN_WRITING if writes else "BEGIN")

    return engine


def connect_file(path: Path | None, patience: float) -> sqlite3.Connection:
    """A connection to a SQLite file that is there, as every one of ours is made."""
    assert path is not None
    connection: sqlite3.Connection = sqlite3.connect(
        f"{path.as_uri()}?mode=rw",
        uri=True,
        timeout=patience,
        isolation_level=None,
        check_same_thread=False,
    )
    try:
        for pragma in (
            "foreign_keys=ON",
            "synchronous=FULL",
            "secure_delete=ON",
            "temp_store=MEMORY",
        ):
            connection.execute(f"PRAGMA {pragma}")
    except BaseException:
        connection.close()
        raise
    return connection


def marks_of(path: Path) -> tuple[int, int]:
    """The program and the version that the first bytes of a SQLite file name.

    ``sqlite3.DatabaseError`` where it is no such file. Nothing is written or locked. SQLite reads
    it, because a file that this process opens and closes by itself loses the locks of all its
    connections. A file that looks damaged may be half written by somebody else just now, and is
    read once more as that writer leaves it.
    """
    try:
        return _marks(path, "immutable=1")
    except sqlite3.OperationalError:
        raise
    except sqlite3.DatabaseError:
        return _marks(path, "mode=ro")


def _marks(path: Path, how: str) -> tuple[int, int]:
    with closing(sqlite3.connect(f"{path.as_uri()}?{how}", uri=True)) as connection:
        program, version = (
            connection.execute(f"PRAGMA {name}").fetchone()[0]
            for name in ("application_id", "user_version")
        )
    return program, version


def _identity(path: Path) -> tuple[int, int] | None:
    """Which file stands at a place; None where none does."""
    try:
        status = path.stat()
    except OSError:
        return None
    return status.st_dev, status.st_ino


def _close_unused() -> None:
    """Close what no transaction uses: a process must not go on with the connections of another."""
    for engine in list(_engines):
        engine.dispose()


atexit.register(_close_unused)
if hasattr(os, "register_at_fork"):
    os.register_at_fork(before=_close_unused)


# -- A queue of the screens that write to one file, first come first served -----------------------
# SQLite has a desk that finds another writing look again after ever longer pauses, and the next
# to look at the right moment gets in: among twenty that write without a pause half wait 16 ms
# and one in twenty a second. The lock is the system's own, on the folder, so it goes with the
# desk that has it, however that ends, and leaves no file.

if sys.platform != "win32":
    import fcntl


@contextmanager
def turn(folder: Path, patience: float) -> Iterator[None]:
    """Wait for this screen's turn, at most ``patience`` seconds; then SQLite's own lock decides.

    So it does where a folder cannot be locked: on Windows, and on some shared folders.
    """
    if sys.platform == "win32":
        yield
        return
    place = _Place(folder)
    try:
        place.take(patience)
        yield
    finally:
        place.leave()


class _Place:
    """A place in the line."""

    def __init__(self, folder: Path) -> None:
        self._guard, self._come, self._left = Lock(), Event(), False
        self._handle = -1
        with suppress(OSError):
            self._handle = os.open(folder, os.O_RDONLY | os.O_CLOEXEC)

    def take(self, patience: float) -> None:
        """Wait until all who came before have left."""
        if self._handle < 0:
            return
        try:
            fcntl.flock(self._handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
            self._come.set()
        except BlockingIOError:
            # The system waits without a limit, so it waits beside the desk.
            Thread(target=self._wait, daemon=True).start()
            self._come.wait(patience)
        except OSError:
            self._come.set()

    def leave(self) -> None:
        """Let the next one in; a wait that goes on ends with nothing held."""
        with self._guard:
            self._left = True
            if self._come.is_set() or self._handle < 0:
                self._close()

    def _wait(self) -> None:
        with suppress(OSError):
            fcntl.flock(self._handle, fcntl.LOCK_EX)
        with self._guard:
            self._come.set()
            if self._left:
                self._close()

    def _close(self) -> None:
        if self._handle >= 0:
            os.close(self._handle)
        self._handle = -1
