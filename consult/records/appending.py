"""Create a call in the records and add to it, inside one transaction.

What a screen holds is compared with what is stored (``call_snapshot.places``), and only what is new
is written. What is stored is read whole once; after that it is known from what this screen wrote,
as long as the row of the call is still the one it wrote. A plain answer after a plain answer then
takes no comparison at all (``add_plain``).
"""

from __future__ import annotations

import secrets
from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass, replace
from datetime import UTC, timedelta
from typing import TYPE_CHECKING, Any

from sqlalchemy import bindparam, delete, insert, text, update

from consult.call.call import UNNAMED_STOP
from consult.records.call_snapshot import (
    Stored,
    StoredPiece,
    has_secrets,
    places_stored,
    plain_answer,
    without_secrets,
)
from consult.records.encryption import body_of
from consult.records.engine import mark_unscrubbed
from consult.records.errors import Conflict
from consult.records.kept import Opened, check_of, escaped, from_utc, utc
from consult.records.rows import Pieces, call_check, erase_health, read_pieces, rewrite_call
from consult.records.schema import KEY_PROOF, answers, audit, calls, handled, health
from consult.records.schema import name_words as words_table
from consult.records.search import words_of_name

if TYPE_CHECKING:
    from datetime import datetime

    from sqlalchemy.engine import Connection

    from consult.call.call import Call, Private
    from consult.records.call_snapshot import StoredParts
    from consult.records.encryption import Seal
    from consult.records.engine import Database
    from consult.records.kept import Versions

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


@dataclass(frozen=True, slots=True)
class Appended:
    """What an append did."""

    pieces: Pieces
    """Everything of the call that is stored now."""
    told: tuple[str, ...]
    """A message for the adviser."""
    erased: int
    """How many health answers were deleted."""


@dataclass(frozen=True, slots=True)
class LastWritten:
    """A call as this screen wrote it last."""

    row: dict[str, Any]
    pieces: Pieces
    call: Call
    private: Private
    proof: str
    """That of the key of the records then; '' where they had none."""


_PROOF = text(f"COALESCE((SELECT value FROM meta WHERE name = '{KEY_PROOF}'), '') = :proof")
_GROWN = (
    update(calls)
    .where(calls.c.id == bindparam("call"), calls.c.check == bindparam("known"))
    .where(calls.c.open_by == bindparam("token"), _PROOF)
    .values(
        {name: bindparam(name) for name in ("answer_count", "updated_at", "heartbeat", "check")}
    )
)
"""Changes the row only where nobody wrote to the call meanwhile, took it, or changed the key."""
_INTO = {table: insert(table) for table in (answers, handled)}
"""Made once: making one takes longer than SQLite takes to do what it says."""


def add_plain(
    database: Database,
    before: LastWritten,
    call: Call,
    consent: bool | None,
    caller_name: str,
    private: Private,
    at: datetime,
) -> LastWritten | None:
    """Add answers that are not about health, where nothing else changed since ``before``.

    None, and nothing written, where that is not so: then everything is to be compared.
    """
    count, row, now = len(before.call.answers), before.row, utc(at)
    if (
        (consent, caller_name, private) != (row["consent"], row["caller_name"], before.private)
        or call.handled != before.call.handled
        or call.answers[:count] != before.call.answers
        or not before.pieces.answers
        or any(answer.question in private.questions for answer in call.answers[count - 1 :])
    ):
        return None
    place = max(before.pieces.answers[-1].seq + 1, row["floor"])
    new = tuple(
        Stored(seq, StoredPiece(plain_answer(answer)))
        for seq, answer in enumerate(call.answers[count:], place)
    )
    grown = {
        "answer_count": row["answer_count"] + len(new),
        "updated_at": max(now, row["updated_at"]),
        "heartbeat": now,
    }
    row = row | grown
    row["check"] = grown["check"] = call_check(row)
    guard = {"call": row["id"], "known": before.row["check"], "token": row["open_by"]}
    with database.quick() as run:
        if run(_GROWN, {**grown, **guard, "proof": before.proof}) != 1:
            return None
        for values in _full(answers, row["id"], new):
            exact = {name: escaped(values[name]) for name in ("question", "said", "note")}
            run(_INTO[answers], values | exact)
    pieces = replace(before.pieces, answers=(*before.pieces.answers, *new))
    return replace(before, row=row, pieces=pieces, call=call)


def append_in(
    connection: Connection,
    row: dict[str, Any],
    kept: Pieces,
    held: StoredParts,
    at: datetime,
    seal: Seal,
    trouble: str,
) -> Appended:
    """Add what is new, all or nothing; ``row`` is changed as in the table.

    ``trouble`` is why health must not be written (``keys.key_state``), '' where it may be.
    ``Conflict`` where what is kept is not the beginning of what is held; undo the change then.
    """
    erased = 0
    messages: tuple[str, ...] = ()
    if trouble and has_secrets(held):
        held, messages = without_secrets(held), (trouble,)
    if held.consent is not True and kept.health_rows:
        erased = erase_health(connection, [row["id"]])
        note_audit(connection, at, "health answers erased, consent taken back", erased)
        mark_unscrubbed(connection, in_place=True)
        row["health_count"] = 0
        kept = read_pieces(connection, row, seal)
    pieces = add_pieces(connection, row, kept, held, seal)
    if pieces is None:
        raise Conflict(row["reference"])
    now = utc(at)
    if held.caller_name != row["caller_name"]:
        _rename(connection, row["id"], held.caller_name)
    rewrite_call(
        connection,
        row,
        caller_name=held.caller_name,
        consent=held.consent,
        answer_count=sum(answer.piece.plain is not None for answer in pieces.answers),
        handled_count=sum(stored.piece.plain is not None for stored in pieces.handled),
        health_count=pieces.health_rows,
        updated_at=max(now, row["updated_at"]),
        status="open" if row["open_by"] else row["status"],
        heartbeat=now if row["open_by"] else row["heartbeat"],
    )
    return Appended(pieces, messages, erased)


def add_pieces(
    connection: Connection,
    row: dict[str, Any],
    kept: Pieces,
    held: StoredParts,
    seal: Seal,
    *,
    further: bool = False,
) -> Pieces | None:
    """Write what is new, and give everything stored; None, and nothing written, where they clash.

    ``further``: what is stored may go on from what is held.
    """
    at = places_stored(held.answers, kept.answers, row["floor"], further=further)
    if at is None:
        return None
    given, stored = _comparable(held, kept, at)
    dealt_at = places_stored(given, stored, further=further)
    if dealt_at is None:
        return None
    ends = [0, *(seq + 1 for seq in at)]
    heard = _new(kept.answers, zip(at, held.answers, strict=True))
    dealt = _new(
        kept.handled,
        (
            (seq, _placed(ends[min(piece.after, len(at))], piece))
            for seq, piece in zip(dealt_at, held.handled, strict=True)
        ),
    )
    insert_plain(connection, answers, row["id"], heard)
    insert_plain(connection, handled, row["id"], dealt)
    secret = [("answer", added) for added in heard if added.piece.secret is not None]
    secret += [("handled", added) for added in dealt if added.piece.secret is not None]
    _insert_health(connection, row["id"], secret, seal)
    count = kept.health_rows + len(secret)
    return Pieces(_joined(kept.answers, heard), _joined(kept.handled, dealt), count, kept.trouble)


def _placed(end: int, piece: StoredPiece) -> StoredPiece:
    """A caution with the place of the answer it came after, as it is stored."""
    plain, secret = piece.plain, piece.secret
    return StoredPiece(
        None if plain is None else (end, *plain), None if secret is None else (end, *secret)
    )


def _new(stored: Sequence[Stored], given: Iterable[tuple[int, StoredPiece]]) -> list[Stored]:
    """What is not stored yet, each at its place."""
    have = {row.seq: row for row in stored}
    fresh = []
    for seq, piece in given:
        before = have.get(seq)
        plain = None if before else piece.plain
        secret = None if before and before.has_secret else piece.secret
        if plain is not None or secret is not None:
            fresh.append(Stored(seq, StoredPiece(plain, secret)))
    return fresh


def _joined(stored: tuple[Stored, ...], new: Sequence[Stored]) -> tuple[Stored, ...]:
    if not stored or not new or stored[-1].seq < new[0].seq:
        return (*stored, *new)
    have = {row.seq: row for row in stored}
    for row in new:
        before = have.get(row.seq)
        plain = before.piece.plain if before else row.piece.plain
        have[row.seq] = Stored(row.seq, StoredPiece(plain, row.piece.secret))
    return tuple(have[seq] for seq in sorted(have))


def _comparable(
    held: StoredParts, kept: Pieces, at: list[int]
) -> tuple[list[StoredPiece], list[Stored]]:
    """Cautions of both, placed by how many of the answers every desk has stand before."""
    if not held.handled and not kept.handled:
        return [], []
    ends = [0, *(seq + 1 for seq in at)]
    readable = sorted(
        {answer.seq for answer in kept.answers if answer.piece.plain is not None}
        | {seq for seq, answer in zip(at, held.answers, strict=True) if answer.plain is not None}
    )

    def told(values: tuple[object, ...] | None) -> tuple[object, ...] | None:
        if values is None:
            return None
        end, *rest = values
        assert isinstance(end, int)
        return (bisect_left(readable, end), *rest)

    given = []
    for piece in held.handled:
        placed = _placed(ends[min(piece.after, len(at))], piece)
        given.append(StoredPiece(told(placed.plain), told(placed.secret)))
    stored = []
    mark: object = None
    for row in kept.handled:
        plain = row.piece.plain
        if plain and plain[1] == UNNAMED_STOP:
            # Earlier versions left a mark for every stop; now one is left where that changes.
            before, mark = mark, plain[2]
            plain = None if mark == before else plain
        shown = StoredPiece(told(plain), told(row.piece.secret))
        stored.append(Stored(row.seq, shown, row.unreadable))
    return given, stored


def insert_plain(connection: Connection, table: Any, call_id: int, new: Sequence[Stored]) -> None:
    """Insert what anybody may read of new answers, or of cautions, with its checksums."""
    if rows := _full(table, call_id, new):
        connection.execute(_INTO[table], rows)


def _full(table: Any, call_id: int, new: Sequence[Stored]) -> list[dict[str, Any]]:
    rows = [(call_id, row.seq, *row.piece.plain) for row in new if row.piece.plain is not None]
    names = table.columns.keys()
    return [dict(zip(names, (*row, check_of(*row)), strict=True)) for row in rows]


def _insert_health(
    connection: Connection, call_id: int, new: Sequence[tuple[str, Stored]], seal: Seal
) -> None:
    rows = []
    for kind, row in new:
        assert row.piece.secret is not None
        body = seal.close(body_of(row.piece.secret))
        check = check_of(call_id, kind, row.seq, body)
        own = {"call_id": call_id, "kind": kind, "seq": row.seq, "body": body, "check": check}
        rows.append(own)
    if rows:
        connection.execute(insert(health), rows)


def silent(row: dict[str, Any], at: datetime) -> bool:
    """Whether the screen that has a call open is dead."""
    heard = row["heartbeat"]
    return heard is None or not -AHEAD <= at.astimezone(UTC) - from_utc(heard) <= SILENT


def note_audit(connection: Connection, at: datetime, what: str, count: int) -> None:
    """Add a line to the audit, without personal data."""
    connection.execute(insert(audit).values(at=utc(at), what=what, count=count))


def _rename(connection: Connection, call_id: int, name: str) -> None:
    connection.execute(delete(words_table).where(words_table.c.call_id == call_id))
    rows = [{"word": word, "call_id": call_id} for word in words_of_name(name)]
    if rows:
        connection.execute(insert(words_table), rows)
