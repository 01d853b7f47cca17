"""Standard input, output and error: lost output is an error of its own, whoever was writing.

A stream that is closed is opened on nothing: else the next file opened, perhaps the records, would
take its number and receive what is printed.
"""

from __future__ import annotations

import errno
import io
import os
import select
import signal
import sys
from collections.abc import Callable
from contextlib import suppress
from threading import Event, Thread, Timer, get_ident
from typing import TextIO

_LEAVING = 10.0
"""Seconds to end in good order once nobody is there any more."""
_WHY = {
    errno.ENOSPC: "the disk is full",
    errno.EDQUOT: "the disk is full",
    errno.EBADF: "standard output is closed",
}


class OutputLostError(Exception):
    """What was printed did not reach its reader."""

    def __init__(self, error: OSError) -> None:
        why = _WHY.get(error.errno or 0, error.strerror or "the disk refuses it")
        super().__init__(f"The output could not be written: {why}.")
        self.is_closed_pipe = isinstance(error, BrokenPipeError)
        """The reader has read enough, as ``head`` does, and needs no message."""


class _Output(io.FileIO):
    def write(self, content: object) -> int:
        try:
            return super().write(content)  # type: ignore[arg-type]
        except OSError as error:
            raise OutputLostError(error) from error


class _Messages(io.FileIO):
    def write(self, content: object) -> int:
        # Nobody can be told that a message could not be shown.
        with suppress(OSError):
            return super().write(content)  # type: ignore[arg-type]
        return len(content)  # type: ignore[arg-type]


def open_streams() -> None:
    """Make all three usable; a test's or another program's own are left alone."""
    for number, mode in ((0, os.O_RDONLY), (1, os.O_RDONLY), (2, os.O_WRONLY)):
        try:
            os.fstat(number)
        except OSError:
            os.open(os.devnull, mode)
    if sys.stdin is None:
        sys.stdin = open(0, encoding="utf-8", closefd=False)  # noqa: SIM115 - for as long as we run
    if sys.stdout is sys.__stdout__:
        sys.unraisablehook = _unraised
        sys.stdout = _text(_Output(1, "w", closefd=False), sys.__stdout__)
    if sys.stderr is sys.__stderr__:
        sys.stderr = _text(_Messages(2, "w", closefd=False), sys.__stderr__)


def _unraised(lost: sys.UnraisableHookArgs) -> None:
    """Ctrl+C pressed where nothing can be raised, in a library's clean-up, is pressed again."""
    if issubclass(lost.exc_type, KeyboardInterrupt) and sys.platform != "win32":
        # A moment later: here it would be dropped as well.
        again = Timer(0.05, signal.pthread_kill, (get_ident(), signal.SIGINT))
        again.daemon = True
        again.start()
    else:
        sys.__unraisablehook__(lost)


def flush() -> None:
    """Bring what was printed to its reader."""
    sys.stdout.flush()


def silence() -> None:
    """Drop what could not be written, so that it is not tried again when the program ends."""
    with suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def when_input_hangs_up(leave: Callable[[], object]) -> None:
    """Leave when whoever holds the other end of standard input is gone, however they went.

    A desk in a browser has no terminal: that end is the server's.
    """
    if sys.platform != "win32":
        Thread(target=_wait, args=(leave,), name="server", daemon=True).start()


def _wait(leave: Callable[[], object]) -> None:
    waiting = select.poll()
    waiting.register(0, 0)
    waiting.poll()
    with suppress(Exception):
        leave()
    # Every answer is stored already; whatever still runs then serves nobody.
    Event().wait(_LEAVING)
    os._exit(1)


def _text(raw: io.FileIO, old: TextIO | None) -> io.TextIOWrapper:
    lines = raw.isatty() or raw.fileno() == 2
    if old is not None:
        with suppress(OSError):
            old.flush()
    return io.TextIOWrapper(
        io.BufferedWriter(raw), encoding="utf-8", errors="replace", line_buffering=lines
    )
