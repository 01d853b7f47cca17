"""A document as plain text, 76 columns wide, or as Markdown in which every text shows literally."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Sequence
from itertools import zip_longest

from consult.summary.blocks import (
    Alert,
    BlankField,
    DocumentBlock,
    Fields,
    Heading,
    Items,
    NewPage,
    Paragraph,
    Picture,
    Table,
)
from consult.visible import harmless

TEXT_WIDTH = 76
_GAP = "  "
_NARROWEST = 6


def to_text(blocks: Sequence[DocumentBlock]) -> str:
    """The document, a blank line between blocks."""
    written = ("\n".join(_block(block)) for block in blocks if not isinstance(block, NewPage))
    return "\n\n".join(written) + "\n"


def _block(block: DocumentBlock) -> list[str]:
    """Its lines."""
    match block:
        case NewPage():
            return []
        case Heading(level, text):
            lines = _wrapped(text)
            return [*lines, ("=" if level == 1 else "-") * max(map(len, lines))]
        case Paragraph(text):
            return _wrapped(text)
        case Alert(label, text):
            return _wrapped(f"{label.upper()}: {text}", "!! ", "!! ")
        case Picture(alt=alt):
            return _wrapped(f"In the picture: {alt}")
        case Fields(fields):
            return [line for field in fields for line in _wrapped(blanks_in_words(field))]
        case Items():
            return _items(block)
        case Table():
            return _table(block)


def blanks_in_words(field: BlankField) -> str:
    """A place to write in, where nothing can be drawn: "leg: ________ cm"."""
    return f"{field.name}: {' '.join(f'________ {unit}'.strip() for unit in field.units)}"


def _items(block: Items) -> list[str]:
    lines: list[str] = []
    for number, item in enumerate(block.items, start=1):
        mark = f"{number}. ".rjust(4) if block.numbered else "- "
        inside = " " * len(mark)
        lines += _wrapped(item.text, mark, inside)
        for under in item.under:
            lines += _wrapped(under, f"{inside}- ", f"{inside}  ")
    return lines


def _table(table: Table) -> list[str]:
    """Its rows, each over as many lines as its longest cell needs."""
    rows = [[harmless(cell) for cell in row] for row in (table.head, *table.rows)]
    widths = _widths(rows)
    lines: list[str] = []
    for number, row in enumerate(rows):
        cells = (_fill(cell, width) for cell, width in zip(row, widths, strict=True))
        for pieces in zip_longest(*cells, fillvalue=""):
            padded = (piece.ljust(width) for piece, width in zip(pieces, widths, strict=True))
            lines.append(_GAP.join(padded).rstrip())
        if number == 0:
            lines.append(_GAP.join("-" * width for width in widths))
    return lines


def _widths(rows: Sequence[Sequence[str]]) -> list[int]:
    """As wide as the cells need; where that is too wide, the widest column gives way."""
    widths = [max(1, *(len(cell) for cell in column)) for column in zip(*rows, strict=True)]
    room = TEXT_WIDTH - len(_GAP) * (len(widths) - 1)
    widths = [min(width, room) for width in widths]
    while sum(widths) > room and max(widths) > _NARROWEST:
        widths[widths.index(max(widths))] -= 1
    return widths


def _wrapped(text: str, first: str = "", rest: str = "") -> list[str]:
    lines = _fill(harmless(text), TEXT_WIDTH - len(first))
    return [f"{rest if at else first}{line}".rstrip() for at, line in enumerate(lines)]


def _fill(text: str, width: int) -> list[str]:
    """Lines broken at spaces; inside a word only where it alone is wider than a line."""
    return textwrap.wrap(text, width, break_on_hyphens=False) or [""]


# -- writes a document as Markdown in which every text shows literally, whatever was typed --------

_MARKS = re.compile(r"[\\`*_\[\]<>&|~#$@]|!(?=\[)|:(?=\S)|(?<=\bwww)\.")
"""What means something inside a line; a colon and a point make addresses into links."""
_FIRST = re.compile(r"[-+=]|\d{1,9}(?=[.)](?: |$))")
"""What means something at the beginning of a line: lists, rules and underlines."""


def to_markdown(blocks: Sequence[DocumentBlock]) -> str:
    """The document, a blank line between blocks; lines are not wrapped."""
    written = [_marked_block(block) for block in blocks if not isinstance(block, NewPage)]
    return "\n\n".join(written) + "\n"


def markdown_literal(text: str) -> str:
    """The text as one line of Markdown that shows exactly it."""
    line = " ".join(harmless(text).split())
    first = _FIRST.match(line)
    marked = _MARKS.sub(r"\\\g<0>", line)
    if first is None:
        return marked
    at = 0 if first.group()[0] in "-+=" else first.end()
    return f"{marked[:at]}\\{marked[at:]}"


def _marked_block(block: DocumentBlock) -> str:
    match block:
        case NewPage():
            return ""
        case Heading(level, text):
            return f"{'#' * level} {markdown_literal(text)}"
        case Paragraph(text):
            return markdown_literal(text)
        case Alert(label, text):
            return f"> **{markdown_literal(label)}:** {markdown_literal(text)}"
        case Picture(alt=alt):
            return markdown_literal(f"In the picture: {alt}")
        case Fields(fields):
            return "  \n".join(markdown_literal(blanks_in_words(field)) for field in fields)
        case Items():
            return _marked_items(block)
        case Table(head, rows):
            rule = f"| {' | '.join('---' for _ in head)} |"
            return "\n".join([_marked_row(head), rule, *map(_marked_row, rows)])


def _marked_items(block: Items) -> str:
    lines = []
    for number, item in enumerate(block.items, start=1):
        mark = f"{number}." if block.numbered else "-"
        lines.append(f"{mark} {markdown_literal(item.text)}")
        inside = " " * (len(mark) + 1)
        lines += [f"{inside}- {markdown_literal(under)}" for under in item.under]
    return "\n".join(lines)


def _marked_row(cells: Sequence[str]) -> str:
    return f"| {' | '.join(map(markdown_literal, cells))} |"
