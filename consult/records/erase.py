"""Delete calls for good: on request, and by age."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import delete, insert, select

from consult.records.appending import AHEAD, note_audit
from consult.records.engine import mark_unscrubbed
from consult.records.errors import NOT_OWNER, NoSuchCall
from consult.records.kept import as_reference, check_of, from_utc, utc
from consult.records.recovery_file import spilt_in, take_health
from consult.records.rows import bare_calls, found_number, health_of, lots
from consult.records.schema import answers, calls, erased, handled, health, name_words, summaries
from consult.retention import Retention

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from datetime import datetime

    from sqlalchemy.engine import Connection

    from consult.records.recovery_file import Spilt
    from consult.records.store import Store

COPIES = (
    "Another program is using the records, so a copy may remain in their file. Close it and do "
    "this again."
)
REMAIN = frozenset({COPIES, NOT_OWNER})
"""What is told where copies of what was deleted remain, in a file and on a server."""
_USUAL = Retention()
BACKUPS = "Earlier backups still contain what was deleted."
LARGE_SHARE = 0.25
"""Of all calls: a purge that touches more is asked about (common practice, no source)."""


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
    """How many calls go or lose their health answers."""
    out_of: int = 0
    """Calls in all, those in recovery files alone included."""
    newest: datetime | None = None
    """When one of them was last changed."""


def erase(store: Store, which: int | str, at: datetime, folders: Sequence[Path] = ()) -> Erased:
    """Delete a call everywhere: records, files written about it, recovery files.

    The files go first, so that an erasure that is cut off can be asked for again. A damaged call
    can be erased too.
    """
    reference = as_reference(which) if isinstance(which, str) else None
    with store.database.reading() as connection:
        wanted = calls.c.id == which if isinstance(which, int) else calls.c.reference == reference
        row = connection.execute(select(calls.c.id, calls.c.reference).where(wanted)).first()
        reference = row.reference if row else reference
        # It may stand in a recovery file and never have reached the records.
        spilt = [file for file in spilt_in(folders) if reference and file.reference == reference]
        if reference is None or not (row or spilt):
            raise NoSuchCall(f"No call {which} is stored here.")
        paths = paths_of(connection, [row.id] if row else [], spilt)
    files = remove(paths)
    with store.database.writing() as connection:
        if row:
            take(connection, [(row.id, reference)])
        stored = bool(row) or take_spilt(connection, [reference])
        note_audit(connection, at, "calls erased on request", 1)
    files += remove_spilt(folders, {reference})
    return Erased(1, 0, files, wiped(store) if stored else ())


def wiped(store: Store) -> tuple[str, ...]:
    """Wipe the removed rows, and say where copies may remain."""
    return (BACKUPS,) if store.wipe() else (copies(store), BACKUPS)


def copies(store: Store) -> str:
    """What to say where copies of what was deleted remain."""
    return COPIES if store.database.path else NOT_OWNER


def take(connection: Connection, pairs: Sequence[tuple[int, str]]) -> None:
    """Remove the rows of calls, numbers and references given; to be followed by a wipe."""
    mark_unscrubbed(connection)
    for lot in lots(pairs):
        call_ids = [call_id for call_id, _ in lot]
        for table in (answers, handled, health, summaries, name_words):
            connection.execute(delete(table).where(table.c.call_id.in_(call_ids)))
        connection.execute(delete(calls).where(calls.c.id.in_(call_ids)))
        marks = sorted({check_of(reference) for _, reference in lot})
        old = {*connection.scalars(select(erased.c.mark).where(erased.c.mark.in_(marks)))}
        if new := [{"mark": mark} for mark in marks if mark not in old]:
            connection.execute(insert(erased), new)


def take_spilt(connection: Connection, references: Iterable[str]) -> bool:
    """Mark calls of recovery files as erased; one put back at this very moment goes too.

    Whether there was one.
    """
    merged = False
    for reference in references:
        number = found_number(connection, reference)
        merged = merged or number is not None
        # Numbers begin with 1: with 0 nothing but the mark is written.
        take(connection, [(number or 0, reference)])
    return merged


def paths_of(
    connection: Connection, call_ids: Sequence[int], spilt: Iterable[Spilt] = ()
) -> list[tuple[Path, str]]:
    """Files written about calls, those that only their recovery files name too, and why one must
    stay."""
    mine = set(call_ids)

    def why_left(path: str, after: int = 0) -> str:
        same = (summaries.c.path == path) & (summaries.c.id > after)
        others = set(connection.scalars(select(summaries.c.call_id).where(same))) - mine
        return "another call's summary is there now" if others else ""

    paths: dict[Path, str] = {}
    for lot in lots(call_ids):
        query = select(summaries.c.id, summaries.c.path).where(summaries.c.call_id.in_(lot))
        for number, path in connection.execute(
            query.order_by(summaries.c.call_id, summaries.c.id)
        ).all():
            paths[Path(path)] = why_left(path, number)
    for path in (path for file in spilt for path in file.summaries if path not in paths):
        paths[path] = why_left(str(path))
    return list(paths.items())


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
    return remove((spilt.path, "") for spilt in spilt_in(folders) if spilt.reference in references)


@dataclass
class _Plan:
    """The calls and files that are too old."""

    gone: list[tuple[int, str]] = field(default_factory=list)
    """Calls of the records, number and reference."""
    stale: list[int] = field(default_factory=list)
    """Calls of the records that stay without their health answers."""
    lost: set[str] = field(default_factory=set)
    """References of calls that only recovery files have."""
    alone: set[str] = field(default_factory=set)
    """The same, whether they are too old or not."""
    files: list[Spilt] = field(default_factory=list)
    """Recovery files to remove."""
    bared: list[Spilt] = field(default_factory=list)
    """Recovery files to take the health answers out of."""


def purge(
    store: Store,
    at: datetime,
    *,
    retention_days: int = _USUAL.days,
    health_days: int = _USUAL.health_days,
    dry_run: bool = False,
    folders: Sequence[Path] = (),
) -> Erased:
    """Delete calls that have not changed for the days of retention, and health answers sooner.

    Calls in recovery files count as those in the records; one that stands in both is as old as
    the younger. A damaged recovery file may hold health and nothing can be taken out of it, so it
    goes with the health answers. With ``dry_run`` nothing is changed and the result says what
    would be.
    """
    too_old = utc(at - timedelta(days=retention_days))
    old = utc(at - timedelta(days=health_days))
    with store.database.reading() as connection:
        spilt = spilt_in(folders)
        plan, ages = _plan(connection, spilt, too_old, old), _ages(connection, spilt)
        count = health_of(connection, plan.stale)
        references = {reference for _, reference in plan.gone} | plan.lost
        whose = [file for file in plan.files if file.reference in references]
        paths = paths_of(connection, [call_id for call_id, _ in plan.gone], whose)
    total = len(plan.gone) + len(plan.lost)
    spilt_health = sum(file.health for file in plan.bared)
    if dry_run:
        planned = [*paths, *((file.path, "") for file in plan.files)]
        files = tuple(ErasedFile(path, why) for path, why in planned)
        bared = tuple(ErasedFile(file.path) for file in plan.bared)
        return Erased(total, count + spilt_health, files, (), bared, *_share(plan, ages))
    files = remove(paths)
    bared = tuple(_bare(file) for file in plan.bared)
    count = sum(file.health for file, done in zip(plan.bared, bared, strict=True) if not done.left)
    merged = False
    if plan.gone or plan.stale or plan.lost or count:
        with store.database.writing() as connection:
            take(connection, plan.gone)
            merged = take_spilt(connection, sorted(plan.lost))
            if plan.stale:
                count += bare_calls(connection, plan.stale)
                mark_unscrubbed(connection, in_place=True)
            note_audit(connection, at, "calls erased by age", total)
            note_audit(connection, at, "health answers erased by age", count)
    files += remove((file.path, "") for file in plan.files)
    # Again, for one that another desk claimed meanwhile has another name now.
    files += remove_spilt(folders, references)
    messages = wiped(store) if plan.gone or plan.stale or merged else ()
    return Erased(total, count, files, messages, bared)


def doubt(planned: Erased, at: datetime) -> str:
    """Why the clock may be wrong, before a purge; '' if it seems right.

    Ages come from this machine's clock alone: one that runs years ahead makes every call old.
    """
    if planned.newest is None:
        return ""
    latest = f"{planned.newest.astimezone():%Y-%m-%d %H:%M}"
    clock = f"This machine's clock says {at.astimezone():%Y-%m-%d %H:%M}"
    if planned.newest - at > AHEAD:
        return f"{clock}, but the newest entry is of {latest}."
    if planned.touched > planned.out_of * LARGE_SHARE:
        return (
            f"{planned.touched} of {planned.out_of} calls would be deleted or lose their health "
            f"answers, which is more than {LARGE_SHARE:.0%}. {clock}; the newest entry is of "
            f"{latest}."
        )
    return ""


def _ages(connection: Connection, spilt: Sequence[Spilt]) -> dict[str, str]:
    """Reference -> when a call was last changed, of the records and of recovery files."""
    ages = {file.reference: file.at for file in spilt if file.reference}
    for reference, last in connection.execute(select(calls.c.reference, calls.c.updated_at)):
        ages[reference] = max(last, ages.get(reference, ""))
    return ages


def _share(plan: _Plan, ages: Mapping[str, str]) -> tuple[int, int, datetime | None]:
    """How many calls go or lose health answers, out of how many, and when one last changed."""
    stored = len(plan.gone) + len(plan.stale)
    alone = plan.lost | {spilt.reference for spilt in plan.bared if spilt.reference in plan.alone}
    newest = max(ages.values(), default="")
    return stored + len(alone), len(ages), from_utc(newest) if newest else None


def _plan(connection: Connection, spilt: Sequence[Spilt], too_old: str, old: str) -> _Plan:
    plan = _Plan()
    written: dict[str, str] = {}
    for file in spilt:
        if file.reference:
            written[file.reference] = max(file.at, written.get(file.reference, ""))
    updated = calls.c.updated_at
    query = select(calls.c.id, calls.c.reference, updated, calls.c.health_count)
    stale = (updated < old) & (calls.c.health_count > 0)
    for call_id, reference, last, health_count in connection.execute(
        query.where((updated < too_old) | stale).order_by(calls.c.id)
    ):
        age = max(last, written.get(reference, ""))
        if age < too_old:
            plan.gone.append((call_id, reference))
        elif age < old and health_count:
            plan.stale.append(call_id)
    for file in spilt:
        kept = None
        if file.reference:
            kept = connection.scalar(select(updated).where(calls.c.reference == file.reference))
            plan.alone |= {file.reference} if kept is None else set()
        age = max(kept or "", written.get(file.reference or "", file.at))
        if age < too_old or (age < old and not file.whole):
            plan.files.append(file)
            if file.reference and kept is None:
                plan.lost.add(file.reference)
        elif age < old and file.health:
            plan.bared.append(file)
    # A damaged file may go while a whole one of the same call stays.
    plan.lost -= {file.reference for file in spilt if file not in plan.files and file.reference}
    return plan


def _bare(spilt: Spilt) -> ErasedFile:
    try:
        take_health(spilt)
    except FileNotFoundError:
        # Put back into the records at this very moment: they are purged of it next time.
        return ErasedFile(spilt.path, "it was just added to the records")
    except (OSError, ValueError, LookupError, TypeError) as error:
        return ErasedFile(spilt.path, getattr(error, "strerror", None) or "it cannot be read")
    return ErasedFile(spilt.path)
