"""Standard input, output and error: lost output is an error of its own, whatever was writing.

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
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from threading import Event, Thread, current_thread, main_thread
from typing import TextIO

_LEAVING = 10.0
"""Seconds to end in good order once nobody is there any more."""
_AGAIN = 0.2
"""Seconds after which Ctrl+C that had no effect is repeated."""
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
        sys.stdout = _text(_Output(1, "w", closefd=False), sys.__stdout__)
    if sys.stderr is sys.__stderr__:
        sys.stderr = _text(_Messages(2, "w", closefd=False), sys.__stderr__)


def has_screen() -> bool:
    """Whether a screen can be shown: in a terminal, or in a browser, which is none."""
    return "TEXTUAL_DRIVER" in os.environ or (sys.stdin.isatty() and sys.stdout.isatty())


@contextmanager
def insistent() -> Iterator[None]:
    """Ctrl+C ends the block, even where a library catches it or makes another error of it.

    Only where Python's own handler is in place, and not for a screen: that restores the terminal.
    """
    is_ours = current_thread() is main_thread() and hasattr(signal, "setitimer")
    if not is_ours or signal.getsignal(signal.SIGINT) is not signal.default_int_handler:
        yield
        return
    is_pressed = False

    def pressed(*_: object) -> None:
        nonlocal is_pressed
        is_pressed = True
        # In a library's clean-up Python can only report it.
        sys.unraisablehook = lambda _: None
        # A timer of the system: starting a thread here could wait for a lock that we hold.
        signal.setitimer(signal.ITIMER_REAL, _AGAIN)
        raise KeyboardInterrupt

    before, hook = signal.signal(signal.SIGALRM, pressed), sys.unraisablehook
    signal.signal(signal.SIGINT, pressed)
    try:
        yield
    except Exception as error:
        if is_pressed:
            raise KeyboardInterrupt from error
        raise
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGINT, signal.default_int_handler)
        signal.signal(signal.SIGALRM, before)
        sys.unraisablehook = hook


def flush() -> None:
    """Bring what was printed to its reader."""
    sys.stdout.flush()


def silence() -> None:
    """Drop what could not be written, so that it is not tried again when the program ends."""
    with suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def when_input_hangs_up(leave: Callable[[], object]) -> None:
    """Leave when the process at the other end of standard input is gone, however they went.

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
