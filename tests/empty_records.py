"""Empty records from a ready file: to make the tables anew takes longer than most tests need."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from consult.records.store import open_store


@cache
def _made() -> bytes:
    with TemporaryDirectory() as folder:
        file = Path(folder) / "records.db"
        open_store(file).close()
        return file.read_bytes()


def put_empty_records(file: Path) -> None:
    """As ``open_store`` makes them where there are none: nobody else may read them."""
    file.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    file.touch(0o600)
    file.write_bytes(_made())
