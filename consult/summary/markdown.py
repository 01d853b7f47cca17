"""Writes a document as Markdown in which every text shows literally, whatever was typed."""

from __future__ import annotations

import re
from collections.abc import Sequence

from consult.summary.blocks import (
    Alert,
    Block,
    Fields,
    Heading,
    Items,
    NewPage,
    Paragraph,
    Picture,
    Table,
)
from consult.summary.harmless import harmless
from consult.summary.text import blanks

_MARKS = re.compile(r"[\\`*_\[\]<>&|~#$@]|!(?=\[)|:(?=\S)|(?<=\bwww)\.")
"""What means something inside a line; a colon and a point make addresses into links."""
_FIRST = re.compile(r"[-+=]|\d{1,9}(?=[.)](?: |$))")
"""What means something at the beginning of a line: lists, rules and underlines."""


def to_markdown(blocks: Sequence[Block]) -> str:
    """The document, a blank line between blocks; lines are not wrapped."""
    written = [_block(block) for block in blocks if not isinstance(block, NewPage)]
    return "\n\n".join(written) + "\n"


def literal(text: str) -> str:
    """The text as one line of Markdown that shows exactly it."""
    line = " ".join(harmless(text).split())
    first = _FIRST.match(line)
    marked = _MARKS.sub(r"\\\g<0>", line)
    if first is None:
        return marked
    at = 0 if first.group()[0] in "-+=" else first.end()
    return f"{marked[:at]}\\{marked[at:]}"


def _block(block: Block) -> str:
    match block:
        case NewPage():
            return ""
        case Heading(level, text):
            return f"{'#' * level} {literal(text)}"
        case Paragraph(text):
            return literal(text)
        case Alert(label, text):
            return f"> **{literal(label)}:** {literal(text)}"
        case Picture(alt=alt):
            return literal(f"In the picture: {alt}")
        case Fields(fields):
            return "  \n".join(literal(blanks(one)) for one in fields)
        case Items():
            return _items(block)
        case Table(head, rows):
            return "\n".join([_row(head), _row(["---"] * len(head), plain=True), *map(_row, rows)])


def _items(block: Items) -> str:
    lines = []
    for number, item in enumerate(block.items, start=1):
        mark = f"{number}." if block.numbered else "-"
        lines.append(f"{mark} {literal(item.text)}")
        inside = " " * (len(mark) + 1)
        lines += [f"{inside}- {literal(under)}" for under in item.under]
    return "\n".join(lines)


def _row(cells: Sequence[str], plain: bool = False) -> str:
    return f"| {' | '.join(cell if plain else literal(cell) for cell in cells)} |"
