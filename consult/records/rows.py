"""The rows of calls: read and proved by their checksums, rewritten, and health erased."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeVar

from sqlalchemy import bindparam, delete, func, select

from consult.records.call_snapshot import Stored, StoredPiece
from consult.records.encryption import values_in
from consult.records.errors import DAMAGED, Damaged, NoKey, NoSuchCall, OpenElsewhere
from consult.records.kept import as_reference, check_of, from_utc
from consult.records.schema import answers, calls, handled, health

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from sqlalchemy.engine import Connection

    from consult.records.encryption import Seal

_CHECKED = (
    *("reference", "started_at", "today", "system", "country", "tree", "tree_version", "range"),
    *("range_version", "population", "population_version", "caller_name", "status", "consent"),
    *("answer_count", "handled_count", "health_count", "floor", "updated_at"),
)


@dataclass(frozen=True, slots=True)
class Pieces:
    """The stored answers and cautions of a call."""

    answers: tuple[Stored, ...]
    handled: tuple[Stored, ...]
    health_rows: int
    trouble: str
    """Why some of it cannot be read here; '' if all of it can."""

    @property
    def end(self) -> int:
        """The first place after everything, answers included that were not kept."""
        places_told = [answer.seq + 1 for answer in self.answers]
        for stored in self.handled:
            row = stored.piece.plain or stored.piece.secret
            if row and isinstance(row[0], int):
                places_told.append(row[0])
        return max(places_told, default=0)


def call_check(values: dict[str, Any]) -> str:
    """The check of a row of ``calls``."""
    return check_of(*(values[name] for name in _CHECKED))


def found_number(connection: Connection, reference: str) -> int | None:
    """The number of the call with a reference; None where there is none."""
    wanted = calls.c.reference == as_reference(reference)
    number: int | None = connection.scalar(select(calls.c.id).where(wanted))
    return number


def elsewhere(row: dict[str, Any]) -> OpenElsewhere:
    """With whom a call is open, and since when."""
    since = from_utc(row["open_since"]).astimezone().strftime("%Y-%m-%d %H:%M")
    return OpenElsewhere(row["reference"], row["adviser"], since)


def call_number(connection: Connection, reference: str) -> int:
    """The same; ``NoSuchCall`` where there is none."""
    number = found_number(connection, reference)
    if number is None:
        raise NoSuchCall(
            f"No call with the reference {reference} is stored here. Check the reference."
        )
    return number


def call_row(connection: Connection, call_id: int, *, lock: bool = False) -> dict[str, Any] | None:
    """The row of a call, proved; None where there is none."""
    query = select(calls).where(calls.c.id == call_id)
    mapping = connection.execute(query.with_for_update() if lock else query).mappings().first()
    return None if mapping is None else _proved_row(dict(mapping))


def _proved_row(row: dict[str, Any]) -> dict[str, Any]:
    if row["check"] != call_check(row):
        raise Damaged(DAMAGED)
    return row


def rewrite_call(connection: Connection, row: dict[str, Any], **changed: object) -> None:
    """Change a row of ``calls``, its check with it."""
    row |= changed
    row["check"] = call_check(row)
    values = {name: row[name] for name in (*changed, "check")}
    connection.execute(calls.update().where(calls.c.id == row["id"]).values(values))


def read_pieces(connection: Connection, row: dict[str, Any], seal: Seal) -> Pieces:
    """The pieces of a call, each proved, none missing."""
    own = [
        connection.execute(_ordered(table).where(table.c.call_id == row["id"])).all()
        for table in (answers, handled, health)
    ]
    return _proved(row, own, seal)


def read_calls(
    connection: Connection, after: int, seal: Seal, most: int = 500
) -> list[tuple[dict[str, Any], Pieces | None]]:
    """The next calls after a number, many at a time; None for the pieces of a damaged one."""
    query = select(calls).where(calls.c.id > after).order_by(calls.c.id).limit(most)
    rows = [dict(mapping) for mapping in connection.execute(query).mappings()]
    if not rows:
        return []
    by_table: list[dict[int, list[Sequence[Any]]]] = []
    for table in (answers, handled, health):
        place = list(table.c.keys()).index("call_id")
        by_call: dict[int, list[Sequence[Any]]] = {}
        within = table.c.call_id.between(rows[0]["id"], rows[-1]["id"])
        for values in connection.execute(_ordered(table).where(within)).all():
            by_call.setdefault(values[place], []).append(values)
        by_table.append(by_call)
    read: list[tuple[dict[str, Any], Pieces | None]] = []
    for row in rows:
        own = [by_call.get(row["id"], []) for by_call in by_table]
        try:
            read.append((_proved_row(row), _proved(row, own, seal)))
        except (Damaged, ValueError, TypeError, LookupError):
            read.append((row, None))
    return read


def _ordered(table: Any) -> Any:
    return select(table).order_by(table.c.id) if table is health else select(table)


def _proved(row: dict[str, Any], own: Sequence[Sequence[Any]], seal: Seal) -> Pieces:
    """The pieces of a call out of its rows in the tables of answers, cautions and health."""
    answer_rows, handled_rows, health_rows = own
    plain_answers, plain_handled = _plain(answer_rows), _plain(handled_rows)
    secrets: dict[tuple[str, int], tuple[object, ...] | None] = {}
    trouble = ""
    for _, call_id, kind, seq, body, check in health_rows:
        if not body.strip(b"\0"):
            continue
        if check != check_of(call_id, kind, seq, body):
            raise Damaged(DAMAGED)
        try:
            secrets[kind, seq] = values_in(seal.open(body))
        except NoKey as error:
            secrets[kind, seq] = None
            trouble = str(error)
    counts = (row["answer_count"], row["handled_count"], row["health_count"])
    if counts != (len(plain_answers), len(plain_handled), len(secrets)):
        raise Damaged(DAMAGED)
    given = plain_answers.keys() | {seq for kind, seq in secrets if kind == "answer"}
    dealt = plain_handled.keys() | {seq for kind, seq in secrets if kind == "handled"}
    return Pieces(
        tuple(_stored(seq, plain_answers.get(seq), secrets, "answer") for seq in sorted(given)),
        tuple(_stored(seq, plain_handled.get(seq), secrets, "handled") for seq in sorted(dealt)),
        len(secrets),
        trouble,
    )


def _plain(rows: Sequence[Sequence[Any]]) -> dict[int, tuple[object, ...]]:
    by_seq: dict[int, tuple[object, ...]] = {}
    for values in rows:
        if values[-1] != check_of(*values[:-1]):
            raise Damaged(DAMAGED)
        by_seq[values[1]] = tuple(values[2:-1])
    return by_seq


def _stored(
    seq: int,
    plain: tuple[object, ...] | None,
    secrets: dict[tuple[str, int], tuple[object, ...] | None],
    kind: str,
) -> Stored:
    secret = secrets.get((kind, seq))
    return Stored(seq, StoredPiece(plain, secret), (kind, seq) in secrets and secret is None)


_Call = TypeVar("_Call", int, tuple[int, str])
_AT_ONCE = 500
"""Calls in one statement: databases have a limit, and a statement for each takes far longer."""


def lots(every: Sequence[_Call]) -> Iterator[Sequence[_Call]]:
    """Calls, as many as one statement takes."""
    return (every[at : at + _AT_ONCE] for at in range(0, len(every), _AT_ONCE))


def erase_health(connection: Connection, call_ids: Sequence[int]) -> int:
    """Take the health of calls off the tables; how many answers that were.

    In a SQLite file they are overwritten where they stand: a row that is removed makes SQLite move
    its neighbours, and it leaves copies of what it moves.
    """
    count = health_of(connection, call_ids)
    for lot in lots(call_ids):
        own = health.c.call_id.in_(lot)
        if connection.dialect.name == "sqlite":
            empty = func.zeroblob(func.length(health.c.body))
            connection.execute(health.update().where(own).values(body=empty, check="0" * 16))
        else:
            connection.execute(delete(health).where(own))
    return count


def bare_calls(connection: Connection, call_ids: Sequence[int]) -> int:
    """Take their health off calls, and write that in their rows; how many answers that were."""
    count = 0
    for lot in lots(call_ids):
        query = select(calls).where(calls.c.id.in_(lot)).order_by(calls.c.id).with_for_update()
        rows = [_proved_row(dict(mapping)) for mapping in connection.execute(query).mappings()]
        count += erase_health(connection, [row["id"] for row in rows])
        if rows:
            changed = calls.update().where(calls.c.id == bindparam("of"))
            connection.execute(
                changed.values(health_count=0, check=bindparam("new")),
                [{"of": row["id"], "new": call_check(row | {"health_count": 0})} for row in rows],
            )
    return count


def health_of(connection: Connection, call_ids: Sequence[int]) -> int:
    """How many health answers are kept of calls."""
    count = 0
    for lot in lots(call_ids):
        bodies = connection.scalars(select(health.c.body).where(health.c.call_id.in_(lot)))
        count += sum(bool(body.strip(b"\0")) for body in bodies)
    return count
