"""One at a time may publish. The system takes the lock away from a program that dies."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from consult.content.library.trouble import LibraryTrouble

_FILE = "lock"


@contextmanager
def locked(library: Path) -> Iterator[None]:
    """Nobody else publishes meanwhile; LibraryTrouble where somebody does."""
    library.mkdir(parents=True, exist_ok=True)
    handle = os.open(library / _FILE, os.O_RDWR | os.O_CREAT, 0o666)
    try:
        if not _taken(handle):
            raise LibraryTrouble(
                "Somebody else is publishing now. Wait until they have finished, see their "
                "change with consult versions, then try again."
            )
        yield
    finally:
        os.close(handle)


def _taken(handle: int) -> bool:
    if sys.platform == "win32":
        import msvcrt

        try:
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True
    import fcntl

    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True
