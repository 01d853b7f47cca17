"""A program in a terminal of its own: keys in, and when what they drew had come out."""

from __future__ import annotations

import fcntl
import os
import pty
import select
import signal
import struct
import termios
import time
from types import TracebackType

QUIET = 0.08
"""Seconds without a byte after which a screen counts as drawn."""


class Terminal:
    """Runs a program until left."""

    def __init__(self, words: list[str], width: int, height: int) -> None:
        self.pid, self.handle = pty.fork()
        if self.pid == 0:
            os.environ["TERM"] = "xterm-256color"
            os.execvp(words[0], words)
        fcntl.ioctl(self.handle, termios.TIOCSWINSZ, struct.pack("HHHH", height, width, 0, 0))
        self.seen = b""

    def __enter__(self) -> Terminal:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        os.kill(self.pid, signal.SIGKILL)
        os.waitpid(self.pid, 0)
        os.close(self.handle)

    def key(self, letter: str) -> float:
        """Seconds from pressing a key to the last byte drawn for it."""
        start = last = time.perf_counter()
        os.write(self.handle, letter.encode())
        drawn = False
        while True:
            # The first byte may take its time; after it, quiet means done.
            if not self._read(QUIET if drawn else 2.0):
                return last - start
            last, drawn = time.perf_counter(), True

    def wait_for(self, text: str) -> None:
        """Until a text has been drawn; TimeoutError after twenty seconds."""
        until = time.perf_counter() + 20
        while text.encode() not in self.seen:
            if time.perf_counter() > until:
                raise TimeoutError(text)
            self._read(1.0)

    def settle(self) -> None:
        """Until nothing has been drawn for a while."""
        while self._read(0.3):
            pass

    def _read(self, seconds: float) -> bytes:
        ready, _, _ = select.select([self.handle], [], [], seconds)
        if not ready:
            return b""
        found = os.read(self.handle, 65536)
        self.seen = (self.seen + found)[-20_000:]
        return found
