"""Where the records are; loads no database."""

from __future__ import annotations

import os
from pathlib import Path

import platformdirs

from consult.in_file import UnreadableError, read_file
from consult.paths import RECORDS, home_folder
from consult.records.trouble import CannotKeep


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
