"""A program in a terminal of its own: keys in, and when what they drew had come out."""

from __future__ import annotations

import fcntl
import os
import pty
import re
import select
import signal
import struct
import termios
import time
from types import TracebackType

QUIET = 0.2
"""Seconds without a byte after which everything counts as drawn."""
WINDOW = 0.8
_PATIENCE = 5.0
"""Seconds in which a question has to appear."""
_CODES = re.compile(r"\x1b\[[0-9;?]*[a-zA-Z]|\x1b[()][A-Z0-9]|\x1b.")
_BLINK = 1000
"""Bytes in one piece up to which it may have been the cursor."""


def plain(drawn: bytes) -> str:
    """The text of what was drawn, without the terminal's codes."""
    return _CODES.sub("", drawn.decode("utf-8", "ignore"))


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

    def key(self, letter: str) -> tuple[float, float]:
        """Seconds from pressing a key to the end of the first thing drawn for it, and of the last.

        A cursor that blinks draws a few hundred bytes twice a second; they do not count.
        """
        start = time.perf_counter()
        os.write(self.handle, letter.encode())
        first = last = 0.0
        while (now := time.perf_counter() - start) < WINDOW and (not last or now - last < QUIET):
            found = self._read(0.01)
            if not found:
                first = first or last
            elif len(found) > _BLINK or not last:
                last = time.perf_counter() - start
        return first or last, last

    def enter(self, words: str) -> tuple[float, float]:
        """Seconds from Enter until a text has been drawn, and to the end of the last thing drawn.

        TimeoutError where it is not drawn within five seconds.
        """
        start = time.perf_counter()
        os.write(self.handle, b"\r")
        drawn, first = b"", 0.0
        while not first:
            drawn += self._read(0.01)
            if words in plain(drawn):
                first = time.perf_counter() - start
            elif time.perf_counter() - start > _PATIENCE:
                raise TimeoutError(words)
        last = first
        while (now := time.perf_counter() - start) < first + WINDOW and now - last < QUIET:
            if len(self._read(0.01)) > _BLINK:
                last = time.perf_counter() - start
        return first, last

    def wait_for(self, text: str) -> None:
        """Until a text has been drawn; TimeoutError after twenty seconds."""
        until = time.perf_counter() + 20
        while text not in plain(self.seen):
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
