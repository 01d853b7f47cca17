"""Exit codes, and how problems and numbers are written."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable
from enum import IntEnum

from consult.problems import Problem
from consult.visible import visible


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


def print_problems(problems: Iterable[Problem], *, to_stderr: bool = True) -> None:
    """One line a problem, as editors read them."""
    for problem in problems:
        print(visible(str(problem)), file=sys.stderr if to_stderr else sys.stdout)


def problem_json(problem: Problem) -> dict[str, object]:
    """A problem for editors and CI."""
    return {
        "file": problem.where.file,
        "line": problem.where.line,
        "column": problem.where.column,
        "severity": problem.severity,
        "rule": problem.rule,
        "message": problem.message,
        "fix": problem.fix,
    }


def print_json(value: object) -> None:
    """JSON on standard output, readable by people too."""
    print(json.dumps(value, indent=2, ensure_ascii=False, allow_nan=False))


def number_of(count: int, what: str) -> str:
    """ "1 call", "2 calls"."""
    return f"{count} {what}" if count == 1 else f"{count} {what}s"
