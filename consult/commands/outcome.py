"""Exit codes, and how problems and numbers are written."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterable
from enum import IntEnum
from typing import Self, TypeVar

from consult.problems import CannotDoError, Problem
from consult.visible import visible

Found = TypeVar("Found")


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


def tell(*lines: str) -> None:
    """Lines on standard output, their control characters as visible signs."""
    for line in lines:
        print(visible(line))


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


def sound(found: Found | None, problems: Iterable[Problem]) -> Found:
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


def print_json(value: object) -> None:
    """The same on standard output."""
    print(json_text(value))


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
