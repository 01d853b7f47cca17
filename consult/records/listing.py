"""What is asked about the records as a whole: lists, counts, files that wait, calls less health."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import func, select

from consult.records.kept import STATUSES, Listed, from_utc, utc
from consult.records.reading import kept_of
from consult.records.reference import as_reference
from consult.records.rows import call_row, read_pieces
from consult.records.schema import calls, meta, summaries
from consult.records.spill import reference_in
from consult.records.spilt import files_in
from consult.records.trouble import DAMAGED, Damaged, NoSuchCall

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from consult.records.align import Stored
    from consult.records.kept import Kept, Status
    from consult.records.store import Store

LONG_SILENT = timedelta(days=1)
"""A desk unheard of for longer has gone, and nobody has taken up its call."""


def listed(
    store: Store,
    *,
    since: datetime | None = None,
    until: datetime | None = None,
    status: Status | None = None,
    limit: int = 50,
) -> tuple[Listed, ...]:
    """The newest calls begun from ``since`` to before ``until``, of one status or any."""
    shown = (calls.c.id, calls.c.reference, calls.c.caller_name, calls.c.status)
    query = select(*shown, calls.c.started_at, calls.c.adviser)
    if since is not None:
        query = query.where(calls.c.started_at >= utc(since))
    if until is not None:
        query = query.where(calls.c.started_at < utc(until))
    if status is not None:
        query = query.where(calls.c.status == status)
    found = []
    with store.database.reading() as connection:
        newest = query.order_by(calls.c.id.desc()).limit(limit)
        for call_id, reference, name, kept, started, adviser in connection.execute(newest):
            if kept not in STATUSES:
                raise Damaged(DAMAGED)
            found.append(Listed(call_id, reference, name, kept, from_utc(started), adviser))
    return tuple(found)


def references(store: Store) -> tuple[str, ...]:
    """Those of all calls, the oldest first."""
    with store.database.reading() as connection:
        return tuple(connection.scalars(select(calls.c.reference).order_by(calls.c.id)))


def count(store: Store) -> int:
    """How many calls are kept."""
    with store.database.reading() as connection:
        return connection.scalar(select(func.count()).select_from(calls)) or 0


def version(store: Store) -> str:
    """The version of the tables."""
    with store.database.reading() as connection:
        query = select(meta.c.value).where(meta.c.name == "schema_version")
        return connection.scalar(query) or ""


def files_of(store: Store, reference: str) -> tuple[Path, ...]:
    """The files written about a call, also where the call itself is damaged."""
    with store.database.reading() as connection:
        query = select(summaries.c.path).join(calls).where(calls.c.reference == reference)
        return tuple(Path(path) for path in connection.scalars(query.order_by(summaries.c.id)))


def waiting(folders: Sequence[Path], reference: str | None = None) -> tuple[Path, ...]:
    """Recovery files that are not in the records yet; those of one call where it is named."""
    return tuple(
        path for path in files_in(folders) if reference is None or reference_in(path) == reference
    )


@dataclass(frozen=True, slots=True)
class Unheard:
    """A call that a desk has open and has not been heard of for long."""

    reference: str
    adviser: str
    heard: datetime | None


def unheard(store: Store, at: datetime) -> tuple[Unheard, ...]:
    """Calls open at desks that gave no sign of life within a day of ``at``, the oldest first.

    A day ahead counts as well: a clock that was wrong then has been put right since.
    """
    beat = calls.c.heartbeat
    near = beat.between(utc(at - LONG_SILENT), utc(at + LONG_SILENT))
    query = select(calls.c.reference, calls.c.adviser, beat).where(calls.c.open_by.is_not(None))
    with store.database.reading() as connection:
        found = connection.execute(query.where(beat.is_(None) | ~near).order_by(calls.c.id))
        return tuple(Unheard(r, who, from_utc(heard) if heard else None) for r, who, heard in found)


def read_without_health(store: Store, reference: str) -> Kept:
    """A call as it would be had its health answers been erased.

    What tells of health was decided when it was kept, so a tree changed since reveals nothing.
    Files written about it are not named: they may tell of health.
    """
    with store.database.reading() as connection:
        wanted = calls.c.reference == as_reference(reference)
        number = connection.scalar(select(calls.c.id).where(wanted))
        row = None if number is None else call_row(connection, number)
        if row is None:
            raise NoSuchCall(f"No call with the reference {reference} is kept here.")
        pieces = read_pieces(connection, row, store.seal)
        bare = replace(
            pieces,
            answers=tuple(_bare(one) for one in pieces.answers),
            handled=tuple(_bare(one) for one in pieces.handled),
            health_rows=0,
            trouble="",
        )
        return kept_of(row, bare, ())


def _bare(one: Stored) -> Stored:
    return replace(one, piece=replace(one.piece, secret=None), unreadable=False)
