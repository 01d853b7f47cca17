"""Records in a file and in PostgreSQL: the tests of the store run on both."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from consult.records.schema import meta, metadata
from consult.records.store import Store, open_store
from tests.records.patience import patient
from tests.records.postgres import ABSENT, Server, programs, serving

__all__ = ["patient"]


@pytest.fixture(scope="session")
def server() -> Iterator[Server]:
    """A server for all tests."""
    found = programs()
    if found is None:
        pytest.skip(ABSENT)
    with serving(found) as running:
        yield running


@pytest.fixture
def shared(server: Server) -> str:
    """The address of an empty database."""
    return server.database()


@pytest.fixture(scope="session")
def _ready(server: Server) -> str:
    """The address of a database with the tables of the records."""
    address = server.database()
    open_store(address).close()
    return address


@pytest.fixture
def emptied(_ready: str) -> str:
    """The same with nothing in them: to make a database takes thirty times as long.

    Whatever an earlier test left connected is cut off first, so that nothing of it comes later.
    """
    import psycopg

    own = "FROM pg_stat_activity WHERE datname = current_database() AND pid <> pg_backend_pid()"
    with psycopg.connect(_ready, autocommit=True) as connection:
        connection.execute(f"SELECT pg_terminate_backend(pid) {own}".encode())
        while connection.execute(f"SELECT 1 {own}".encode()).fetchone() is not None:
            pass
        for table in reversed(metadata.sorted_tables):
            which = " WHERE name <> 'schema_version'" if table is meta else ""
            connection.execute(f"DELETE FROM {table.name}{which}".encode())
    return _ready


@pytest.fixture(params=["file", "postgresql"])
def nowhere(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """Where records may be, before there are any."""
    if request.param == "file":
        return str(tmp_path / "kept" / "records.db")
    return str(request.getfixturevalue("shared"))


@pytest.fixture(params=["file", "postgresql"])
def place(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """Where records with nothing in them are; those in a file are made when they are opened."""
    if request.param == "file":
        return str(tmp_path / "kept" / "records.db")
    return str(request.getfixturevalue("emptied"))


@pytest.fixture
def store(place: str) -> Iterator[Store]:
    """Records with nothing in them."""
    opened = open_store(place)
    yield opened
    opened.close()


@pytest.fixture
def file_store(tmp_path: Path) -> Iterator[Store]:
    """Records in a file alone."""
    opened = open_store(tmp_path / "kept" / "records.db")
    yield opened
    opened.close()


@pytest.fixture(autouse=True)
def _no_settings(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Nothing of the machine's own records, key or recovery folder."""
    for name in ("CONSULT_RECORDS", "CONSULT_KEY", "CONSULT_KEY_FILE"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("CONSULT_RECOVERY", str(tmp_path / "state"))
