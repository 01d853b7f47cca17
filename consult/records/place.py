"""Where the records are. Apart from opening them, so that asking loads no database."""

from __future__ import annotations

import os
from pathlib import Path

import platformdirs


def records_place(place: str | Path | None = None) -> str | Path:
    """Where the records are: what is given, else CONSULT_RECORDS, else this user's data folder."""
    chosen = place or os.environ.get("CONSULT_RECORDS")
    if chosen is None:
        return Path(platformdirs.user_data_dir("consult")) / "records.db"
    if isinstance(chosen, Path) or "://" in chosen:
        return chosen
    return Path(chosen)
