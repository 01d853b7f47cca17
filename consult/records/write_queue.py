"""A queue of the screens that write to one file, first come first served.

SQLite has a desk that finds another writing look again after ever longer pauses, and the next
to look at the right moment gets in: among twenty that write without a pause half wait 16 ms and one
in twenty a second. The lock is the system's own, on the folder, so it goes with the desk that has
it, however that ends, and leaves no file.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from threading import Event, Lock, Thread

if sys.platform != "win32":
    import fcntl


@contextmanager
def turn(folder: Path, patience: float) -> Iterator[None]:
    """Wait for this screen's turn, at most ``patience`` seconds; then SQLite's own lock decides.

    So it does where a folder cannot be locked: on Windows, and on some shared folders.
    """
    if sys.platform == "win32":
        yield
        return
    place = _Place(folder)
    try:
        place.take(patience)
        yield
    finally:
        place.leave()


class _Place:
    """A place in the line."""

    def __init__(self, folder: Path) -> None:
        self._guard, self._come, self._left = Lock(), Event(), False
        self._handle = -1
        with suppress(OSError):
            self._handle = os.open(folder, os.O_RDONLY | os.O_CLOEXEC)

    def take(self, patience: float) -> None:
        """Wait until all who came before have left."""
        if self._handle < 0:
            return
        try:
            fcntl.flock(self._handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
            self._come.set()
        except BlockingIOError:
            # The system waits without a limit, so it waits beside the desk.
            Thread(target=self._wait, daemon=True).start()
            self._come.wait(patience)
        except OSError:
            self._come.set()

    def leave(self) -> None:
        """Let the next one in; a wait that goes on ends with nothing held."""
        with self._guard:
            self._left = True
            if self._come.is_set() or self._handle < 0:
                self._close()

    def _wait(self) -> None:
        with suppress(OSError):
            fcntl.flock(self._handle, fcntl.LOCK_EX)
        with self._guard:
            self._come.set()
            if self._left:
                self._close()

    def _close(self) -> None:
        if self._handle >= 0:
            os.close(self._handle)
        self._handle = -1
