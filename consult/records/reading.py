"""Read a stored call as values."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any, cast

from consult.call.call import Answer, Call, Handled
from consult.records.kept import STATUSES, Kept, Versions, from_utc
from consult.records.trouble import DAMAGED, Damaged

if TYPE_CHECKING:
    from consult.records.rows import Pieces


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
