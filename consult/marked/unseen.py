"""Characters that cannot be seen and steer a terminal, or turn the direction of what is around."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import TYPE_CHECKING

from consult.problems import Problem, Where
from consult.visible import TURNING

if TYPE_CHECKING:
    from consult.marked.marks import Marked

_TURNS = "".join(map(chr, TURNING))
_UNSEEN = re.compile(f"(?P<turns>[{_TURNS}])|[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f]")
_DIRECTION = "There is an invisible character here that changes the direction of the text."
_CONTROL = "There is a control character here. The file must be plain text."


def unseen_in(text: str, file: str) -> Iterator[Problem]:
    """Those that stand in a text."""
    for number, line in enumerate(text.split("\n"), 1):
        for found in _UNSEEN.finditer(line.removesuffix("\r")):
            yield _problem(found, Where(file, number, found.start() + 1))


def unseen_values(marked: Marked) -> Iterator[Problem]:
    """Those that a value holds, as YAML also has them written in letters and figures."""
    for steps, spot in marked.values.items():
        if found := _UNSEEN.search(spot.raw or ""):
            yield _problem(found, marked.value(*steps))


def _problem(found: re.Match[str], where: Where) -> Problem:
    said = _DIRECTION if found["turns"] else _CONTROL
    return Problem(where, said, "Delete it.", "control-character")
