"""A new value in the place of an old one, written the way the old one was where it can be."""

from __future__ import annotations

import re

from consult.content.editing import writing
from consult.content.editing.layout import newline
from consult.content.editing.patching import Patch
from consult.marked.marks import Steps, plain_value
from consult.marked.spans import Piece, Spans


def in_brackets(spans: Spans, steps: Steps) -> bool:
    """Whether a piece stands in ``[...]`` or ``{...}``, where all is on one line."""
    return any(spans.pieces[steps[:depth]].style == "{" for depth in range(len(steps)))


def replaced(spans: Spans, steps: Steps, lines: list[str]) -> Patch:
    """The piece's value replaced by lines as ``writing.value_lines`` makes them.

    A comment at the end of the line that the value begins on stays there.
    """
    text, piece = spans.text, spans.pieces[steps]
    first, body = lines[0], lines[1:]
    nl = newline(text)
    own_line = spans.line_of(piece.head_end)
    here = spans.line_of(piece.start) == own_line
    if in_brackets(spans, steps):
        # An empty value stands right behind its ':'.
        spaced = piece.end == piece.start and text[piece.start - 1] == ":"
        return Patch(piece.start, piece.end, first if spaced else first.lstrip(" "))
    if piece.kind != "scalar" and piece.style == "" and here:
        # A block that begins after its dash.
        start, tail, end = piece.start, "", spans.end_of(spans.line_of(piece.end))
    elif here and piece.style in ("|", ">"):
        header = re.compile(r"[|>][-+0-9]*").match(text, piece.start)
        assert header is not None, "a block text begins with | or >"
        start, end = piece.start, piece.end
        tail = text[header.end() : spans.end_of(own_line)]
    elif here:
        start, end = piece.start, spans.end_of(spans.line_of(piece.end))
        tail = text[piece.end : end]
    else:
        start, end = piece.head_end, spans.end_of(spans.line_of(piece.end))
        tail = text[piece.head_end : spans.end_of(own_line)]
    if not first:
        start = piece.head_end
    elif start > piece.head_end:
        first = first.removeprefix(" ")
    return Patch(start, end, nl.join((first + tail, *body)))


def same_style(spans: Spans, steps: Steps, value: str) -> list[str]:
    """The lines of a new scalar, in the style of the old one where it can carry the new text."""
    piece = spans.pieces[steps]
    writing.refuse_unwritable(value)
    flow = in_brackets(spans, steps)
    column = spans.column(piece.head)
    used = spans.column(piece.head_end)
    indent = column + writing.STEP
    room = max(writing.WIDTH, spans.column(piece.end) if _on_one_line(spans, piece) else 0)
    if piece.kind != "scalar":
        return (
            [f" {writing.inline(value, brackets=True)}"]
            if flow
            else writing.value_lines(value, indent, used)
        )
    one_line = _inline_like(spans, steps, value, piece, flow=flow)
    if one_line is not None and (flow or used + 1 + len(one_line) <= room):
        return [f" {one_line}"]
    if flow:
        return [f" {writing.inline(value, brackets=True)}"]
    kept = value.removesuffix("\n")
    chomp = "-" if kept == value else ""
    old = _content(spans, piece)
    pad = old[0] if old else " " * indent
    if piece.style == ">" and writing.can_fold(kept):
        before = old[1] if old and " ".join(old[1]) == piece.text.removesuffix("\n") else []
        folded = writing.refolded(before, kept, writing.WIDTH - len(pad))
        return [f" >{chomp}", *(f"{pad}{line}" if line else "" for line in folded)]
    if piece.style == "|" and writing.can_stand_in_lines(kept):
        return [f" |{chomp}", *(f"{pad}{line}" if line else "" for line in kept.split("\n"))]
    if piece.style == '"' and piece.text and not writing.can_fold(value):
        return [f" {writing.double_quoted(value)}"]
    if piece.style not in ("|", ">") and "\n" not in value and writing.can_fold(value):
        lines = writing.folded(value, writing.WIDTH - indent)
        return [" >-", *(f"{' ' * indent}{line}" for line in lines)]
    return writing.value_lines(value, indent, used)


def _on_one_line(spans: Spans, piece: Piece) -> bool:
    return spans.line_of(piece.head) == spans.line_of(piece.end)


def _inline_like(spans: Spans, steps: Steps, value: str, piece: Piece, *, flow: bool) -> str | None:
    """On one line in the old quotes or without; None where that cannot be."""
    if piece.style in ("'", '"') and not piece.text:
        # The quotes of an emptied field were nobody's wish.
        return writing.inline(value, brackets=flow)
    if piece.style == "'":
        return writing.single_quoted(value)
    if piece.style == '"':
        return writing.double_quoted(value)
    if piece.style:
        return None
    if writing.plain(value, brackets=flow):
        # Before a remark a longer text would look broken off.
        remark = spans.text[piece.end : spans.end_of(spans.line_of(piece.end))].strip(" \t")
        prose = remark.startswith("#") and value.count(" ") > 2
        return writing.quoted(value) if prose else value
    # A version or a price stays a number.
    number = not isinstance(spans.at(steps), (str, type(None)))
    return value if number and not isinstance(plain_value(value), (str, type(None))) else None


def _content(spans: Spans, piece: Piece) -> tuple[str, list[str]] | None:
    """Indentation and lines of a block text; None where the lines do not share one."""
    if piece.style not in ("|", ">"):
        return None
    first, last = spans.line_of(piece.start) + 1, spans.line_of(piece.end)
    lines = [spans.line(line) for line in range(first, last + 1)]
    full = [line for line in lines if line.strip()]
    if not full:
        return None
    pad = full[0][: len(full[0]) - len(full[0].lstrip(" "))]
    return pad, [line.removeprefix(pad) for line in lines]
