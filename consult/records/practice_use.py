"""A call used for training: the caller's agreement is recorded, the file goes with the call."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.records.appending import note_audit
from consult.records.checksums import check_of
from consult.records.store import open_store

if TYPE_CHECKING:
    from datetime import date, datetime
    from pathlib import Path

    from consult.records.kept import Kept


def note_practice_use(
    place: str | Path, kept: Kept, path: Path, agreed: date, trainer: str, at: datetime
) -> None:
    """Record that the caller agreed on a day, and to whom, before the practice caller is written.

    The audit line names the call by the mark that an erased call leaves (``schema.erased``):
    anyone with the reference can prove the agreement, and nobody else learns whose it was.
    ``path`` is noted like a summary, so that erasing the call deletes it.
    """
    store = open_store(place)
    try:
        what = (
            f"practice caller made of call {check_of(kept.reference)}: the caller agreed on "
            f"{agreed.isoformat()}, trainer {trainer}"
        )
        with store.database.writing() as connection:
            note_audit(connection, at, what, 1)
        store.note_summary(kept.id, path, at)
    finally:
        store.close()
