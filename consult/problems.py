"""A problem in a file a person wrote, as a value: where, what is wrong, what would be right.

Every loader and check returns these; the terminal, JSON and screen renderings live at the edge.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Literal, NamedTuple

Severity = Literal["error", "warning"]


class Where(NamedTuple):
    """A place in a file; line and column count from 1, as editors do.

    A tuple, because every piece of every file that is read has one.
    """

    file: str
    line: int
    column: int

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}"


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong in a file, said to the person who can mend it."""

    where: Where
    message: str
    """What is wrong, one plain sentence."""
    fix: str = ""
    """What would be right, one plain sentence; empty where the message already says it."""
    rule: str = ""
    """Short stable name of the check, for tests and editors."""
    severity: Severity = "error"

    def __str__(self) -> str:
        text = f"{self.where}: {self.severity}: {self.message}"
        return f"{text} {self.fix}" if self.fix else text


class CannotDoError(Exception):
    """Why a command cannot do what it was asked, in words, and the problems of a file behind it.

    ``cli`` tells them, so that a command need not hand them from one function to the next.
    """

    def __init__(self, why: str = "", problems: Iterable[Problem] = ()) -> None:
        super().__init__(why)
        self.problems = tuple(problems)


_OTHER_WORDS = {
    "height": "stature",
    "body.height": "body.stature",
    "else": "otherwise",
    "default": "otherwise",
    "if": "when",
    "text": "say",
    "reason": "because",
    "why": "because",
    "goto": "go",
    "question": "ask",
    "type": "answer",
    "options": "choices",
    "min": "expect",
}
"""What people call a thing whose name is not spelt like it."""


def well_named(names: Iterable[str]) -> list[str]:
    """Those that are written as a name has to be: nobody should be told to write another."""
    return sorted(name for name in names if re.fullmatch(r"[a-z][a-z0-9_]*", name))


def nearest(name: str, valid: Iterable[str]) -> str:
    """'Did you mean ...?' for the closest valid name, or '' where none is close."""
    names = list(valid)
    close = [one for one in names if one == _OTHER_WORDS.get(name)]
    close = close or get_close_matches(name, names, n=1, cutoff=0.6)
    if not close and len(name) > 2:
        # Letters in another order, as in "akss" for "ask".
        sorted_ = {"".join(sorted(one)): one for one in reversed(names)}
        close = [
            sorted_[match] for match in get_close_matches("".join(sorted(name)), sorted_, 1, 0.8)
        ]
    return f"Did you mean '{close[0]}'?" if close else ""


def listed(names: Iterable[str], last: str = "or") -> str:
    """The names as people list them: "a, b or c"."""
    items = list(names)
    if len(items) < 2:
        return "".join(items)
    return f"{', '.join(items[:-1])} {last} {items[-1]}"


def shortened(text: str) -> str:
    """A name or value as it is quoted: its beginning where it is long."""
    return text if len(text) <= 60 else f"{text[:57]}..."
