"""Where the records are, and paths as people type them. Loads no database."""

from __future__ import annotations

import os
import sqlite3
from contextlib import suppress
from pathlib import Path

import platformdirs

from consult import durable
from consult.durable import UnreadableError, read_file
from consult.paths import RECORDS, home_folder
from consult.records.errors import CannotKeep

RECOVERY = "recovery"
"""The folder of recovery files, beside the records or in this user's folder for state."""


def records_place(place: str | Path | None = None) -> str | Path:
    """Where the records are: what is given, else CONSULT_RECORDS, else what the file that
    CONSULT_RECORDS_FILE names holds, else the maker's folder in use, else this user's data
    folder."""
    chosen = place or os.environ.get("CONSULT_RECORDS") or _in_file()
    if chosen is None:
        home = home_folder()
        folder = Path(platformdirs.user_data_dir("consult")) if home is None else home / RECORDS
        return folder / "records.db"
    if isinstance(chosen, Path):
        return chosen
    kind, is_address, rest = chosen.partition("://")
    if is_address and not (kind.startswith("sqlite") and rest[1:]):
        return chosen
    return Path(rest[1:] if is_address else chosen)


def _in_file() -> str | None:
    file = os.environ.get("CONSULT_RECORDS_FILE")
    if not file:
        return None
    try:
        return read_file(Path(file), 10_000).decode("utf-8").strip() or None
    except (UnreadableError, ValueError) as error:
        message = f"The file {file} (CONSULT_RECORDS_FILE) cannot be read."
        raise CannotKeep(message) from error


def no_records(place: str | Path) -> str:
    """Why nothing can be read at a place, and what to do; '' where a file or a server is named
    that has to be opened to know."""
    path = _missing(place)
    if path is None:
        return ""
    why = " yet; the first call that is stored there makes them"
    if trace := _trace(path):
        why = f"; {trace} may be what is left of them"
    return (
        f"There are no records at {path}{why}. If calls should be there, restore a copy (consult "
        "records restore COPY), or name the right place with --records or CONSULT_RECORDS."
    )


def make_way(place: str | Path) -> str:
    """What to say before records are begun where earlier ones have left a trace; else ''.

    Their log is renamed: SQLite would delete it, and the file it belongs to may be found again.
    """
    path = _missing(place)
    trace = path and (set_log_aside(path) or _trace(path))
    if trace is None:
        return ""
    return (
        f"There were no records at {path}, so new ones were begun; {trace} may be what is left of "
        "earlier ones. If you miss calls, restore a copy: consult records restore COPY"
    )


def set_log_aside(path: Path) -> Path | None:
    """Rename the log of records that are gone; its name then, None where there is none."""
    with suppress(OSError):
        log = path.with_name(f"{path.name}-wal")
        if log.stat().st_size:
            return log.rename(free_name(log))
    return None


def free_name(path: Path) -> Path:
    """The first name beside a path that nothing set aside has taken yet."""
    number = 1
    while (aside := path.with_name(f"{path.name}.aside-{number}")).exists():
        number += 1
    return aside


def _missing(place: str | Path) -> Path | None:
    """The file of the records where it is not there, or was never written to."""
    if not isinstance(place, Path):
        return None
    path = home_path(place).absolute()
    with suppress(OSError):
        if not path.exists() or (path.is_file() and path.stat().st_size == 0):
            return path
    return None


def _trace(path: Path) -> Path | None:
    """What records that are gone have left beside them: a log, a copy, a recovery file."""
    with suppress(OSError):
        for file in sorted((*path.parent.iterdir(), *(path.parent / RECOVERY).glob("*"))):
            left = file.name.startswith(
                (f"{path.name}-wal", f"{path.name}.aside-", f".{path.name}.")
            )
            if left or file.parent.name == RECOVERY or _is_copy(file, path):
                return file
    return None


def _is_copy(file: Path, path: Path) -> bool:
    """Whether a file beside the place has records in it."""
    if file.suffix != ".db" or file == path:
        return False
    # SQLAlchemy, which nothing else here needs, nor a start with records that are there.
    from consult.records.file_connections import marks_of
    from consult.records.schema import APPLICATION_ID

    with suppress(sqlite3.Error):
        return marks_of(file)[0] == APPLICATION_ID
    return False


def home_path(typed: str | Path) -> Path:
    """A path with ``~`` or ``~name`` at its beginning as that home folder.

    ``CannotKeep`` where there is no such user: the shell hands on what it cannot fill in.
    """
    try:
        return Path(typed).expanduser()
    except RuntimeError as error:
        message = f"{typed} starts with a user name unknown on this machine. Type the whole path."
        raise CannotKeep(message) from error


def write_in_place(path: Path, content: str | bytes) -> None:
    """Write a file in one step, for this user only; makes a missing folder."""
    path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    if isinstance(content, str):
        content = content.replace("\n", os.linesep).encode("utf-8", "surrogatepass")
    durable.write_whole(path, content)
