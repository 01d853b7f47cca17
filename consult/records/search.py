"""Find calls by reference or by the caller's name, the newest first.

Newest is what reached the records last: a machine's clock may have been set back.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from sqlalchemy import select

from consult.records.kept import STATUSES, Listed, from_utc
from consult.records.names import name_words
from consult.records.reference import as_reference
from consult.records.schema import calls
from consult.records.schema import name_words as words
from consult.records.trouble import DAMAGED, Damaged

if TYPE_CHECKING:
    from sqlalchemy import ColumnElement, Select
    from sqlalchemy.engine import Connection

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
