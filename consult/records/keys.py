"""The key of the records: set, changed, and known again by its proof.

The proof is read inside every transaction that writes, because another desk may set or change the
key at any moment.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sqlalchemy import LargeBinary, delete, func, insert, literal, select, text

from consult.records.appending import note_audit
from consult.records.encryption import MISSING, PLAIN, WRONG_KEY, Seal
from consult.records.engine import mark_unscrubbed
from consult.records.errors import NoKey
from consult.records.kept import check_of
from consult.records.rows import bare_calls
from consult.records.schema import KEY_PROOF, health, meta, noted

if TYPE_CHECKING:
    from datetime import datetime

    from sqlalchemy.engine import Connection

    from consult.records.engine import Database

_KEY_LOCK = 0x636E736D
"""The PostgreSQL lock of writers (shared) and of a change of key (exclusive)."""


@dataclass(frozen=True, slots=True)
class KeyState:
    """The key of the records beside that of this screen, in one transaction."""

    proof: str
    """What the key of the records is known by; '' where they have none."""
    trouble: str
    """Why health must not be written; '' where it may be."""
    is_new: bool = False
    """Whether the key of this screen became that of the records just now."""


def key_state(connection: Connection, seal: Seal) -> KeyState:
    """Whether health may be written with this seal in this transaction.

    Until the transaction ends nobody else sets or changes the key. A key given first becomes that
    of the records, and encrypts what is there.
    """
    _hold_key(connection, alone=False)
    proof = noted(connection, KEY_PROOF)
    if proof is None and seal.key is not None:
        _hold_key(connection, alone=True)
        proof = noted(connection, KEY_PROOF)
        if proof is None:
            set_key(connection, Seal(), seal)
            return KeyState(noted(connection, KEY_PROOF) or "", "", is_new=True)
    if proof is None or seal.proves(proof):
        return KeyState(proof or "", seal.trouble)
    return KeyState(proof, seal.trouble or (MISSING if seal.key is None else WRONG_KEY))


def settle_key(database: Database, seal: Seal) -> tuple[bool, str]:
    """Whether the records are encrypted, and why health cannot be used with this seal.

    With the right key everything that is unencrypted is encrypted, no matter who wrote it.
    """
    with database.reading() as connection:
        proof = noted(connection, KEY_PROOF)
        due = seal.key is not None and (proof is None or bool(plain_rows(connection)))
        if not due:
            right = proof is None or seal.proves(proof)
            wrong = "" if right else MISSING if seal.key is None else WRONG_KEY
            return proof is not None, seal.trouble or wrong
    with database.writing() as connection:
        trouble = key_state(connection, seal).trouble
        if not trouble and plain_rows(connection):
            _reseal(connection, seal, seal)
    return True, trouble


def plain_rows(connection: Connection) -> dict[int, int]:
    """Health answers that stand in plain: how many of each call."""
    first = func.substr(health.c.body, 1, 1, type_=LargeBinary)
    query = select(health.c.call_id, func.count().label("plain")).where(
        first == literal(PLAIN, LargeBinary)
    )
    result = connection.execute(query.group_by(health.c.call_id))
    return {row.call_id: row.plain for row in result}


def change_key(database: Database, old: Seal, new: Seal) -> int:
    """Make ``new`` the key of the records in one step; how many answers were encrypted anew.

    Killed before that step the old key is theirs, after it the new one, never both. ``NoKey``
    where ``old`` is not their key. A desk still running with the old key goes on without health.
    """
    with database.writing() as connection:
        _hold_key(connection, alone=True)
        if trouble := key_state(connection, old).trouble:
            raise NoKey(trouble)
        return set_key(connection, old, new)


def replace_lost_key(database: Database, new: Seal, at: datetime) -> int:
    """Give records whose key is lost a new one; how many health answers that erased.

    What was encrypted with the lost key can be read by nobody.
    """
    with database.writing() as connection:
        _hold_key(connection, alone=True)
        count = bare_calls(connection, sorted({*connection.scalars(select(health.c.call_id))}))
        note_audit(connection, at, "health answers erased, their key was lost", count)
        mark_unscrubbed(connection, in_place=True)
        set_key(connection, Seal(), new)
    return count


def set_key(connection: Connection, old: Seal, new: Seal) -> int:
    """Encrypt everything with ``new`` and prove it; how many answers that were.

    ``NoKey`` where an answer cannot be read with ``old``; undo the change then.
    """
    _hold_key(connection, alone=True)
    count = _reseal(connection, old, new)
    connection.execute(delete(meta).where(meta.c.name == KEY_PROOF))
    connection.execute(insert(meta).values(name=KEY_PROOF, value=new.proof()))
    return count


def _reseal(connection: Connection, old: Seal, new: Seal) -> int:
    """Encrypt with ``new`` what is not yet; the unencrypted bytes are then wiped off the file."""
    count = 0
    for row in connection.execute(select(health)).all():
        if not row.body.strip(b"\0") or (old is new and row.body[:1] != PLAIN):
            continue
        body = new.close(old.open(row.body))
        check = check_of(row.call_id, row.kind, row.seq, body)
        own = health.c.id == row.id
        connection.execute(health.update().where(own).values(body=body, check=check))
        count += 1
    if count:
        mark_unscrubbed(connection)
    return count


def _hold_key(connection: Connection, *, alone: bool) -> None:
    # In a SQLite file there is one writer at a time.
    if connection.dialect.name == "postgresql":
        lock: Any = "pg_advisory_xact_lock" if alone else "pg_advisory_xact_lock_shared"
        connection.execute(text(f"SELECT {lock}({_KEY_LOCK})"))
