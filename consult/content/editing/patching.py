"""Changing some characters of a text, and making sure that nothing else was changed by it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from consult.marked.marks import Steps
from consult.marked.spans import BrokenTextError, Piece, Spans, read_spans
from consult.visible import BOM

# -- an edit that cannot be done, with the reason for the user ------------------------------------


class Refused(Exception):  # noqa: N818 - it is the answer to a request, and its text is shown
    """The edit cannot be done; the text says why in one or two sentences."""


# -- changing some characters of a text, and making sure that nothing else was changed by it ------


@dataclass(frozen=True, slots=True)
class Patch:
    """New text in place of the characters from ``start`` up to ``end``."""

    start: int
    end: int
    new: str


def spans_of(text: str) -> Spans:
    """The pieces of a text; Refused, in plain words, where it cannot be read."""
    try:
        spans = read_spans(text.removeprefix(BOM))
    except BrokenTextError as error:
        line = error.problem.where.line
        message = f"Correct line {line} first: {error.problem.message} {error.problem.fix}"
        raise Refused(message.rstrip()) from None
    if not isinstance(spans.data, dict):
        raise Refused(
            "This file is not a block of names and values, so nothing can be added to it."
        )
    return spans


def changed(text: str, patches: Iterable[Patch], wanted: object) -> str:
    """The text after the patches, which must then say what is wanted."""
    spans = spans_of(text)
    pieces: list[str] = []
    end = 0
    for patch in sorted(patches, key=lambda patch: patch.start):
        pieces += [spans.text[end : patch.start], patch.new]
        end = patch.end
    new = "".join((*pieces, spans.text[end:]))
    try:
        says = read_spans(new).data
    except BrokenTextError:
        says = None
    # Compared as written out: 1, 1.0 and true are equal to Python, and so are two orders.
    if repr(says) != repr(wanted):
        message = "This cannot be changed without changing what is around it."
        raise Refused(f"{message} Change it in the YAML.")
    return BOM + new if text.startswith(BOM) else new


def data_with(data: Any, steps: Steps, change: Callable[[Any], object]) -> Any:
    """What a text says, with what stands at some steps changed; ``data`` stays as it is."""
    if not steps:
        return change(data)
    new = data.copy()
    new[steps[0]] = data_with(data[steps[0]], steps[1:], change)
    return new


def piece_called(steps: Steps) -> str:
    """A piece as a person would point at it: 'ask' in 'heel', item 2 of 'cautions'."""
    words: list[str] = []
    for index, step in enumerate(steps):
        if index == 0 and step == "questions" and len(steps) > 1:
            continue
        words.append(f"item {step + 1}" if isinstance(step, int) else f"'{step}'")
    return " of ".join(reversed(words))


# -- which lines belong to a piece of a file, and the lines between pieces ------------------------
# A comment directly above a piece belongs to it, and so does one further in directly below it.
# Empty lines, and comments with an empty line on both sides, belong to the place.


@dataclass(frozen=True, slots=True)
class LineUnit:
    """The lines of one piece with its comments."""

    start: int
    """Offset of the first character of its first line."""
    end: int
    """Offset after its last line, the break not counted."""
    first: int
    """Its first line, counted from 0."""
    last: int


def newline(text: str) -> str:
    """The line break the file uses."""
    at = text.find("\n")
    if at > 0 and text[at - 1] == "\r":
        return "\r\n"
    return "\r" if at < 0 and "\r" in text else "\n"


def is_comment(spans: Spans, line: int) -> bool:
    """Whether only a comment stands on a line."""
    return spans.line(line).lstrip(" \t").startswith("#")


def shares_line(spans: Spans, piece: Piece) -> bool:
    """Whether something stands before it on its line, such as the dash of its list item."""
    line = spans.line_of(piece.head)
    return bool(spans.text[spans.start_of(line) : piece.head].strip())


def last_line(spans: Spans, piece: Piece) -> int:
    """The last line of a piece, comments that stand further in below it included."""
    last = spans.line_of(max(piece.end, piece.head_end))
    column = spans.column(piece.head)
    while last + 1 < len(spans.starts) and is_comment(spans, last + 1):
        line = spans.line(last + 1)
        if len(line) - len(line.lstrip(" \t")) <= column:
            break
        last += 1
    return last


def unit(spans: Spans, steps: Steps) -> LineUnit:
    """The lines of a piece that has its own."""
    piece = spans.pieces[steps]
    first = spans.line_of(piece.head)
    bound = _bound(spans, steps)
    while first > bound and is_comment(spans, first - 1):
        first -= 1
    last = last_line(spans, piece)
    return LineUnit(spans.start_of(first), spans.end_of(last), first, last)


def _bound(spans: Spans, steps: Steps) -> int:
    """The first line that may belong to a piece: the one after what stands before it."""
    above = steps[:-1]
    siblings = spans.inside(above)
    index = siblings.index(steps)
    if index:
        return last_line(spans, spans.pieces[siblings[index - 1]]) + 1
    if not above:
        # The comment on top speaks of the whole file.
        return spans.line_of(spans.pieces[steps].head)
    return spans.line_of(spans.pieces[above].head_end) + 1


def blank_run(spans: Spans, line: int, way: int) -> int:
    """How many empty lines stand one after the other from a line on, up (-1) or down (1)."""
    count = 0
    while 0 <= line < len(spans.starts) and not spans.line(line).strip():
        # After the last line break there is no further line.
        if line + 1 == len(spans.starts) and spans.end_of(line) == spans.start_of(line):
            break
        count += 1
        line += way
    return count


# -- the usual order of the names in each kind of block, as the trees have it ---------------------

_TREE = (
    *("tree", "title", "version", "first", "after_stop", "works_out"),
    *("questions", "cautions", "advice", "needs", "always"),
)
_QUESTION = (
    *("include", "topic", "title", "changes", "open_when", "ask", "coach", "called", "answer"),
    *("unknown", "choices", "exclusive", "unit", "expect", "measures", "sets", "card", "read_by"),
    *("private", "skip_when", "ask_when", "best_of", "next"),
)
_ITEMS = {
    "next": ("when", "go", "otherwise"),
    "cautions": ("name", "level", "when", "say", "contact", "source"),
    "advice": (
        *("name", "topic", "moves", "may_move", "when", "adjusts", "say", "because", "source"),
        *("contradicts", "employer", "country"),
    ),
    "needs": ("name", "when", "feature", "strength", "adjusts", "because", "source"),
    "always": ("name", "when", "then", "because", "source"),
}
FILE_SECTIONS = ("cautions", "advice", "needs", "always")
"""The lists of a tree, each with an empty line before it."""


def usual_order(steps: Steps) -> tuple[str, ...]:
    """The names of the block at ``steps``, in order; empty where any order will do."""
    if not steps:
        return _TREE
    if len(steps) == 2 and steps[0] == "questions":
        return _QUESTION
    if isinstance(steps[-1], int) and len(steps) >= 2:
        return _ITEMS.get(str(steps[-2]), ())
    return ()


def in_usual_order(steps: Steps, fields: Mapping[str, object]) -> dict[str, object]:
    """The fields of a new block as the trees have them, names not known to it last."""
    order = usual_order(steps)
    known = [name for name in order if name in fields]
    return {name: fields[name] for name in (*known, *(n for n in fields if n not in order))}


def usual_place(steps: Steps, names: list[str], name: str) -> int:
    """At which of the names of a block a new one goes in."""
    order = usual_order(steps)
    if name not in order:
        return len(names)
    before = order[: order.index(name)]
    return max((index + 1 for index, key in enumerate(names) if key in before), default=0)
