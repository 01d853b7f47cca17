"""The version of the tables: made where there are none, brought forward, never taken back."""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

from sqlalchemy import insert, inspect, select, text, update

from consult.records.engine import NEWER
from consult.records.errors import DAMAGED, CannotKeep, Damaged, Newer, NotRecords
from consult.records.schema import APPLICATION_ID, VERSION, meta, metadata

if TYPE_CHECKING:
    from sqlalchemy.engine import Connection

    from consult.records.engine import Database

Step = Callable[["Connection"], None]

STEPS: Mapping[int, Step] = {}
"""Version -> what makes the next version of it. Every released version has its step for ever."""

_ONE_AT_A_TIME = 0x636E736C
"""The lock PostgreSQL holds while one desk makes or changes the tables."""


def bring_up(database: Database, steps: Mapping[int, Step] = STEPS, to: int = VERSION) -> None:
    """Make the tables or bring them to this version, in one step that happens whole or not at all.

    ``Newer`` where a newer version wrote them, ``NotRecords`` where there are tables but not ours;
    nothing is changed then.
    """
    with database.reading() as connection:
        before = _version(connection)
        if before == to:
            return
    if database.path is not None:
        _write_ahead(database, new=before is None)
    with database.writing() as connection:
        if database.path is None:
            connection.execute(text(f"SELECT pg_advisory_xact_lock({_ONE_AT_A_TIME})"))
        found = _version(connection)
        if found is None:
            metadata.create_all(connection)
            connection.execute(insert(meta).values(name="schema_version", value=str(to)))
        else:
            for version in range(found, to):
                if version not in steps:
                    raise NotRecords(
                        f"These records have version {version}, which was never released. "
                        "Restore a backup."
                    )
                steps[version](connection)
            changed = update(meta).where(meta.c.name == "schema_version").values(value=str(to))
            connection.execute(changed)
        if database.path is not None:
            connection.exec_driver_sql(f"PRAGMA user_version={to}")
    # So that the first bytes of the file tell its version at once.
    database.settle()


def _version(connection: Connection) -> int | None:
    """The version of the tables; None where there are none yet."""
    tables = inspect(connection).get_table_names()
    if not tables:
        return None
    if meta.name not in tables:
        raise NotRecords(
            "The database contains tables of another program and was not changed. "
            "Name another database."
        )
    value = connection.scalar(select(meta.c.value).where(meta.c.name == "schema_version"))
    if value is None:
        raise Damaged(DAMAGED)
    version = int(value)
    if version > VERSION:
        raise Newer(NEWER)
    return version


def _write_ahead(database: Database, *, new: bool) -> None:
    """Let readers read while one writes; SQLite does not wait for others with this by itself.

    A new file is marked as ours in its very first write: cut off after that, it is gone on with.
    """
    end = time.monotonic() + max(database.patience, 5)
    with database.raw() as connection:
        while True:
            try:
                if new:
                    connection.execute(f"PRAGMA application_id={APPLICATION_ID}")
                mode = connection.execute("PRAGMA journal_mode=WAL").fetchone()[0]
            except sqlite3.OperationalError:
                if time.monotonic() > end:
                    raise
                time.sleep(0.02)
                continue
            if mode != "wal":
                raise CannotKeep(
                    "This disk does not let several call screens share the records "
                    "safely. Choose a local disk."
                )
            return
