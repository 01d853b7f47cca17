"""Find and list calls, by reference, by the caller's name, by day and status.

Newest is what reached the records last: a machine's clock may have been set back.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sqlalchemy import func, select

from consult.records.errors import DAMAGED, Damaged
from consult.records.kept import STATUSES, Listed, as_reference, from_utc, utc
from consult.records.schema import calls, meta, summaries
from consult.records.schema import name_words as words

if TYPE_CHECKING:
    from datetime import datetime

    from sqlalchemy import ColumnElement, Select
    from sqlalchemy.engine import Connection

    from consult.records.kept import Status
    from consult.records.store import Store

_WORD = re.compile(r"[^\W_]+")
_APOSTROPHES = re.compile("['’ʼ`]")
_LONGEST, _MOST = 60, 20
_CONSIDERED = 2_000
"""Characters of a name that are looked at: what is longer is no name."""


def name_words(name: str) -> tuple[str, ...]:
    """The words of a name, folded, each once: "Zoë O'Neill-Ash" gives zoe, oneill, ash."""
    folded = unicodedata.normalize("NFKD", name[:_CONSIDERED]).casefold()
    plain = "".join(sign for sign in folded if not unicodedata.combining(sign))
    whole = _APOSTROPHES.sub("", plain).encode("utf-8", "ignore").decode("utf-8")
    found = dict.fromkeys(word[:_LONGEST] for word in _WORD.findall(whole))
    return tuple(found)[:_MOST]


_LAST = "\U0010ffff"
_SHOWN = (calls.c.id, calls.c.reference, calls.c.caller_name, calls.c.status)
_LISTED = select(*_SHOWN, calls.c.started_at, calls.c.adviser).order_by(calls.c.id.desc())


def find(connection: Connection, text: str, limit: int) -> tuple[Listed, ...]:
    """Those whose reference, or a word of whose name for each word of the text, begins so."""
    ways: list[Select[Any]] = []
    typed = name_words(text)
    if typed:
        # The longest word finds the fewest; the others are looked up for those alone.
        longest, *others = sorted(typed, key=len, reverse=True)
        named = select(words.c.call_id).where(_begins(words.c.word, longest)).distinct()
        for word in others:
            other = words.alias()
            also = (other.c.call_id == words.c.call_id) & _begins(other.c.word, word)
            named = named.where(select(other.c.word).where(also).exists())
        ways.append(named.order_by(words.c.call_id.desc()).limit(limit))
    if reference := as_reference(text):
        begins = _begins(calls.c.reference, reference)
        ways.append(select(calls.c.id).where(begins).order_by(calls.c.id.desc()).limit(limit))
    found: set[int] = set()
    for way in ways:
        found.update(connection.scalars(way))
    newest = sorted(found, reverse=True)[:limit]
    return _rows(connection, _LISTED.where(calls.c.id.in_(newest)))


def latest(connection: Connection, limit: int) -> tuple[Listed, ...]:
    """The newest calls."""
    return _rows(connection, _LISTED.limit(limit))


def unfinished(connection: Connection, limit: int) -> tuple[Listed, ...]:
    """The newest calls that are on hold or open."""
    return _rows(connection, _LISTED.where(calls.c.status.in_(("open", "held"))).limit(limit))


def _begins(column: ColumnElement[str], beginning: str) -> ColumnElement[bool]:
    return (column >= beginning) & (column < beginning + _LAST)


def _rows(connection: Connection, query: Select[Any]) -> tuple[Listed, ...]:
    found = []
    for call_id, reference, name, status, started, adviser in connection.execute(query):
        if status not in STATUSES:
            raise Damaged(DAMAGED)
        found.append(Listed(call_id, reference, name, status, from_utc(started), adviser))
    return tuple(found)


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
