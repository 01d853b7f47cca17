"""Back up, restore and check the records of one machine."""

from __future__ import annotations

import os
import shutil
import sqlite3
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import delete, insert, select, text

from consult.durable import settle
from consult.records.engine import bring_up, look, open_database
from consult.records.errors import CannotKeep, Damaged, NotRecords, RecordsTrouble, plainly
from consult.records.file_connections import connect_file
from consult.records.keys import plain_rows
from consult.records.place import free_name, home_path, set_log_aside
from consult.records.schema import KEY_PROOF, calls, meta, metadata, noted
from consult.records.search import call_lots

if TYPE_CHECKING:
    from datetime import datetime

    from consult.records.engine import Database
    from consult.records.store import Store

if sys.platform != "win32":
    import fcntl

FULL = "The database contains calls, so nothing was changed. Name an empty database."
_LEFT = ".backup-part"
"""Ends the name of a copy being made."""
_NEW, _OLD = ".restore-new", ".restore-old"
"""End the names of the copies a restore makes: of the backup, and of the records as they were."""
_RESTORED = "restored"
"""In the records from the moment they are those of a backup: where the old ones are to be."""
_PATIENCE = 5.0
_ROWS = 5_000
"""Read from a server at once."""
_BUSY = "Another program is making or restoring the same backup. Wait until it has finished."


def backup(store: Store, path: Path) -> bool:
    """Copy the records as they are at one moment, while calls continue; for this user only.

    The copy is a file, of shared records too: ``restore`` makes records in a file of it, and
    ``restore_shared`` records on a server.

    An existing file is never written over. The copy holds what may be erased later: it must be
    kept as long as the records are, and no longer. Whether half a copy was removed that an earlier
    backup had left in that folder.
    """
    target = home_path(path).absolute()
    with plainly(target):
        if target.exists():
            raise CannotKeep(f"{target} exists already and was not overwritten. Name a new file.")
        left = _sweep_left(target.parent)
        with _being_made(target.with_name(f".{target.name}{_LEFT}")) as part:
            if store.database.path is None:
                with closing(open_database(part, _PATIENCE)) as copy:
                    bring_up(copy)
                    _copy_rows(store.database, copy)
                with closing(connect_file(part, _PATIENCE)) as alone:
                    alone.execute("PRAGMA journal_mode=DELETE")
            else:
                with store.database.raw() as source, plainly(target):
                    _copy(source, part)
            part.replace(target)
            settle(target.parent)
    return left


def _sweep_left(folder: Path) -> bool:
    """Remove copies that were never finished; whether there were any."""
    left = [path for path in folder.glob(f".*{_LEFT}") if _abandoned(path)]
    for path in left:
        path.unlink()
    return bool(left)


def nightly(store: Store, folder: Path, at: datetime, keep: int) -> tuple[Path, int]:
    """A copy with its time in its name, read again; the copy, and how many older were deleted.

    A copy that is not whole is deleted and told (``RecordsTrouble``), and then no older one is.
    ``keep`` copies stay, this one among them.
    """
    from consult.records.store import open_store

    with plainly():
        if not folder.is_dir():
            raise CannotKeep(f"The folder {folder} does not exist. Make it first.")
        made = folder / f"consult-{at:%Y-%m-%d-%H%M%S}.db"
        try:
            backup(store, made)
            with closing(open_store(made)) as copy:
                wrong = integrity(copy)
            if wrong:
                raise RecordsTrouble(f"The copy is not whole, and was deleted: {wrong[0]}")
        except BaseException:
            made.unlink(missing_ok=True)
            raise
        every = sorted(folder.glob("consult-????-??-??-??????.db"))
        gone = [path for path in every[: max(0, len(every) - keep)] if path != made]
        for path in gone:
            path.unlink()
        settle(folder)
    return made, len(gone)


def restore_shared(path: Path, address: str) -> None:
    """Restore a backup into a database of a server that has no calls, whole or not at all."""
    source = _backup_at(path)
    with plainly(), closing(open_database(address, _PATIENCE)) as database:
        bring_up(database)
        _sweep_left(source.parent)
        with _being_made(source.with_name(f".{source.name}{_LEFT}")) as part:
            _take_in(source, part)
            with closing(open_database(part, _PATIENCE)) as copy:
                _copy_rows(copy, database)


def _backup_at(path: Path) -> Path:
    source = home_path(path).absolute()
    with plainly():
        if not source.is_file() or source.stat().st_size == 0:
            raise NotRecords(f"{source} is not a backup of stored calls. Name another file.")
        look(source)
    return source


def restore(path: Path, place: Path) -> Path | None:
    """Restore a backup. Returns where the old records are now, None if there were none.

    One commit of SQLite decides. Until then the records are as they were; from then on they are
    the backup, and what is left to do is done when they are next opened (``finish_restore``).
    ``NotRecords``, ``Newer`` or ``Damaged`` where the backup is none, and nothing is changed then.
    """
    source, target = _backup_at(path), home_path(place).absolute()
    with plainly(target):
        target.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        new, old = _parts(target)
        if new.exists() or old.exists():
            _settle_earlier(target, old)
        with _being_made(new):
            _take_in(source, new)
            aside = free_name(target) if target.exists() else None
            with closing(connect_file(new, _PATIENCE)) as copy:
                note = f"INSERT INTO meta (name, value) VALUES ('{_RESTORED}', ?)"
                copy.execute(note, (aside.name if aside else "",))
            if aside is None:
                set_log_aside(target)
            if aside is None or _set_aside(target, old, aside):
                _overwrite(new, target)
            else:
                # SQLite cannot read what is there, so it cannot write over it either.
                for log in _logs(target):
                    log.unlink(missing_ok=True)
                new.replace(target)
                settle(target.parent)
        with closing(open_database(target, _PATIENCE)) as database:
            finish_restore(database)
    return aside


def finish_restore(database: Database) -> tuple[str, ...]:
    """Finish a restore that was interrupted, and say so."""
    target = database.path
    if target is None:
        return ()
    new, old = _parts(target)
    with database.reading() as connection:
        aside = noted(connection, _RESTORED)
    with plainly():
        if aside is None:
            if not _sweep(target):
                return ()
            return (
                "Restoring a backup was interrupted before it changed anything. Restore the "
                "backup again.",
            )
        if aside and old.exists():
            old.replace(target.with_name(aside))
        new.unlink(missing_ok=True)
        settle(target.parent)
        with database.raw() as connection:
            # A copy on its own has none of the log that lets readers read while one writes.
            connection.execute("PRAGMA journal_mode=WAL")
        with database.writing() as connection:
            connection.execute(delete(meta).where(meta.c.name == _RESTORED))
        database.settle()
    place = f" The earlier records are now in {target.with_name(aside)}." if aside else ""
    return (f"A restore that was interrupted is now finished.{place}",)


def _settle_earlier(target: Path, old: Path) -> None:
    """Before another restore: finish or undo one that was broken off."""
    if not _abandoned(_parts(target)[0]):
        raise CannotKeep(_BUSY)
    try:
        with closing(open_database(target, _PATIENCE)) as database:
            finish_restore(database)
    except RecordsTrouble:
        # What is there cannot be read, so its copy may be better.
        if old.exists():
            old.replace(free_name(target))
        _sweep(target)


def _parts(target: Path) -> tuple[Path, Path]:
    return target.with_name(f".{target.name}{_NEW}"), target.with_name(f".{target.name}{_OLD}")


def _logs(path: Path) -> tuple[Path, Path]:
    return path.with_name(f"{path.name}-wal"), path.with_name(f"{path.name}-shm")


def _private(path: Path) -> None:
    os.close(os.open(path, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600))


def _sweep(target: Path) -> bool:
    """Remove the copies of a restore that changed nothing; whether there were any."""
    new, old = _parts(target)
    if not (new.exists() or old.exists()):
        return False
    if not _abandoned(new):
        return False
    for path in (new, old):
        for file in (path, *_logs(path)):
            file.unlink(missing_ok=True)
    return True


def _take_in(source: Path, new: Path) -> None:
    """A proved copy of a backup, brought up to this version; ``Newer`` where it is of a newer."""
    with closing(sqlite3.connect(f"{source.as_uri()}?mode=ro", uri=True)) as opened:
        _copy(opened, new)
    try:
        with closing(sqlite3.connect(new)) as copy:
            whole = copy.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
    except sqlite3.DatabaseError:
        whole = False
    if not whole:
        raise Damaged(f"The backup {source} is damaged. Restore another one.")
    with closing(open_database(new, _PATIENCE)) as database:
        bring_up(database)


def _set_aside(target: Path, old: Path, aside: Path) -> bool:
    """Copy the records as they are, their log included; False where SQLite cannot read them.

    Such a file and its log are then copied byte for byte, to their last name.
    """
    try:
        _private(old)
        with closing(connect_file(target, _PATIENCE)) as opened:
            _copy(opened, old)
    except sqlite3.DatabaseError as error:
        old.unlink(missing_ok=True)
        if type(error) is not sqlite3.DatabaseError:  # locked, full, read-only
            raise
        for path, name in zip((target, *_logs(target)), (aside, *_logs(aside)), strict=True):
            with suppress(FileNotFoundError):
                shutil.copyfile(path, name)
                name.chmod(0o600)
        settle(target.parent)
        return False
    return True


def _overwrite(new: Path, target: Path) -> None:
    """Make the records those of a copy, in one transaction of SQLite."""
    if not target.exists():
        _private(target)
    with closing(connect_file(new, _PATIENCE)) as source:
        _copy(source, target)


def _copy(source: sqlite3.Connection, path: Path) -> None:
    """All pages of a database into a file that is there; on the disk when this returns."""
    end = time.monotonic() + _PATIENCE

    def waited(status: int, left: int, total: int) -> None:  # noqa: ARG001
        if status in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED) and time.monotonic() > end:
            raise CannotKeep("Another program is using the records. Close every call screen first.")

    with closing(connect_file(path, _PATIENCE)) as copy:
        source.backup(copy, progress=waited)
        if path.suffix in (_LEFT, _OLD, _NEW):
            # A file on its own, which other programs can carry about.
            copy.execute("PRAGMA journal_mode=DELETE")


def _copy_rows(source: Database, target: Database) -> None:
    """All rows of records, as of one moment, into others that have no calls."""
    with source.reading() as here, target.writing() as there:
        if there.scalar(select(calls.c.id).limit(1)) is not None:
            raise CannotKeep(FULL)
        there.execute(delete(meta))
        for table in metadata.sorted_tables:
            rows = here.execution_options(yield_per=_ROWS).execute(select(table)).mappings()
            for lot in rows.partitions():
                there.execute(insert(table), [dict(row) for row in lot])
            if target.path is None and "id" in table.columns:
                # Or the next call would get a number that is taken.
                last = f"SELECT setval(pg_get_serial_sequence('{table.name}', 'id'), max(id))"
                there.execute(text(f"{last} FROM {table.name} HAVING max(id) > 0"))


@contextmanager
def _being_made(part: Path) -> Iterator[Path]:
    """A new file of this user alone, locked as long as it is being made, and removed after."""
    try:
        handle = os.open(part, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError as error:
        raise CannotKeep(_BUSY) from error
    except PermissionError as error:
        error.filename = str(part.parent)  # nobody gave the name of the part
        raise
    # Windows locks an open file by itself, and SQLite out of one that is locked as well.
    if sys.platform == "win32":
        os.close(handle)
    else:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    try:
        yield part
    finally:
        for path in (part, *_logs(part)):
            with suppress(FileNotFoundError):
                path.unlink()
        if sys.platform != "win32":
            os.close(handle)


def _abandoned(part: Path) -> bool:
    """Whether the program that made it is gone."""
    if sys.platform == "win32" or not part.exists():
        return True
    with part.open("rb") as file, suppress(OSError):
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        return True
    return False


def integrity(store: Store, progress: Callable[[int], None] = lambda _: None) -> tuple[str, ...]:
    """Every fault of the records, a sentence each; empty if every call is intact."""
    faults: list[str] = []
    if store.database.path is not None:
        try:
            with store.database.raw() as connection:
                problems = connection.execute("PRAGMA integrity_check(5)").fetchall()
                loose = connection.execute("PRAGMA foreign_key_check").fetchall()
        except RecordsTrouble as trouble:
            return (str(trouble),)
        faults += [f"The file is damaged: {line}." for (line,) in problems if line != "ok"]
        faults += ["The file is damaged: answers without a call."] if loose else []
    try:
        with store.database.reading() as connection:
            encrypted = noted(connection, KEY_PROOF) is not None
            plain = plain_rows(connection) if encrypted else {}
        done = 0
        for lot in call_lots(store):
            for row, pieces in lot:
                if pieces is None:
                    faults.append(f"Call {row['reference']} is damaged.")
                if count := plain.get(row["id"]):
                    faults.append(
                        f"Call {row['reference']} has {count} health answers that are not "
                        "encrypted. To encrypt them, run with the key: consult records "
                        "where."
                    )
            done += len(lot)
            progress(done)
    except RecordsTrouble as trouble:
        faults.append(str(trouble))
    return tuple(faults)
