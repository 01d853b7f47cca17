"""Add recovery files to the records, each answer once; a conflict stores both sides."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import date
from typing import TYPE_CHECKING, Any

from sqlalchemy import insert, select

from consult.call.call import Call
from consult.records.appending import add_pieces, append_in, begin_in, silent
from consult.records.call_snapshot import has_secrets
from consult.records.engine import mark_unscrubbed
from consult.records.errors import CannotKeep, Conflict, RecordsTrouble
from consult.records.kept import check_of, from_utc, new_reference
from consult.records.recovery_file import LOCKED, claim, files_in, read_spill
from consult.records.rows import call_row, erase_health, found_number, read_pieces, rewrite_call
from consult.records.schema import calls, erased, summaries

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime
    from pathlib import Path

    from sqlalchemy.engine import Connection

    from consult.records.encryption import Seal
    from consult.records.recovery_file import Spilled
    from consult.records.store import Store


@dataclass
class Merged:
    """What was added to the records."""

    calls: int = 0
    told: list[str] = field(default_factory=list)
    """Messages for the adviser: files that had to wait, calls stored twice."""


def merge_spilled(
    store: Store, folders: Sequence[Path], at: datetime, other_keys: Sequence[Seal] = ()
) -> Merged:
    """Add every recovery file to the records; a file that cannot be added stays, with a message.

    Health in a file that was encrypted with another key goes in where that is among
    ``other_keys``; else the rest goes in, and the file waits for its key.
    """
    done = Merged()
    for path in files_in(folders):
        _merge_file(store, path, (store.seal, *other_keys), at, done)
    return done


def _merge_file(
    store: Store, path: Path, seals: Sequence[Seal], at: datetime, done: Merged
) -> None:
    try:
        claimed = claim(path)
        spilled, trouble = read_spill(claimed, seals)
        if has_secrets(spilled.held) and store.key_trouble:
            trouble = store.key_trouble
        if trouble and path.suffix == LOCKED:
            done.told.append(_waits(spilled, trouble))
        elif path.suffix == LOCKED and _complete(store, spilled):
            claimed.unlink(missing_ok=True)
            done.calls += 1
        elif _merge(store, spilled, at, done):
            if trouble:
                claimed.replace(claimed.with_suffix(LOCKED))
                done.told.append(_waits(spilled, trouble))
            else:
                claimed.unlink(missing_ok=True)
    except FileNotFoundError:
        # Another desk put it back at this very moment.
        return
    except OSError as error:
        done.told.append(str(CannotKeep(f"The recovery file {path} cannot be read ({error}).")))
    except RecordsTrouble as trouble:
        done.told.append(
            f"{trouble} The recovery file {path.name} will be tried again at the next start."
        )


def _waits(spilled: Spilled, trouble: str) -> str:
    return (
        f"Health answers of call {spilled.reference} are still in a recovery file. {trouble} To "
        "add them with their own key: consult records recover --key-file FILE"
    )


def _complete(store: Store, spilled: Spilled) -> bool:
    """Add the health answers of a call whose other answers are in the records.

    Whether that is done. Without consent now, there is nothing to add.
    """
    with store.database.writing() as connection:
        store.health_trouble(connection)
        row = _row_of(connection, spilled)
        if row is None:
            return False
        if row["consent"] is not True:
            return True
        kept = read_pieces(connection, row, store.seal)
        beginning = replace(spilled.held, caller_name=row["caller_name"], consent=True)
        added = add_pieces(
            connection, row | {"floor": 0}, kept, beginning, store.seal, further=True
        )
        if added is None:
            return False
        rewrite_call(connection, row, health_count=added.health_rows)
    return True


def _merge(store: Store, spilled: Spilled, at: datetime, done: Merged) -> bool:
    """Whether the file is dealt with."""
    origin = f"{spilled.name}:{check_of(spilled.held)}"
    wiped = 0
    with store.database.writing() as connection:
        gone = select(erased.c.mark).where(erased.c.mark == check_of(spilled.reference))
        copy = select(calls.c.id).where(calls.c.origin == origin)
        if connection.scalar(gone) is not None or connection.scalar(copy) is not None:
            return True
        row = _row_of(connection, spilled)
        if row is None:
            row = _begin(connection, spilled, spilled.reference, None)
        elif row["open_by"] not in (None, spilled.token) and not silent(row, at):
            done.told.append(
                f"Call {spilled.reference} is open with {row['adviser'] or 'another screen'}; "
                "its recovery file is added when that screen closes it."
            )
            return False
        try:
            with connection.begin_nested():
                wiped = _add(store, connection, row, spilled)
        except Conflict:
            if spilled.held.consent is False:
                wiped = erase_health(connection, [row["id"]])
                mark_unscrubbed(connection, in_place=True)
                rewrite_call(connection, row, health_count=0)
            row = _begin(connection, spilled, new_reference(), origin)
            _add(store, connection, row, spilled)
            done.told.append(
                f"Call {spilled.reference} was continued in two places. Both are stored: the one "
                f"from the recovery file is now call {row['reference']}."
            )
        for path in spilled.summaries:
            _note(connection, row["id"], path, spilled.at)
        _close(connection, row["id"], spilled, at)
        done.calls += 1
    if wiped:
        store.copies_remain = not store.wipe()
    return True


def _row_of(connection: Connection, spilled: Spilled) -> dict[str, Any] | None:
    number = found_number(connection, spilled.reference)
    return None if number is None else call_row(connection, number, lock=True)


def _begin(
    connection: Connection, spilled: Spilled, reference: str, origin: str | None
) -> dict[str, Any]:
    system: Any = spilled.system
    call = Call(date.fromisoformat(spilled.today), system, spilled.country)
    begun = from_utc(spilled.begun_at)
    opened = begin_in(connection, call, spilled.versions, spilled.adviser, begun, reference, origin)
    row = call_row(connection, opened.id)
    assert row is not None
    rewrite_call(connection, row, open_by=spilled.token)
    return row


def _add(store: Store, connection: Connection, row: dict[str, Any], spilled: Spilled) -> int:
    """How much health that erased."""
    kept = read_pieces(connection, row, store.seal)
    held, at = spilled.held, from_utc(spilled.at)
    trouble = store.health_trouble(connection)
    return append_in(connection, dict(row), kept, held, at, store.seal, trouble).erased


def _close(connection: Connection, call_id: int, spilled: Spilled, at: datetime) -> None:
    """Leave the call for the desk that wrote the file, unless it has left or is gone."""
    row = call_row(connection, call_id)
    assert row is not None
    if row["open_by"] == spilled.token and (spilled.status != "open" or silent(row, at)):
        status = "held" if spilled.status == "open" else spilled.status
        rewrite_call(connection, row, status=status, open_by=None, open_since=None, heartbeat=None)


def _note(connection: Connection, call_id: int, path: str, at: str) -> None:
    same = (summaries.c.call_id == call_id) & (summaries.c.path == path)
    if connection.scalar(select(summaries.c.id).where(same)) is None:
        values = {"call_id": call_id, "path": path, "written_at": at}
        connection.execute(insert(summaries).values(values))
