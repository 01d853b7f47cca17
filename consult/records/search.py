"""Find, list and read stored calls."""

from __future__ import annotations

import re
import unicodedata
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

from sqlalchemy import func, select

from consult.call.call import Answer, Call, Handled
from consult.records.errors import DAMAGED, Damaged
from consult.records.kept import STATUSES, Kept, ListedCall, Versions, as_reference, from_utc, utc
from consult.records.rows import call_number, call_row, read_calls, read_pieces
from consult.records.schema import calls, noted, summaries
from consult.records.schema import name_words as words

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import datetime

    from sqlalchemy import ColumnElement, Select
    from sqlalchemy.engine import Connection

    from consult.records.call_snapshot import Stored
    from consult.records.kept import CallStatus
    from consult.records.rows import Pieces
    from consult.records.store import Store

_WORD = re.compile(r"[^\W_]+")
_APOSTROPHES = re.compile("['’ʼ`]")
_LONGEST, _MOST = 60, 20
_CONSIDERED = 2_000
"""Characters of a name that are looked at: what is longer is no name."""


def words_of_name(name: str) -> tuple[str, ...]:
    """The words of a name, folded, each once: "Zoë O'Neill-Ash" gives zoe, oneill, ash."""
    folded = unicodedata.normalize("NFKD", name[:_CONSIDERED]).casefold()
    plain = "".join(sign for sign in folded if not unicodedata.combining(sign))
    whole = _APOSTROPHES.sub("", plain).encode("utf-8", "ignore").decode("utf-8")
    parts = dict.fromkeys(word[:_LONGEST] for word in _WORD.findall(whole))
    return tuple(parts)[:_MOST]


_LAST = "\U0010ffff"
_SHOWN = (calls.c.id, calls.c.reference, calls.c.caller_name, calls.c.status)
_LISTED = select(*_SHOWN, calls.c.started_at, calls.c.adviser).order_by(calls.c.id.desc())


def find(connection: Connection, text: str, limit: int) -> tuple[ListedCall, ...]:
    """Those whose reference, or a word of whose name for each word of the text, begins so."""
    ways: list[Select[Any]] = []
    typed = words_of_name(text)
    if typed:
        # The longest word finds the fewest; the others are looked up for those alone.
        longest, *others = sorted(typed, key=len, reverse=True)
        named = select(words.c.call_id).where(_begins(words.c.word, longest)).distinct()
        for word in others:
            alias = words.alias()
            also = (alias.c.call_id == words.c.call_id) & _begins(alias.c.word, word)
            named = named.where(select(alias.c.word).where(also).exists())
        ways.append(named.order_by(words.c.call_id.desc()).limit(limit))
    if reference := as_reference(text):
        begins = _begins(calls.c.reference, reference)
        ways.append(select(calls.c.id).where(begins).order_by(calls.c.id.desc()).limit(limit))
    call_ids: set[int] = set()
    for way in ways:
        call_ids.update(connection.scalars(way))
    newest = sorted(call_ids, reverse=True)[:limit]
    return _rows(connection, _LISTED.where(calls.c.id.in_(newest)))


def unfinished(connection: Connection, limit: int) -> tuple[ListedCall, ...]:
    """The newest calls that are on hold or open."""
    return _rows(connection, _LISTED.where(calls.c.status.in_(("open", "held"))).limit(limit))


def _begins(column: ColumnElement[str], beginning: str) -> ColumnElement[bool]:
    return (column >= beginning) & (column < beginning + _LAST)


def _rows(connection: Connection, query: Select[Any]) -> tuple[ListedCall, ...]:
    listed = []
    for call_id, reference, name, status, started, adviser in connection.execute(query):
        if status not in STATUSES:
            raise Damaged(DAMAGED)
        listed.append(ListedCall(call_id, reference, name, status, from_utc(started), adviser))
    return tuple(listed)


LONG_SILENT = timedelta(days=1)
"""A desk unheard of for longer has gone, and nobody has taken up its call."""


def listed_calls(
    store: Store,
    *,
    since: datetime | None = None,
    until: datetime | None = None,
    status: CallStatus | None = None,
    limit: int = 50,
) -> tuple[ListedCall, ...]:
    """The newest calls begun from ``since`` to before ``until``, of one status or any."""
    query = _LISTED
    if since is not None:
        query = query.where(calls.c.started_at >= utc(since))
    if until is not None:
        query = query.where(calls.c.started_at < utc(until))
    if status is not None:
        query = query.where(calls.c.status == status)
    with store.database.reading() as connection:
        return _rows(connection, query.limit(limit))


def count(store: Store) -> int:
    """How many calls are stored."""
    with store.database.reading() as connection:
        return connection.scalar(select(func.count()).select_from(calls)) or 0


def version(store: Store) -> str:
    """The version of the tables."""
    with store.database.reading() as connection:
        return noted(connection, "schema_version") or ""


def files_of_call(store: Store, reference: str) -> tuple[Path, ...]:
    """The files written about a call, also where the call itself is damaged."""
    with store.database.reading() as connection:
        query = select(summaries.c.path).join(calls).where(calls.c.reference == reference)
        return tuple(Path(path) for path in connection.scalars(query.order_by(summaries.c.id)))


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
        result = connection.execute(query.where(beat.is_(None) | ~near).order_by(calls.c.id))
        return tuple(
            Unheard(r, who, from_utc(heard) if heard else None) for r, who, heard in result
        )


# -- read stored calls as values: one, or all of them in batches ----------------------------------


def kept_of(row: dict[str, Any], pieces: Pieces, written: tuple[str, ...]) -> Kept:
    """A call of its proved row and pieces, in the order in which they were said."""
    replies = [(answer.seq, answer.piece.secret or answer.piece.plain) for answer in pieces.answers]
    replies = [(seq, values) for seq, values in replies if values]
    dealt = [stored.piece.secret or stored.piece.plain for stored in pieces.handled]
    call = Call(
        date.fromisoformat(row["today"]),
        _one_of(row["system"], ("metric", "imperial", "both")),
        row["country"],
        tuple(_answer(values) for _, values in replies if values),
        tuple(_handled(values, [seq for seq, _ in replies]) for values in dealt if values),
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
    for lot in call_lots(store):
        with store.database.reading() as connection:
            within = summaries.c.call_id.between(lot[0][0]["id"], lot[-1][0]["id"])
            query = select(summaries.c.call_id, summaries.c.path).where(within)
            written: dict[int, list[str]] = {}
            for call_id, path in connection.execute(query.order_by(summaries.c.id)):
                written.setdefault(call_id, []).append(path)
        for row, pieces in lot:
            kept = None
            if pieces is not None:
                with suppress(Damaged, ValueError, TypeError, LookupError):
                    shown = pieces if health else _without_health(pieces)
                    kept = kept_of(row, shown, tuple(written.get(row["id"], ())) if health else ())
            yield row["reference"], kept


def call_lots(store: Store) -> Iterator[list[tuple[dict[str, Any], Pieces | None]]]:
    """Every call, a lot at a time, the oldest first; None for the pieces of a damaged one."""
    last = 0
    while lot := _next_calls(store, last):
        yield lot
        last = lot[-1][0]["id"]


def _next_calls(store: Store, after: int) -> list[tuple[dict[str, Any], Pieces | None]]:
    """The next calls after a number, none at the end.

    Where the file itself is damaged they are read one by one, so that one hides no other.
    """
    try:
        with store.database.reading() as connection:
            return read_calls(connection, after, store.seal)
    except Damaged:
        with store.database.reading() as connection:
            query = select(calls.c.id, calls.c.reference).where(calls.c.id > after)
            rows = connection.execute(query.order_by(calls.c.id).limit(_LOT)).mappings()
            lot = [dict(row) for row in rows]
    return [read for named in lot if (read := _alone(store, named)) is not None]


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
        answers=tuple(_bare(answer) for answer in pieces.answers),
        handled=tuple(_bare(row) for row in pieces.handled),
        health_rows=0,
        trouble="",
    )


def _bare(row: Stored) -> Stored:
    return row._replace(piece=row.piece._replace(secret=None), unreadable=False)
