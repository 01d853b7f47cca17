"""Records from a ready file: to make tables or many calls anew takes longer than most tests do."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from consult.records.store import Store, open_store

Fill = Callable[[Store], object]


@cache
def _made(fill: Fill) -> bytes:
    with TemporaryDirectory() as folder:
        file = Path(folder) / "records.db"
        store = open_store(file)
        fill(store)
        store.close()
        return file.read_bytes()


def _nothing(_: Store) -> None:
    """Empty records."""


def put_records(file: Path, fill: Fill = _nothing) -> None:
    """As ``open_store`` makes them where there are none: nobody else may read them."""
    file.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    file.touch(0o600)
    file.write_bytes(_made(fill))
