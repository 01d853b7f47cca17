"""Delete a call for good: everything about it, in every place."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import delete, insert, select

from consult.records.engine import mark_unscrubbed
from consult.records.exact import check_of
from consult.records.keeping import note_audit
from consult.records.reference import as_reference
from consult.records.schema import answers, calls, erased, handled, health, name_words, summaries
from consult.records.spilt import spilt_in
from consult.records.trouble import NoSuchCall

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import datetime

    from sqlalchemy.engine import Connection

    from consult.records.spilt import Spilt
    from consult.records.store import Store

COPIES = (
    "Another program is using the records, so a copy may remain in their file. Close it and do "
    "this again."
)
BACKUPS = "Earlier backups still contain what was deleted."


@dataclass(frozen=True, slots=True)
class ErasedFile:
    """A file written about a deleted call."""

    path: Path
    left: str = ""
    """Why it is still there; '' if it was deleted."""


@dataclass(frozen=True, slots=True)
class Erased:
    """What was deleted, or would be."""

    calls: int
    health: int
    """Number of health answers removed from calls that stay."""
    files: tuple[ErasedFile, ...]
    told: tuple[str, ...]
    """Messages for the person who asked for it."""
    bared: tuple[ErasedFile, ...] = ()
    """Recovery files that stay without their health answers; ``left``: why these are still in."""
    touched: int = 0
    """Of the calls in the records, how many go or lose their health answers."""


def erase(store: Store, which: int | str, at: datetime, folders: Sequence[Path] = ()) -> Erased:
    """Delete a call everywhere: records, files written about it, recovery files.

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
        spilt = [one for one in spilt_in(folders) if one.reference == found.reference]
        paths = paths_of(connection, [found.id], spilt)
    files = remove(paths)
    with store.database.writing() as connection:
        take(connection, [(found.id, found.reference)])
        note_audit(connection, at, "calls erased on request", 1)
    files += remove_spilt(folders, {found.reference})
    return Erased(1, 0, files, wiped(store))


def _erase_spilt(store: Store, which: int | str, at: datetime, folders: Sequence[Path]) -> Erased:
    """A call that never reached the records but stands in a recovery file."""
    reference = as_reference(which) if isinstance(which, str) else None
    spilt = [one for one in spilt_in(folders) if reference and one.reference == reference]
    if not spilt or reference is None:
        raise NoSuchCall(f"No call {which} is stored here.")
    with store.database.reading() as connection:
        paths = paths_of(connection, [], spilt)
    files = remove(paths)
    with store.database.writing() as connection:
        merged = take_spilt(connection, [reference])
        note_audit(connection, at, "calls erased on request", 1)
    files += remove_spilt(folders, {reference})
    return Erased(1, 0, files, wiped(store) if merged else ())


def wiped(store: Store) -> tuple[str, ...]:
    """Wipe the removed rows, and say where copies may remain."""
    return (BACKUPS,) if store.wipe() else (COPIES, BACKUPS)


def take(connection: Connection, found: Sequence[tuple[int, str]]) -> None:
    """Remove the rows of calls, numbers and references given; to be followed by a wipe."""
    mark_unscrubbed(connection)
    for call_id, reference in found:
        for table in (answers, handled, health, summaries, name_words):
            connection.execute(delete(table).where(table.c.call_id == call_id))
        connection.execute(delete(calls).where(calls.c.id == call_id))
        mark = check_of(reference)
        if connection.scalar(select(erased.c.mark).where(erased.c.mark == mark)) is None:
            connection.execute(insert(erased).values(mark=mark))


def take_spilt(connection: Connection, references: Iterable[str]) -> bool:
    """Mark calls of recovery files as erased; one put back at this very moment goes too.

    Whether there was one.
    """
    merged = False
    for reference in references:
        query = select(calls.c.id).where(calls.c.reference == reference)
        found = connection.scalar(query)
        merged = merged or found is not None
        # Numbers begin with 1: with 0 nothing but the mark is written.
        take(connection, [(found or 0, reference)])
    return merged


def paths_of(
    connection: Connection, call_ids: Sequence[int], spilt: Iterable[Spilt] = ()
) -> list[tuple[Path, str]]:
    """Files written about calls, those that only their recovery files name too, and why one must
    stay."""
    found: dict[Path, str] = {}
    other = "another call's summary is there now"
    for call_id in call_ids:
        query = select(summaries.c.id, summaries.c.path).where(summaries.c.call_id == call_id)
        for number, path in connection.execute(query.order_by(summaries.c.id)):
            later = (summaries.c.path == path) & (summaries.c.id > number)
            taken = select(summaries.c.id).where(later, summaries.c.call_id.not_in(call_ids))
            found[Path(path)] = other if connection.scalar(taken) is not None else ""
    for path in (path for one in spilt for path in one.summaries if path not in found):
        same = (summaries.c.path == str(path)) & summaries.c.call_id.not_in(call_ids)
        taken = select(summaries.c.id).where(same)
        found[path] = other if connection.scalar(taken) is not None else ""
    return list(found.items())


def remove(paths: Iterable[tuple[Path, str]]) -> tuple[ErasedFile, ...]:
    """Remove files that need not stay, and tell what became of each."""
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


def remove_spilt(folders: Sequence[Path], references: set[str]) -> tuple[ErasedFile, ...]:
    """Remove the recovery files of calls."""
    return remove((one.path, "") for one in spilt_in(folders) if one.reference in references)
