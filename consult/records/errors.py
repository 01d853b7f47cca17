"""Errors of stored calls, each with a message for the adviser."""

from __future__ import annotations

import errno
import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from consult.problems import CannotDoError


class RecordsTrouble(CannotDoError):  # noqa: N818 - it is shown, not only raised
    """An error of the records; its text can be shown as it is."""


class CannotKeep(RecordsTrouble):
    """The records cannot be reached or written now; it may pass."""


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
            f"Call {reference} has been open with {who or 'another screen'} since {since}. Ask "
            "them to put it on hold, or take it over."
        )
        self.who = who
        self.since = since


class Conflict(RecordsTrouble):
    """The call was gone on with elsewhere; nothing of either side was changed."""

    def __init__(self, reference: str) -> None:
        super().__init__(
            f"Call {reference} was continued on another screen after you opened it. Open it "
            "again to see what was added."
        )


class NoKey(RecordsTrouble):
    """Health answers are encrypted and cannot be read or written here."""


DAMAGED = (
    "The stored calls are damaged and cannot all be read. Ask the person who looks after this "
    "machine to restore a backup."
)
_HELD = (
    "Another program is using the records. Wait a moment. If it does not help, close that program."
)
_FULL = "The disk of {folder} is full. Nothing can be stored until you make room on it."
_READ_ONLY = (
    "The disk of {folder} is read-only. Ask the person who looks after this machine to change that."
)
_GONE = (
    "{path} no longer exists. Restore it, or name another place with --records or CONSULT_RECORDS."
)
_NO_FOLDER = "The folder {folder} no longer exists. Restore it, or connect its drive."
_FORBIDDEN = (
    "You may not write to {path}. Ask the person who looks after this machine to allow it, or "
    "name another place."
)
_BROKEN_DISK = (
    "The disk of {folder} cannot be read or written. Check the disk, then restore a backup."
)
_OF_DISK = {
    errno.ENOSPC: _FULL,
    errno.EDQUOT: _FULL,
    errno.EROFS: _READ_ONLY,
    errno.EACCES: _FORBIDDEN,
    errno.EPERM: _FORBIDDEN,
    errno.EIO: _BROKEN_DISK,
    errno.ENAMETOOLONG: "The name of {path} is too long.",
    errno.ELOOP: "{path} is a link that leads back to itself.",
    errno.EISDIR: "{path} is a folder. Name a file.",
    errno.ENOTDIR: "{folder} is no folder.",
}
_SERVER = (
    # What PostgreSQL says before it names a state; sources: its error codes and auth.c.
    ("password authentication failed", "28P01"),
    ("no password supplied", "NO PASSWORD"),
    ("does not exist", "3D000"),
    ("pg_hba.conf", "28000"),
    ("permission denied", "42501"),
    ("too many clients", "53300"),
    ("too many connections", "53300"),
    ("starting up", "57P03"),
    ("shutting down", "57P03"),
)
_PLACE = "CONSULT_RECORDS, or the file CONSULT_RECORDS_FILE names"
_STATES = {
    "28P01": (
        "The server of the shared records refuses the user's name or the password. Correct them in "
        f"{_PLACE}."
    ),
    "NO PASSWORD": (
        "The server of the shared records asks for a password, and their address has none. Put it "
        f"into {_PLACE}."
    ),
    "28000": (
        "The server of the shared records does not let this user or machine in. Ask the person "
        "who looks after the server to allow it."
    ),
    "3D000": (
        "The server has no such database. Correct its name in the address of the records, or "
        "ask the person who looks after the server to create it."
    ),
    "ROLE": (
        "The server of the shared records has no such user. Correct the name in the address of "
        "the records, or ask the person who looks after the server to create it."
    ),
    "42501": (
        "The user of the shared records has no rights to them. Ask the person who looks after "
        "the server to grant them."
    ),
    "53300": (
        "The server of the shared records has no free connection. Close call screens that are "
        "not in use."
    ),
    "57P03": "The server of the shared records is starting or stopping. Wait a moment.",
    "57P01": "The server of the shared records is starting or stopping. Wait a moment.",
    "25006": (
        "The shared records are read-only, so nothing can be stored. Ask the person who looks "
        "after the server."
    ),
    "53100": (
        "The disk of the shared records is full. Ask the person who looks after the server to "
        "make room."
    ),
    "55P03": _HELD,
}
NOT_OWNER = (
    "This user may not clean the tables of the shared records, so what was deleted may remain in "
    "their unused parts. Ask the owner of the tables to run: consult records where."
)
_UNREACHABLE = (
    "The server of the shared records cannot be reached. Check the network and the address, or "
    "ask the person who looks after the server whether it is running."
)


@contextmanager
def plainly(path: Path | None = None) -> Iterator[None]:
    """Turn errors of the database or the disk into RecordsTrouble.

    ``path`` is the file of the records. A value that no writer of ours writes (a day that is no
    day, half a character) is damage too.
    """
    from sqlalchemy.exc import SQLAlchemyError

    try:
        yield
    except RecordsTrouble:
        raise
    except OSError as error:
        where = Path(error.filename) if isinstance(error.filename, str) else path
        raise CannotKeep(disk_trouble(error, where)) from error
    except SQLAlchemyError as error:
        raise translated(getattr(error, "orig", None) or error, path) from error
    except (ValueError, TypeError, LookupError, ArithmeticError) as error:
        raise Damaged(DAMAGED) from error
    except Exception as error:
        # The drivers' own errors, where they are not reached through SQLAlchemy.
        if type(error).__module__.partition(".")[0] not in ("sqlite3", "psycopg"):
            raise
        raise translated(error, path) from error


def disk_trouble(error: OSError, path: Path | None) -> str:
    """An error of the disk as a message."""
    unknown = f"{{path}} cannot be used ({error.strerror or error})."
    message = _OF_DISK.get(error.errno or 0, unknown)
    if error.errno == errno.ENOENT:
        message = _GONE if path is None or path.parent.exists() else _NO_FOLDER
    return _named(message, path)


def translated(error: BaseException, path: Path | None = None) -> RecordsTrouble:
    """The trouble behind a database error."""
    name: str = getattr(error, "sqlite_errorname", "") or ""
    if name:
        message = _sqlite(name, path)
        return CannotKeep(message) if message else Damaged(DAMAGED)
    if type(error).__module__.startswith("psycopg"):
        return _shared(error)
    return Damaged(DAMAGED)


def _sqlite(name: str, path: Path | None) -> str:
    """In words what SQLite names an error; '' where the records are damaged."""
    kind = name.split("_")[1] if "_" in name else ""
    if kind in ("BUSY", "LOCKED"):
        return _HELD
    if kind not in ("FULL", "READONLY", "CANTOPEN", "IOERR", "PERM", "AUTH"):
        return ""
    if kind == "FULL" or path is None:
        message = _FULL if kind == "FULL" else _BROKEN_DISK
    elif not path.parent.exists():
        message = _NO_FOLDER
    elif not path.exists():
        message = _GONE
    elif _is_read_only(path):
        message = _READ_ONLY
    elif _is_full(path):
        # SQLite had no room for the index of its log, and calls that an input or output error.
        message = _FULL
    else:
        # Its folder, too: SQLite keeps its log beside the file.
        allowed = all(os.access(place, os.R_OK | os.W_OK) for place in (path, path.parent))
        message = _BROKEN_DISK if allowed else _FORBIDDEN
    return _named(message, path)


def _named(message: str, path: Path | None) -> str:
    place = "the records"
    return message.format(path=path or place, folder=path.parent if path else place)


_ROOM = 64 * 1024
"""Bytes: more than SQLite asks for at once."""


def _is_full(path: Path) -> bool:
    with suppress(OSError, AttributeError):
        disk = os.statvfs(path.parent)
        return disk.f_bavail * disk.f_frsize < _ROOM or (disk.f_files > 0 == disk.f_favail)
    return False


def _is_read_only(path: Path) -> bool:
    with suppress(OSError, AttributeError):
        return bool(os.statvfs(path).f_flag & os.ST_RDONLY)
    return False


def _shared(error: BaseException) -> RecordsTrouble:
    """The trouble behind an error of PostgreSQL."""
    state = getattr(error, "sqlstate", None)
    if state is None:
        # The server refused the connection: its driver has words alone.
        words = str(error)
        state = next((state for phrase, state in _SERVER if phrase in words), "")
        if state == "3D000" and 'role "' in words:
            state = "ROLE"
    if state in _STATES:
        return CannotKeep(_STATES[state])
    if state.startswith("23") or type(error).__name__ in (
        *("DataError", "InternalError_", "ProgrammingError", "UndefinedTable"),
    ):
        return Damaged(DAMAGED)
    return CannotKeep(_UNREACHABLE)
