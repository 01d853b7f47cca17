"""A PostgreSQL server of the tests' own, which they may stop and start."""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
import tempfile
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

ABSENT = "PostgreSQL is not installed on this machine (Debian: apt-get install postgresql)"


_ROOM = 2_000_000_000
"""Bytes: several times what the files of a server take."""


@dataclass(frozen=True, slots=True)
class Server:
    """A server that runs, reached through a socket in a folder of its own."""

    folder: Path
    programs: Path
    options: str

    def database(self) -> str:
        """The address of an empty database."""
        import psycopg

        name = f"t{uuid.uuid4().hex}"
        with psycopg.connect(self.address("postgres"), autocommit=True) as connection:
            connection.execute(f"CREATE DATABASE {name}".encode())
        return self.address(name)

    def start(self) -> None:
        """Until it answers."""
        _run(*self._control, "-l", str(self.folder / "log"), "-o", self.options, "start")

    def stop(self) -> None:
        """At once, as when its machine goes off."""
        _run(*self._control, "-m", "immediate", "stop")

    def address(self, name: str) -> str:
        """Of a database, whether there is one of that name or not."""
        return f"postgresql://postgres@/{name}?host={self.folder}"

    @property
    def _control(self) -> tuple[str, ...]:
        return (str(self.programs / "pg_ctl"), "-D", str(self.folder / "data"), "-w")


def programs() -> Path | None:
    """Where the programs of the server are; None where it is not installed."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    if found:
        return found[-1].parent
    named = shutil.which("initdb")
    return Path(named).resolve().parent if named else None


@contextmanager
def serving(found: Path, *, fsync: bool = False) -> Iterator[Server]:
    """A server with nothing in it; ``found`` are its programs."""
    folder = Path(tempfile.mkdtemp(prefix="pg-", dir=_memory() or "/tmp"))
    if os.geteuid() == 0:
        owner = pwd.getpwnam("postgres")
        os.chown(folder, owner.pw_uid, owner.pw_gid)
    settings: dict[str, object] = {"listen_addresses": "", "unix_socket_directories": folder}
    settings["max_connections"] = 60
    if not fsync:
        # Nothing is read again after its machine went off.
        settings |= {"fsync": "off", "full_page_writes": "off", "autovacuum": "off"}
        settings |= {"wal_level": "minimal", "max_wal_senders": 0}
    options = " ".join(f"-c {name}={value}" for name, value in settings.items())
    server = Server(folder, found, options)
    try:
        _run(
            *(str(found / "initdb"), "-D", str(folder / "data"), "-U", "postgres", "-A", "trust"),
            *("--no-sync", "-E", "UTF8", "--locale=C.UTF-8"),
        )
        server.start()
        try:
            yield server
        finally:
            server.stop()
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _memory() -> str | None:
    """A short path to a folder in memory; its thousands of files take a disk long to delete."""
    folder = Path("/dev/shm")
    return str(folder) if folder.is_dir() and shutil.disk_usage(folder).free > _ROOM else None


def _run(*words: str) -> None:
    """A program of the server, which refuses to run as root."""
    user = ("runuser", "-u", "postgres", "--") if os.geteuid() == 0 else ()
    # Into nothing: the server keeps what its starter had open.
    subprocess.run((*user, *words), check=True, stdout=subprocess.DEVNULL, cwd="/")
