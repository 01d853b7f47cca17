"""Records in a file and in PostgreSQL: the tests of the store run on both."""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
import tempfile
import uuid
from collections.abc import Iterator
from pathlib import Path

import pytest

from consult.records.store import Store, open_store

ABSENT = "PostgreSQL is not installed on this machine (Debian: apt-get install postgresql)"


def _programs() -> Path | None:
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    if found:
        return found[-1].parent
    named = shutil.which("initdb")
    return Path(named).resolve().parent if named else None


def _run(*words: str) -> None:
    """A program of the server, which refuses to run as root."""
    user = ("runuser", "-u", "postgres", "--") if os.geteuid() == 0 else ()
    subprocess.run((*user, *words), check=True, capture_output=True, cwd="/")


@pytest.fixture(scope="session")
def server() -> Iterator[str]:
    """A server of the tests' own, reached through a socket in a folder of its own."""
    programs = _programs()
    if programs is None:
        pytest.skip(ABSENT)
    folder = Path(tempfile.mkdtemp(prefix="pg-", dir="/tmp"))
    if os.geteuid() == 0:
        owner = pwd.getpwnam("postgres")
        os.chown(folder, owner.pw_uid, owner.pw_gid)
    data = folder / "data"
    settings = {"listen_addresses": "", "unix_socket_directories": folder, "max_connections": 60}
    options = " ".join(f"-c {name}={value}" for name, value in {**settings, "fsync": "off"}.items())
    try:
        _run(
            *(str(programs / "initdb"), "-D", str(data), "-U", "postgres", "-A", "trust"),
            *("--no-sync", "-E", "UTF8", "--locale=C.UTF-8"),
        )
        control = (str(programs / "pg_ctl"), "-D", str(data), "-w")
        _run(*control, "-l", str(folder / "log"), "-o", options, "start")
        try:
            yield f"postgresql://postgres@/{{name}}?host={folder}"
        finally:
            _run(*control, "-m", "immediate", "stop")
    finally:
        shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture
def shared(server: str) -> str:
    """The address of an empty database."""
    import psycopg

    name = f"t{uuid.uuid4().hex}"
    with psycopg.connect(server.format(name="postgres"), autocommit=True) as connection:
        connection.execute(f"CREATE DATABASE {name}".encode())
    return server.format(name=name)


@pytest.fixture(params=["file", "postgresql"])
def place(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """Where records may be."""
    if request.param == "file":
        return str(tmp_path / "kept" / "records.db")
    return str(request.getfixturevalue("shared"))


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
