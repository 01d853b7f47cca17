"""The ``run`` of every command test, and records for those that need some."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from consult.records.store import Store, open_store
from tests.commands.chromium import browser
from tests.commands.runs import Ran, Run, ran
from tests.ready_records import Fill, put_records
from tests.records.patience import patient

__all__ = ["browser", "patient"]


RecordsWith = Callable[[Fill], Store]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    """Runs one command and gives back what came of it."""

    def once(*argv: str) -> Ran:
        return ran(argv, capsys.readouterr)

    return once


@pytest.fixture
def records(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Store]:
    """Empty records where the command line finds them, nothing of this machine's own."""
    for name in ("KEY", "KEY_FILE", "RETENTION_DAYS", "HEALTH_DAYS"):
        monkeypatch.delenv(f"CONSULT_{name}", raising=False)
    monkeypatch.setenv("CONSULT_RECOVERY", str(tmp_path / "state"))
    monkeypatch.setenv("CONSULT_RECORDS", str(tmp_path / "kept" / "records.db"))
    put_records(tmp_path / "kept" / "records.db")
    store = open_store()
    yield store
    store.close()


@pytest.fixture
def records_with(records: Store, tmp_path: Path) -> Iterator[RecordsWith]:
    """Puts calls in their place that a process makes once, by what makes them."""
    opened: list[Store] = []

    def put(fill: Fill) -> Store:
        records.close()
        put_records(tmp_path / "kept" / "records.db", fill)
        opened.append(open_store())
        return opened[-1]

    yield put
    for one in opened:
        one.close()
