"""Where the records are, and paths as people type them. Loads no database."""

from __future__ import annotations

import os
from pathlib import Path

import platformdirs

from consult import durable
from consult.durable import UnreadableError, read_file
from consult.paths import RECORDS, home_folder
from consult.records.errors import CannotKeep


def records_place(place: str | Path | None = None) -> str | Path:
    """Where the records are: what is given, else CONSULT_RECORDS, else what the file that
    CONSULT_RECORDS_FILE names holds, else the maker's folder in use, else this user's data
    folder."""
    chosen = place or os.environ.get("CONSULT_RECORDS") or _in_file()
    if chosen is None:
        home = home_folder()
        folder = Path(platformdirs.user_data_dir("consult")) if home is None else home / RECORDS
        return folder / "records.db"
    if isinstance(chosen, Path) or "://" in chosen:
        return chosen
    return Path(chosen)


def _in_file() -> str | None:
    file = os.environ.get("CONSULT_RECORDS_FILE")
    if not file:
        return None
    try:
        return read_file(Path(file), 10_000).decode("utf-8").strip() or None
    except (UnreadableError, ValueError) as error:
        said = f"The file {file} (CONSULT_RECORDS_FILE) cannot be read."
        raise CannotKeep(said) from error


def home_path(typed: str | Path) -> Path:
    """A path with ``~`` or ``~name`` at its beginning as that home folder.

    ``CannotKeep`` where there is no such user: the shell hands on what it cannot fill in.
    """
    try:
        return Path(typed).expanduser()
    except RuntimeError as error:
        said = f"{typed} starts with a user name unknown on this machine. Type the whole path."
        raise CannotKeep(said) from error


def write_whole(path: Path, content: str | bytes) -> None:
    """Write a file in one step, for this user only; makes a missing folder."""
    path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    durable.write_whole(path, content if isinstance(content, bytes) else _encoded(content))


def _encoded(text: str) -> bytes:
    return text.replace("\n", os.linesep).encode("utf-8", "surrogatepass")
