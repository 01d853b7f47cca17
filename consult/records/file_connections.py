"""Connections to a SQLite file of the records, kept from one transaction to the next.

SQLite moves its log into the file and removes it when the last connection is closed: half a dozen
waits for the disk, where an answer needs one. But a kept connection goes on with the file it
opened, whatever stands at that place now, so its files are looked at before it is used again.
"""

from __future__ import annotations

import atexit
import os
import sqlite3
from contextlib import closing, suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any
from weakref import WeakSet

from sqlalchemy import create_engine, event
from sqlalchemy.exc import DisconnectionError
from sqlalchemy.pool import QueuePool

if TYPE_CHECKING:
    from sqlalchemy.engine import Connection, Engine

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
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

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
        found = path.stat()
    except OSError:
        return None
    return found.st_dev, found.st_ino


def _close_unused() -> None:
    """Close what no transaction uses: a process must not go on with the connections of another."""
    for engine in list(_engines):
        engine.dispose()


atexit.register(_close_unused)
if hasattr(os, "register_at_fork"):
    os.register_at_fork(before=_close_unused)
