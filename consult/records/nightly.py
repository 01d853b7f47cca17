"""A dated copy of the records, proved by reading it again, and the oldest copies deleted."""

from __future__ import annotations

import os
import shutil
import subprocess
from pathlib import Path
from typing import TYPE_CHECKING

from consult.durable import settle
from consult.records.backup import backup, integrity
from consult.records.errors import CannotKeep, RecordsTrouble, plainly
from consult.records.schema import metadata

if TYPE_CHECKING:
    from datetime import datetime

    from consult.records.store import Store

_NAME = "consult-"
_MOST = 3600
"""Seconds for a copy."""
_NO_TOOLS = (
    "PostgreSQL's own programs pg_dump and pg_restore are not on this machine. Install them "
    "(Debian: apt-get install postgresql-client), or run it on the server."
)


def nightly(store: Store, folder: Path, at: datetime, keep: int) -> tuple[Path, list[Path]]:
    """Copy the records into a folder; the copy, and the older ones that were deleted.

    A copy that cannot be read again is deleted and told (``RecordsTrouble``), and then no older
    one is. ``keep`` copies stay, this one among them.
    """
    with plainly():
        if not folder.is_dir():
            raise CannotKeep(f"The folder {folder} does not exist. Make it first.")
        shared = store.database.path is None
        made = folder / f"{_NAME}{at:%Y-%m-%d-%H%M%S}{'.dump' if shared else '.db'}"
        try:
            (_dump if shared else _copy)(store, made)
        except BaseException:
            made.unlink(missing_ok=True)
            raise
        every = sorted(folder.glob(f"{_NAME}????-??-??-??????{made.suffix}"))
        gone = [one for one in every[: max(0, len(every) - keep)] if one != made]
        for one in gone:
            one.unlink()
        settle(folder)
    return made, gone


def _copy(store: Store, path: Path) -> None:
    from consult.records.store import open_store

    backup(store, path)
    copy = open_store(path)
    try:
        wrong = integrity(copy)
    finally:
        copy.close()
    if wrong:
        raise RecordsTrouble(f"The copy is not whole, and was deleted: {wrong[0]}")


def _dump(store: Store, path: Path) -> None:
    if shutil.which("pg_dump") is None or shutil.which("pg_restore") is None:
        raise CannotKeep(_NO_TOOLS)
    address = store.database.engine.url.set(drivername="postgresql")
    # Every user of the machine can read a command line, but only this one the environment.
    env = {**os.environ, **({"PGPASSWORD": str(address.password)} if address.password else {})}
    bare = address.set(password=None).render_as_string(hide_password=False)
    path.touch(mode=0o600, exist_ok=False)
    _run("pg_dump", "--format=custom", f"--file={path}", f"--dbname={bare}", env=env)
    listed = _run("pg_restore", "--list", str(path), env=env)
    # Read to its end, not its list of contents alone.
    _run("pg_restore", f"--file={os.devnull}", str(path), env=env)
    lacking = [name for name in metadata.tables if f"TABLE DATA public {name} " not in listed]
    if lacking:
        raise RecordsTrouble(f"The copy lacks {lacking[0]}, and was deleted.")


def _run(*words: str, env: dict[str, str]) -> str:
    done = subprocess.run(
        words, env=env, capture_output=True, text=True, timeout=_MOST, check=False
    )
    if done.returncode:
        told = (done.stderr.strip().splitlines() or ["it says no more"])[-1]
        raise CannotKeep(f"{words[0]} could not copy the records: {told}")
    return done.stdout
