"""The true program in a terminal of its own, to be typed at and killed."""

from __future__ import annotations

import fcntl
import os
import pty
import select
import struct
import subprocess
import sys
import termios
import time
from pathlib import Path


class DeskProcess:
    """``consult call`` at records of a folder, until killed."""

    def __init__(self, records: Path, *words: str) -> None:
        self._mine, theirs = pty.openpty()
        fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", 40, 120, 0, 0))
        self._program = subprocess.Popen(
            [sys.executable, "-m", "consult", "call", "--records", str(records), *words],
            stdin=theirs,
            stdout=theirs,
            stderr=theirs,
            # What runs the tests may have set its own size, which would count for more.
            env={**os.environ, "TERM": "xterm-256color", "COLUMNS": "120", "LINES": "40"},
            start_new_session=True,
        )
        os.close(theirs)
        self._seen = b""

    def type(self, text: str) -> None:
        """Press keys; only what is drawn from now on counts as seen."""
        self._seen = b""
        os.write(self._mine, text.encode())

    def drawn(self, *texts: str, within: float) -> str | None:
        """The first of the texts to be drawn, on one line in one style; None if none in time."""
        until = time.monotonic() + within
        while True:
            found = next((text for text in texts if text.encode() in self._seen), None)
            left = until - time.monotonic()
            if found is not None or left <= 0 or not self._read(left):
                return found

    def kill(self) -> None:
        """End it without warning; what it had drawn by then is seen. At once if it has ended."""
        if self._program.returncode is not None:
            return
        self._program.kill()
        self._program.wait()
        while self._read(0):
            pass
        os.close(self._mine)

    def _read(self, seconds: float) -> bool:
        """Whether the program goes on: false at the end of all it drew, or of the time."""
        ready, _, _ = select.select([self._mine], [], [], seconds)
        if not ready:
            return False
        try:
            found = os.read(self._mine, 65536)
        except OSError:  # how Linux tells that nobody has the other end any more
            return False
        self._seen += found
        return bool(found)
