"""Changing some characters of a text, and making sure that nothing else was changed by it."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from copy import deepcopy
from dataclasses import dataclass
from typing import Any

from consult.content.editing.refused import Refused
from consult.marked.marks import Steps
from consult.marked.spans import Spans, UnreadableError, read_spans

_BOM = "\ufeff"


@dataclass(frozen=True, slots=True)
class Patch:
    """New text in place of the characters from ``start`` up to ``end``."""

    start: int
    end: int
    new: str


def spans_of(text: str) -> Spans:
    """The pieces of a text; Refused, in plain words, where it cannot be read."""
    try:
        spans = read_spans(text.removeprefix(_BOM))
    except UnreadableError as error:
        line = error.problem.where.line
        said = f"Correct line {line} first: {error.problem.message} {error.problem.fix}"
        raise Refused(said.rstrip()) from None
    if not isinstance(spans.data, dict):
        raise Refused(
            "This file is not a block of names and values, so nothing can be added to it."
        )
    return spans


def changed(
    text: str, patches: Callable[[Spans], Iterable[Patch]], data: Callable[[Any], Any]
) -> str:
    """The text after the patches, which must then read as ``data`` makes of what it read before."""
    spans = spans_of(text)
    pieces: list[str] = []
    at = 0
    for patch in sorted(patches(spans), key=lambda each: each.start):
        pieces += [spans.text[at : patch.start], patch.new]
        at = patch.end
    new = "".join((*pieces, spans.text[at:]))
    # Compared as written out: 1, 1.0 and true are equal to Python, and so are two orders.
    if repr(_read(new)) != repr(data(deepcopy(spans.data))):
        said = "This cannot be changed without changing what is around it."
        raise Refused(f"{said} Change it in the YAML.")
    return _BOM + new if text.startswith(_BOM) else new


def _read(text: str) -> Any:
    try:
        return read_spans(text).data
    except UnreadableError:
        return None


def piece_called(steps: Steps) -> str:
    """A piece as a person would point at it: 'ask' in 'heel', item 2 of 'cautions'."""
    words: list[str] = []
    for index, step in enumerate(steps):
        if index == 0 and step == "questions" and len(steps) > 1:
            continue
        words.append(f"item {step + 1}" if isinstance(step, int) else f"'{step}'")
    return " of ".join(reversed(words))
