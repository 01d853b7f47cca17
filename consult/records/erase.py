"""Taking calls off the records for good: one caller's on request, old ones by their age."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import delete, insert, select

from consult.records.exact import check_of
from consult.records.keeping import note_audit
from consult.records.kept import utc
from consult.records.reference import as_reference
from consult.records.rows import call_row, erase_health, health_of, rewrite_call
from consult.records.schema import answers, calls, erased, handled, health, name_words, summaries
from consult.records.spill import CLAIMED, SUFFIX, reference_in
from consult.records.trouble import NoSuchCall

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from sqlalchemy.engine import Connection

    from consult.records.store import Store

COPIES = (
    "Another program is using the records, so a copy may remain in their file until this is done "
    "again."
)
BACKUPS = "Backups made before still hold what was erased."


@dataclass(frozen=True, slots=True)
class ErasedFile:
    """A file written about an erased call."""

    path: Path
    left: str = ""
    """Why it is still there; '' where it is not."""


@dataclass(frozen=True, slots=True)
class Erased:
    """What was erased, or would be."""

    calls: int
    health: int
    """Health answers taken off calls that stay."""
    files: tuple[ErasedFile, ...]
    told: tuple[str, ...]
    """What whoever asked for it should know."""


def erase(store: Store, which: int | str, at: datetime, folders: Sequence[Path] = ()) -> Erased:
    """Erase a call everywhere: records, files written about it, recovery files.

    The files go first, so that an erasure that is cut off can be asked for again. A damaged call
    can be erased too.
    """
    with store.database.reading() as connection:
        number = calls.c.id == which
        reference = calls.c.reference == (as_reference(which) if isinstance(which, str) else "")
        wanted = number if isinstance(which, int) else reference
        found = connection.execute(select(calls.c.id, calls.c.reference).where(wanted)).first()
        if found is None:
            return _erase_spilt(store, which, at, folders)
        paths = _paths(connection, [found.id])
    files = _remove(paths)
    with store.database.writing() as connection:
        take(connection, [(found.id, found.reference)])
        note_audit(connection, at, "calls erased on request", 1)
    files += _remove_spilt(folders, {found.reference})
    told = (BACKUPS,) if store.database.scrub() else (COPIES, BACKUPS)
    return Erased(1, 0, files, told)


def _erase_spilt(store: Store, which: int | str, at: datetime, folders: Sequence[Path]) -> Erased:
    """A call that never reached the records but stands in a recovery file."""
    reference = as_reference(which) if isinstance(which, str) else None
    files = _remove_spilt(folders, {reference}) if reference else ()
    if not files or reference is None:
        raise NoSuchCall(f"No call {which} is kept here.")
    with store.database.writing() as connection:
        _mark(connection, reference)
        note_audit(connection, at, "calls erased on request", 1)
    return Erased(1, 0, files, ())


def purge(
    store: Store,
    at: datetime,
    *,
    retention_days: int = 365,
    health_days: int = 90,
    dry_run: bool = False,
    folders: Sequence[Path] = (),
) -> Erased:
    """Erase calls nobody has touched for the days of retention, and health answers sooner.

    With ``dry_run`` nothing is changed and the result says what would be.
    """
    too_old = utc(at - timedelta(days=retention_days))
    old = utc(at - timedelta(days=health_days))
    with store.database.reading() as connection:
        query = select(calls.c.id, calls.c.reference).where(calls.c.updated_at < too_old)
        gone = [(one.id, one.reference) for one in connection.execute(query)]
        query = select(calls.c.id).where(calls.c.updated_at < old, calls.c.updated_at >= too_old)
        stale = list(connection.scalars(query.where(calls.c.health_count > 0)))
        count = health_of(connection, stale)
        paths = _paths(connection, [call_id for call_id, _ in gone])
    if dry_run:
        return Erased(len(gone), count, tuple(ErasedFile(p, why) for p, why in paths), ())
    if not gone and not stale:
        return Erased(0, 0, (), ())
    files = _remove(paths)
    with store.database.writing() as connection:
        take(connection, gone)
        count = 0
        for call_id in stale:
            count += _take_health(connection, call_id)
        note_audit(connection, at, "calls erased by age", len(gone))
        note_audit(connection, at, "health answers erased by age", count)
    files += _remove_spilt(folders, {reference for _, reference in gone})
    told = (BACKUPS,) if store.database.scrub() else (COPIES, BACKUPS)
    return Erased(len(gone), count, files, told)


def take(connection: Connection, found: Sequence[tuple[int, str]]) -> None:
    """Remove the rows of calls, numbers and references given; to be followed by a scrub."""
    for call_id, reference in found:
        for table in (answers, handled, health, summaries, name_words):
            connection.execute(delete(table).where(table.c.call_id == call_id))
        connection.execute(delete(calls).where(calls.c.id == call_id))
        _mark(connection, reference)


def _mark(connection: Connection, reference: str) -> None:
    mark = check_of(reference)
    if connection.scalar(select(erased.c.mark).where(erased.c.mark == mark)) is None:
        connection.execute(insert(erased).values(mark=mark))


def _take_health(connection: Connection, call_id: int) -> int:
    row = call_row(connection, call_id, lock=True)
    if row is None:
        return 0
    count = erase_health(connection, [call_id])
    rewrite_call(connection, row, health_count=0)
    return count


def _paths(connection: Connection, call_ids: Sequence[int]) -> list[tuple[Path, str]]:
    """Files written about calls, and why one must stay."""
    found = []
    for call_id in call_ids:
        query = select(summaries.c.id, summaries.c.path).where(summaries.c.call_id == call_id)
        for number, path in connection.execute(query.order_by(summaries.c.id)):
            later = (summaries.c.path == path) & (summaries.c.id > number)
            other = select(summaries.c.id).where(later, summaries.c.call_id.not_in(call_ids))
            taken = connection.scalar(other) is not None
            found.append((Path(path), "another call's summary is there now" if taken else ""))
    return found


def _remove(paths: Sequence[tuple[Path, str]]) -> tuple[ErasedFile, ...]:
    done = []
    for path, left in paths:
        why = left
        if not why:
            try:
                path.unlink(missing_ok=True)
            except (OSError, ValueError) as error:
                why = getattr(error, "strerror", None) or "it cannot be removed"
        done.append(ErasedFile(path, why))
    return tuple(done)


def _remove_spilt(folders: Sequence[Path], references: set[str]) -> tuple[ErasedFile, ...]:
    paths = []
    for folder in folders:
        for path in sorted(folder.iterdir()) if folder.is_dir() else []:
            if path.suffix in (SUFFIX, CLAIMED) and reference_in(path) in references:
                paths.append((path, ""))
    return _remove(paths)
