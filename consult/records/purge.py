"""Delete by age: calls that have not changed for long, and health answers sooner."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import func, select

from consult.records import erase
from consult.records.engine import mark_unscrubbed
from consult.records.erase import Erased, ErasedFile
from consult.records.keeping import AHEAD, note_audit
from consult.records.kept import from_utc, utc
from consult.records.rows import call_row, erase_health, health_of, rewrite_call
from consult.records.schema import calls
from consult.records.spilt import spilt_in, take_health
from consult.retention import Retention

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime
    from pathlib import Path

    from sqlalchemy.engine import Connection

    from consult.records.spilt import Spilt
    from consult.records.store import Store

_USUAL = Retention()


LARGE_SHARE = 0.25
"""Of all calls: a purge that touches more is asked about (common practice, no source)."""


@dataclass
class _Plan:
    """The calls and files that are too old."""

    gone: list[tuple[int, str]] = field(default_factory=list)
    """Calls of the records, number and reference."""
    stale: list[int] = field(default_factory=list)
    """Calls of the records that stay without their health answers."""
    lost: set[str] = field(default_factory=set)
    """References of calls that only recovery files have."""
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
        plan = _plan(connection, spilt_in(folders), too_old, old)
        count = health_of(connection, plan.stale)
        references = {reference for _, reference in plan.gone} | plan.lost
        whose = [one for one in plan.files if one.reference in references]
        paths = erase.paths_of(connection, [call_id for call_id, _ in plan.gone], whose)
    total = len(plan.gone) + len(plan.lost)
    spilt_health = sum(one.health for one in plan.bared)
    if dry_run:
        planned = [*paths, *((one.path, "") for one in plan.files)]
        files = tuple(ErasedFile(path, why) for path, why in planned)
        bared = tuple(ErasedFile(one.path) for one in plan.bared)
        touched = len(plan.gone) + len(plan.stale)
        return Erased(total, count + spilt_health, files, (), bared, touched)
    files = erase.remove(paths)
    bared = tuple(_bare(one) for one in plan.bared)
    count = sum(one.health for one, done in zip(plan.bared, bared, strict=True) if not done.left)
    merged = False
    if plan.gone or plan.stale or plan.lost or count:
        with store.database.writing() as connection:
            erase.take(connection, plan.gone)
            merged = erase.take_spilt(connection, sorted(plan.lost))
            count += sum(_take_health(connection, call_id) for call_id in plan.stale)
            note_audit(connection, at, "calls erased by age", total)
            note_audit(connection, at, "health answers erased by age", count)
    files += erase.remove((one.path, "") for one in plan.files)
    # Again, for one that another desk claimed meanwhile has another name now.
    files += erase.remove_spilt(folders, references)
    told = erase.wiped(store) if plan.gone or plan.stale or merged else ()
    return Erased(total, count, files, told, bared)


def doubt(store: Store, planned: Erased, at: datetime) -> str:
    """Why the clock may be wrong, before a purge; '' if it seems right.

    Ages come from this machine's clock alone: one that runs years ahead makes every call old.
    """
    with store.database.reading() as connection:
        count, newest = connection.execute(
            select(func.count(), func.max(calls.c.updated_at)).select_from(calls)
        ).one()
    if newest is None:
        return ""
    latest = from_utc(newest)
    clock = f"This machine's clock says {at.astimezone():%Y-%m-%d %H:%M}"
    if latest - at > AHEAD:
        return f"{clock}, but the newest entry is of {latest.astimezone():%Y-%m-%d %H:%M}."
    if planned.touched > count * LARGE_SHARE:
        return (
            f"{planned.touched} of {count} calls would be deleted or lose their health answers, "
            f"which is more than {LARGE_SHARE:.0%}. {clock}; the newest entry is of "
            f"{latest.astimezone():%Y-%m-%d %H:%M}."
        )
    return ""


def _plan(connection: Connection, spilt: Sequence[Spilt], too_old: str, old: str) -> _Plan:
    plan = _Plan()
    written: dict[str, str] = {}
    for one in spilt:
        if one.reference:
            written[one.reference] = max(one.at, written.get(one.reference, ""))
    updated = calls.c.updated_at
    query = select(calls.c.id, calls.c.reference, updated, calls.c.health_count)
    stale = (updated < old) & (calls.c.health_count > 0)
    for call_id, reference, last, health in connection.execute(
        query.where((updated < too_old) | stale).order_by(calls.c.id)
    ):
        age = max(last, written.get(reference, ""))
        if age < too_old:
            plan.gone.append((call_id, reference))
        elif age < old and health:
            plan.stale.append(call_id)
    for one in spilt:
        kept = None
        if one.reference:
            kept = connection.scalar(select(updated).where(calls.c.reference == one.reference))
        age = max(kept or "", written.get(one.reference or "", one.at))
        if age < too_old or (age < old and not one.whole):
            plan.files.append(one)
            if one.reference and kept is None:
                plan.lost.add(one.reference)
        elif age < old and one.health:
            plan.bared.append(one)
    # A damaged file may go while a whole one of the same call stays.
    plan.lost -= {one.reference for one in spilt if one not in plan.files and one.reference}
    return plan


def _bare(one: Spilt) -> ErasedFile:
    try:
        take_health(one)
    except FileNotFoundError:
        # Put back into the records at this very moment: they are purged of it next time.
        return ErasedFile(one.path, "it was just added to the records")
    except (OSError, ValueError, LookupError, TypeError) as error:
        return ErasedFile(one.path, getattr(error, "strerror", None) or "it cannot be read")
    return ErasedFile(one.path)


def _take_health(connection: Connection, call_id: int) -> int:
    row = call_row(connection, call_id, lock=True)
    if row is None:
        return 0
    count = erase_health(connection, [call_id])
    mark_unscrubbed(connection, in_place=True)
    rewrite_call(connection, row, health_count=0)
    return count
