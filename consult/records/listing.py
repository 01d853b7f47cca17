"""Queries over all records: lists, counts, waiting files, calls without health answers."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sqlalchemy import func, select

from consult.records.kept import STATUSES, Listed, from_utc, utc
from consult.records.reading import kept_of
from consult.records.reference import as_reference
from consult.records.rows import call_row, read_calls, read_pieces
from consult.records.schema import calls, meta, summaries
from consult.records.spill import reference_in
from consult.records.spilt import files_in
from consult.records.trouble import DAMAGED, Damaged, NoSuchCall

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import datetime

    from consult.records.align import Stored
    from consult.records.kept import Kept, Status
    from consult.records.rows import Pieces
    from consult.records.store import Store

_LOT = 100
"""Calls read in one batch."""
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


def count(store: Store) -> int:
    """How many calls are stored."""
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
            raise NoSuchCall(
                f"No call with the reference {reference} is stored here. Check the reference."
            )
        return kept_of(row, _without_health(read_pieces(connection, row, store.seal)), ())


def read_all(store: Store, *, health: bool = True) -> Iterator[tuple[str, Kept | None]]:
    """Every call by its reference, the oldest first; None for one that is damaged.

    Many are read at a time, each lot as of one moment, so that desks go on meanwhile.
    """
    last = 0
    while True:
        found = next_calls(store, last)
        if not found:
            return
        numbers = [row["id"] for row, _ in found]
        with store.database.reading() as connection:
            within = summaries.c.call_id.between(numbers[0], numbers[-1])
            query = select(summaries.c.call_id, summaries.c.path).where(within)
            written: dict[int, list[str]] = {}
            for call_id, path in connection.execute(query.order_by(summaries.c.id)):
                written.setdefault(call_id, []).append(path)
        last = numbers[-1]
        for row, pieces in found:
            kept = None
            if pieces is not None:
                with suppress(Damaged, ValueError, TypeError, LookupError):
                    shown = pieces if health else _without_health(pieces)
                    kept = kept_of(row, shown, tuple(written.get(row["id"], ())) if health else ())
            yield row["reference"], kept


def next_calls(store: Store, after: int) -> list[tuple[dict[str, Any], Pieces | None]]:
    """The next calls after a number, none at the end; None for the pieces of a damaged one.

    Where the file itself is damaged they are read one by one, so that one hides no other.
    """
    try:
        with store.database.reading() as connection:
            return read_calls(connection, after, store.seal)
    except Damaged:
        with store.database.reading() as connection:
            query = select(calls.c.id, calls.c.reference).where(calls.c.id > after)
            rows = connection.execute(query.order_by(calls.c.id).limit(_LOT)).mappings()
            found = [dict(row) for row in rows]
    return [read for named in found if (read := _alone(store, named)) is not None]


def _alone(store: Store, named: dict[str, Any]) -> tuple[dict[str, Any], Pieces | None] | None:
    """One call; None where it was erased meanwhile."""
    try:
        with store.database.reading() as connection:
            row = call_row(connection, named["id"])
            return None if row is None else (row, read_pieces(connection, row, store.seal))
    except Damaged:
        return named, None


def _without_health(pieces: Pieces) -> Pieces:
    return replace(
        pieces,
        answers=tuple(_bare(one) for one in pieces.answers),
        handled=tuple(_bare(one) for one in pieces.handled),
        health_rows=0,
        trouble="",
    )


def _bare(one: Stored) -> Stored:
    return replace(one, piece=replace(one.piece, secret=None), unreadable=False)
