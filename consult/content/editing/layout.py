"""Which lines belong to a piece of a file, and the lines between pieces.

A comment directly above a piece belongs to it, and so does one further in directly below it.
Empty lines, and comments with an empty line on both sides, belong to the place.
"""

from __future__ import annotations

from dataclasses import dataclass

from consult.marked.marks import Steps
from consult.marked.spans import Piece, Spans


@dataclass(frozen=True, slots=True)
class Unit:
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


def is_blank(spans: Spans, line: int) -> bool:
    """Whether nothing stands on a line."""
    return not spans.line(line).strip()


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


def unit(spans: Spans, steps: Steps) -> Unit:
    """The lines of a piece that has its own."""
    piece = spans.pieces[steps]
    first = spans.line_of(piece.head)
    bound = _bound(spans, steps)
    while first > bound and is_comment(spans, first - 1):
        first -= 1
    last = last_line(spans, piece)
    return Unit(spans.start_of(first), spans.end_of(last), first, last)


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
    while 0 <= line < len(spans.starts) and is_blank(spans, line):
        # After the last line break there is no further line.
        if line + 1 == len(spans.starts) and spans.end_of(line) == spans.start_of(line):
            break
        count += 1
        line += way
    return count
