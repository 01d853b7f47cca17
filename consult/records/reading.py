"""Read stored calls as values: one, or all of them in batches."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING, Any, cast

from sqlalchemy import select

from consult.call.call import Answer, Call, Handled
from consult.records.errors import DAMAGED, Damaged
from consult.records.kept import STATUSES, Kept, Versions, from_utc
from consult.records.rows import call_number, call_row, read_calls, read_pieces
from consult.records.schema import calls, summaries

if TYPE_CHECKING:
    from collections.abc import Iterator

    from consult.records.call_snapshot import Stored
    from consult.records.rows import Pieces
    from consult.records.store import Store


def kept_of(row: dict[str, Any], pieces: Pieces, written: tuple[str, ...]) -> Kept:
    """A call of its proved row and pieces, in the order in which they were said."""
    told = [
        (one.seq, one.piece.secret or one.piece.plain)
        for one in pieces.answers
        if one.piece.secret or one.piece.plain
    ]
    dealt = [one.piece.secret or one.piece.plain for one in pieces.handled]
    call = Call(
        date.fromisoformat(row["today"]),
        _one_of(row["system"], ("metric", "imperial", "both")),
        row["country"],
        tuple(_answer(values) for _, values in told if values),
        tuple(_handled(values, [seq for seq, _ in told]) for values in dealt if values),
    )
    return Kept(
        row["id"],
        row["reference"],
        call,
        Versions(**{name: row[name] for name in Versions.__slots__}),
        _one_of(row["status"], STATUSES),
        row["consent"],
        row["caller_name"],
        row["adviser"],
        from_utc(row["started_at"]),
        from_utc(row["updated_at"]),
        from_utc(row["open_since"]) if row["open_by"] else None,
        written,
        pieces.trouble,
    )


def _answer(values: tuple[object, ...]) -> Answer:
    question, said, confirmed, note, at, took = cast("tuple[str, str, bool, str, Any, Any]", values)
    return Answer(question, said, confirmed, note, from_utc(at) if at else None, took)


def _handled(values: tuple[object, ...], seqs: list[int]) -> Handled:
    after, caution, lifted, at = cast("tuple[int, str, str, Any]", values)
    before = sum(seq < after for seq in seqs)
    return Handled(caution, before, lifted, from_utc(at) if at else None)


def _one_of(value: str, valid: Any) -> Any:
    if value not in valid:
        raise Damaged(DAMAGED)
    return value


_LOT = 100
"""Calls read in one batch."""


def read_without_health(store: Store, reference: str) -> Kept:
    """A call as it would be had its health answers been erased.

    What tells of health was decided when it was kept, so a tree changed since reveals nothing.
    Files written about it are not named: they may tell of health.
    """
    with store.database.reading() as connection:
        row = call_row(connection, call_number(connection, reference))
        assert row is not None, "found at the same moment"
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
