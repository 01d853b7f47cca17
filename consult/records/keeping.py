"""Create a call in the records and add to it, inside one transaction."""

from __future__ import annotations

import secrets
from dataclasses import asdict
from datetime import UTC, timedelta
from typing import TYPE_CHECKING, Any

from sqlalchemy import delete, insert

from consult.records.engine import mark_unscrubbed
from consult.records.held import has_secrets, without_secrets
from consult.records.kept import Opened, from_utc, utc
from consult.records.names import name_words
from consult.records.rows import add_pieces, call_check, erase_health, read_pieces, rewrite_call
from consult.records.schema import audit, calls
from consult.records.schema import name_words as words_table
from consult.records.trouble import Conflict

if TYPE_CHECKING:
    from datetime import datetime

    from sqlalchemy.engine import Connection

    from consult.call.call import Call
    from consult.records.encryption import Seal
    from consult.records.held import Held
    from consult.records.kept import Versions
    from consult.records.rows import Pieces

SILENT = timedelta(seconds=60)
"""After this time without a sign of life a screen is dead, and its call may be taken over."""
AHEAD = timedelta(hours=2)
"""A sign of life from further ahead than this was given by a clock that has been put right since.

Clocks of two desks are minutes apart, and one is an hour out where summer time was got wrong: that
makes nobody silent, because a call at work must not be taken unasked. A date got wrong is another
matter: the call would look open until that date. So no call is blocked for longer than two hours
and a minute, and anybody who insists can open it at any time.
"""


def begin_in(
    connection: Connection,
    call: Call,
    versions: Versions,
    adviser: str,
    at: datetime,
    reference: str,
    origin: str | None = None,
) -> Opened:
    """Create a call without answers."""
    token, now = secrets.token_hex(8), utc(at)
    row: dict[str, Any] = {
        "reference": reference,
        "started_at": now,
        "today": call.today.isoformat(),
        "system": call.system,
        "country": call.country,
        **asdict(versions),
        "caller_name": "",
        "status": "open",
        "consent": None,
        "answer_count": 0,
        "handled_count": 0,
        "health_count": 0,
        "floor": 0,
        "updated_at": now,
        "adviser": adviser,
        "open_by": token,
        "open_since": now,
        "heartbeat": now,
        "origin": origin,
    }
    row["check"] = call_check(row)
    key = connection.execute(insert(calls).values(row)).inserted_primary_key
    assert key is not None
    return Opened(key[0], reference, token)


def append_in(
    connection: Connection,
    row: dict[str, Any],
    kept: Pieces,
    held: Held,
    at: datetime,
    seal: Seal,
    trouble: str,
) -> tuple[tuple[str, ...], int]:
    """Add what is new, all or nothing. Returns a message and how many health answers were deleted.

    ``trouble`` is why health must not be written (``key_trouble``), '' where it may be.
    ``Conflict`` where what is kept is not the beginning of what is held; undo the change then.
    """
    erased = 0
    told: tuple[str, ...] = ()
    if trouble and has_secrets(held):
        held, told = without_secrets(held), (trouble,)
    if held.consent is not True and kept.health_rows:
        erased = erase_health(connection, [row["id"]])
        note_audit(connection, at, "health answers erased, consent taken back", erased)
        mark_unscrubbed(connection, in_place=True)
        row["health_count"] = 0
        kept = read_pieces(connection, row, seal)
    added = add_pieces(connection, row, kept, held, seal)
    if added is None:
        raise Conflict(row["reference"])
    plain = sum(one.piece.plain is not None for one in kept.answers)
    dealt = sum(one.piece.plain is not None for one in kept.handled)
    now = utc(at)
    if held.caller_name != row["caller_name"]:
        _rename(connection, row["id"], held.caller_name)
    rewrite_call(
        connection,
        row,
        caller_name=held.caller_name,
        consent=held.consent,
        answer_count=plain + added.answers,
        handled_count=dealt + added.handled,
        health_count=kept.health_rows + added.health,
        updated_at=max(now, row["updated_at"]),
        status="open" if row["open_by"] else row["status"],
        heartbeat=now if row["open_by"] else row["heartbeat"],
    )
    return told, erased


def silent(row: dict[str, Any], at: datetime) -> bool:
    """Whether the screen that has a call open is dead."""
    heard = row["heartbeat"]
    return heard is None or not -AHEAD <= at.astimezone(UTC) - from_utc(heard) <= SILENT


def note_audit(connection: Connection, at: datetime, what: str, count: int) -> None:
    """Add a line to the audit, without personal data."""
    connection.execute(insert(audit).values(at=utc(at), what=what, count=count))


def _rename(connection: Connection, call_id: int, name: str) -> None:
    connection.execute(delete(words_table).where(words_table.c.call_id == call_id))
    rows = [{"word": word, "call_id": call_id} for word in name_words(name)]
    if rows:
        connection.execute(insert(words_table), rows)
