"""What can go wrong with kept calls, each as one plain sentence for the adviser."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager


class RecordsTrouble(Exception):  # noqa: N818 - it is shown, not only raised
    """Anything wrong with the kept calls; its text can be shown as it is."""


class CannotKeep(RecordsTrouble):
    """The records cannot be reached or written just now; it may pass."""


class Damaged(RecordsTrouble):
    """What is read back is not what was written."""


class Newer(RecordsTrouble):
    """The records were written by a newer version and are left untouched."""


class NotRecords(RecordsTrouble):
    """The file or address holds something else and is left untouched."""


class NoSuchCall(RecordsTrouble):
    """No call has that reference."""


class OpenElsewhere(RecordsTrouble):
    """Somebody else has the call open."""

    def __init__(self, reference: str, who: str, since: str) -> None:
        super().__init__(
            f"Call {reference} is open with {who or 'another desk'} since {since}. "
            "Ask them to put it on hold, or take it over."
        )
        self.who = who
        self.since = since


class Conflict(RecordsTrouble):
    """The call was gone on with elsewhere; nothing of either side was changed."""

    def __init__(self, reference: str) -> None:
        super().__init__(
            f"Call {reference} was gone on with at another desk since it was opened here. "
            "Open it again to see what was added."
        )


class NoKey(RecordsTrouble):
    """Health answers are encrypted and cannot be read or written here."""


DAMAGED = (
    "The kept calls are damaged and cannot be read in full. Ask whoever looks after this machine "
    "to put back a backup."
)
_SQLITE = {
    "FULL": "The disk is full, so the call cannot be kept in the records.",
    "BUSY": "Another program is holding the records, so the call cannot be kept there just now.",
    "LOCKED": "Another program is holding the records, so the call cannot be kept there just now.",
    "READONLY": "The records may only be read, not written, by this user.",
    "CANTOPEN": "The file of the records is gone or may not be opened.",
    "IOERR": "The disk refuses to read or write the records.",
    "PERM": "This user may not open the records.",
    "AUTH": "This user may not open the records.",
}


@contextmanager
def plainly() -> Iterator[None]:
    """Turn whatever the database or the disk says into a RecordsTrouble.

    A value that no writer of ours writes (a day that is no day, half a character) is damage too.
    """
    from sqlalchemy.exc import SQLAlchemyError

    try:
        yield
    except RecordsTrouble:
        raise
    except OSError as error:
        raise CannotKeep(f"The disk refuses the records ({error.strerror or error}).") from error
    except SQLAlchemyError as error:
        raise translated(getattr(error, "orig", None) or error) from error
    except (ValueError, TypeError, LookupError, ArithmeticError) as error:
        raise Damaged(DAMAGED) from error
    except Exception as error:
        # The drivers' own errors, where they are not reached through SQLAlchemy.
        if type(error).__module__.partition(".")[0] not in ("sqlite3", "psycopg"):
            raise
        raise translated(error) from error


def translated(error: BaseException) -> RecordsTrouble:
    """The trouble behind a database error."""
    name: str = getattr(error, "sqlite_errorname", "") or ""
    kind = name.split("_")[1] if "_" in name else ""
    if kind in _SQLITE:
        return CannotKeep(_SQLITE[kind])
    if type(error).__module__.startswith("psycopg"):
        if getattr(error, "sqlstate", None) == "55P03":
            return CannotKeep(_SQLITE["BUSY"])
        if getattr(error, "sqlstate", None) in ("53100", "53200"):
            return CannotKeep("The disk of the shared records is full, so the call cannot be kept.")
        if str(getattr(error, "sqlstate", "")).startswith("23"):
            return Damaged(DAMAGED)
        if type(error).__name__ in ("DataError", "InternalError_", "ProgrammingError"):
            return Damaged(DAMAGED)
        return CannotKeep("The shared records cannot be reached just now.")
    return Damaged(DAMAGED)
