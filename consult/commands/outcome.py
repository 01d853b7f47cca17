"""What a command tells: exit codes, lines, problems and progress, and the streams they go by."""

from __future__ import annotations

import errno
import io
import json
import os
import select
import signal
import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from enum import IntEnum
from threading import Event, Thread, current_thread, main_thread
from typing import Self, TextIO, TypeVar

from consult.problems import CannotDoError, Problem
from consult.visible import visible

_Found = TypeVar("_Found")


class Outcome(IntEnum):
    """What a command tells the shell."""

    DONE = 0
    """All went well."""
    FAILED = 1
    """A check found errors, or a call did not come out as expected."""
    BAD_USE = 2
    """The command line or a file could not be understood."""
    OUTPUT_LOST = 3
    """What was printed could not be written, whatever else went well."""
    BROKEN_OFF = 130
    """Ctrl+C, as shells have it."""
    CLOSED_PIPE = 141
    """The reader of the output stopped reading, as shells have it."""


def complain(message: str) -> Outcome:
    """Say on standard error why nothing was done."""
    print(f"consult: {visible(message)}", file=sys.stderr)
    return Outcome.BAD_USE


def tell(*lines: str) -> Outcome:
    """Say lines on standard output, their control characters as visible signs: all went well."""
    for line in lines:
        print(visible(line))
    return Outcome.DONE


def outcome_of(work: Callable[..., Outcome], *given: object) -> Outcome:
    """What some work comes to; why it cannot be done is told."""
    try:
        return work(*given)
    except CannotDoError as cannot:
        print_problems(cannot.problems)
        return complain(str(cannot)) if str(cannot) else Outcome.BAD_USE


def print_problems(problems: Iterable[Problem], *, to_stderr: bool = True) -> None:
    """One line a problem, as editors read them."""
    for problem in problems:
        print(visible(str(problem)), file=sys.stderr if to_stderr else sys.stdout)


def sound(found: _Found | None, problems: Iterable[Problem]) -> _Found:
    """What a loader found; its problems are why a command cannot go on without it."""
    if found is None:
        raise CannotDoError(problems=problems)
    return found


def problem_json(problem: Problem) -> dict[str, object]:
    """A problem for editors and CI."""
    return {
        **problem.where._asdict(),
        "severity": problem.severity,
        "rule": problem.rule,
        "message": problem.message,
        "fix": problem.fix,
    }


def json_text(value: object) -> str:
    """JSON that people can read too."""
    return json.dumps(value, indent=2, ensure_ascii=False, allow_nan=False)


def print_json(value: object) -> Outcome:
    """The same on standard output: all went well."""
    print(json_text(value))
    return Outcome.DONE


def number_of(count: int, what: str) -> str:
    """ "1 call", "2 calls"."""
    return f"{count} {what}" if count == 1 else f"{count} {what}s"


# -- how far a long command has come, on one line of the terminal that it takes away again --------

_WIDE = 20


class Progress:
    """Writes nothing to a file or a pipe, or when told to be quiet; at the end of a ``with`` its
    line is empty again."""

    def __init__(self, total: int, *, quiet: bool = False, what: str = "") -> None:
        """``what`` is being done stands before the bar."""
        self._total, self._what = total, f"{what} " if what else ""
        self._shows = not quiet and sys.stderr.isatty()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.clear()

    def at(self, done: int, total: int | None = None) -> None:
        """Show that this many are done, of a ``total`` that is known only now."""
        if self._shows:
            total = self._total if total is None else total
            filled = _WIDE * done // max(total, 1)
            bar = "#" * filled + "." * (_WIDE - filled)
            self._write(f"\r{self._what}[{bar}] {done} of {total}")

    def clear(self) -> None:
        """Leave the line empty, for what is printed next."""
        if self._shows:
            self._write(f"\r{' ' * (len(self._what) + _WIDE + 25)}\r")

    def _write(self, text: str) -> None:
        sys.stderr.write(text)
        sys.stderr.flush()


# -- standard input, output and error -------------------------------------------------------------
# Lost output is an error of its own, whatever was writing. A stream that is closed is opened on
# nothing: else the next file opened, perhaps the records, would take its number and receive what is
# printed.

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
