"""Copies of the records of one machine, and whether the records are whole."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from typing import TYPE_CHECKING

from sqlalchemy import select

from consult.records.engine import look, open_database
from consult.records.files import home_path
from consult.records.keys import is_encrypted, plain_rows
from consult.records.migrate import bring_up
from consult.records.rows import call_row, read_pieces
from consult.records.schema import calls
from consult.records.trouble import CannotKeep, Damaged, NotRecords, RecordsTrouble, plainly

if TYPE_CHECKING:
    from pathlib import Path

    from consult.records.store import Store

SHARED = "Shared records are backed up with PostgreSQL's own tools, by whoever looks after it."


def backup(store: Store, path: Path) -> None:
    """A whole copy of the records as of one moment, while calls go on; readable by this user only.

    An existing file is never written over. The copy holds what may be erased later: it must be
    kept as long as the records are, and no longer.
    """
    if store.database.path is None:
        raise NotRecords(SHARED)
    target = home_path(path).absolute()
    part = target.with_name(f".{target.name}.{os.getpid()}.part")
    with plainly():
        if target.exists():
            raise CannotKeep(f"{target} is there already; nothing was written over.")
        os.close(os.open(part, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600))
    try:
        with store.database.raw() as source, closing(sqlite3.connect(part)) as copy:
            source.backup(copy)
            # A file on its own, which other programs can carry about.
            copy.execute("PRAGMA journal_mode=DELETE")
        with plainly():
            with part.open("rb") as file:
                os.fsync(file.fileno())
            part.replace(target)
    except BaseException:
        part.unlink(missing_ok=True)
        raise


def restore(path: Path, place: Path) -> Path | None:
    """Put a backup in place of the records, which are set aside first: where, None if none.

    No desk may have the records open. ``NotRecords``, ``Newer`` or ``Damaged`` where the backup is
    none, and nothing is changed then.
    """
    source, target = home_path(path).absolute(), home_path(place).absolute()
    with plainly():
        if not source.is_file() or source.stat().st_size == 0:
            raise NotRecords(f"{source} is no backup of kept calls.")
        look(source)
        target.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        part = target.with_name(f".{target.name}.{os.getpid()}.part")
        try:
            os.close(os.open(part, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600))
            uri = f"{source.as_uri()}?mode=ro"
            with (
                closing(sqlite3.connect(uri, uri=True)) as old,
                closing(sqlite3.connect(part)) as new,
            ):
                old.backup(new)
                if new.execute("PRAGMA integrity_check").fetchone()[0] != "ok":
                    raise Damaged(f"The backup {source} is damaged.")
            aside = _set_aside(target)
            part.replace(target)
        finally:
            part.unlink(missing_ok=True)
    bring_up(open_database(target, 3))
    return aside


def _set_aside(target: Path) -> Path | None:
    if not target.exists():
        return None
    number = 1
    while (aside := target.with_name(f"{target.name}.aside-{number}")).exists():
        number += 1
    for ending in ("-wal", "-shm"):
        log = target.with_name(target.name + ending)
        if log.exists():
            log.replace(aside.with_name(aside.name + ending))
    target.replace(aside)
    return aside


def integrity(store: Store) -> tuple[str, ...]:
    """What is wrong with the records, a sentence each; none where every call reads as written."""
    found: list[str] = []
    if store.database.path is not None:
        try:
            with store.database.raw() as connection:
                problems = connection.execute("PRAGMA integrity_check(5)").fetchall()
                loose = connection.execute("PRAGMA foreign_key_check").fetchall()
        except RecordsTrouble as trouble:
            return (str(trouble),)
        found += [f"The file is damaged: {line}." for (line,) in problems if line != "ok"]
        found += ["The file is damaged: answers without a call."] if loose else []
    try:
        with store.database.reading() as connection:
            numbers = list(
                connection.execute(select(calls.c.id, calls.c.reference).order_by(calls.c.id))
            )
            plain = plain_rows(connection) if is_encrypted(connection) else {}
    except RecordsTrouble as trouble:
        return (*found, str(trouble))
    for call_id, reference in numbers:
        try:
            with store.database.reading() as connection:
                row = call_row(connection, call_id)
                if row is not None:
                    read_pieces(connection, row, store.seal)
        except RecordsTrouble:
            found.append(f"Call {reference} is damaged.")
        if call_id in plain:
            found.append(
                f"Call {reference} has {plain[call_id]} health answers that are not encrypted. "
                "Any command with the key encrypts them: consult records where."
            )
    return tuple(found)
