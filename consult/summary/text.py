"""Writes a document as plain text, 76 columns wide."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from consult.summary.blocks import (
    Alert,
    Block,
    Field,
    Fields,
    Heading,
    Items,
    NewPage,
    Paragraph,
    Picture,
    Table,
)
from consult.summary.harmless import harmless

WIDTH = 76
_GAP = "  "
_NARROWEST = 6


def to_text(blocks: Sequence[Block]) -> str:
    """The document, a blank line between blocks."""
    written = [_block(block) for block in blocks if not isinstance(block, NewPage)]
    return "\n\n".join(written) + "\n"


def _block(block: Block) -> str:
    match block:
        case NewPage():
            return ""
        case Heading(level, text):
            lines = _wrapped(text)
            return "\n".join([*lines, ("=" if level == 1 else "-") * max(map(len, lines))])
        case Paragraph(text):
            return "\n".join(_wrapped(text))
        case Alert(label, text):
            return "\n".join(_wrapped(f"{label.upper()}: {text}", "!! ", "!! "))
        case Picture(alt=alt):
            return "\n".join(_wrapped(f"In the picture: {alt}"))
        case Fields(fields):
            return "\n".join(line for one in fields for line in _wrapped(blanks(one)))
        case Items():
            return _items(block)
        case Table():
            return _table(block)


def blanks(field: Field) -> str:
    """A place to write in, where nothing can be drawn: "leg: ________ cm"."""
    return f"{field.name}: {' '.join(f'________ {unit}'.strip() for unit in field.units)}"


def _items(block: Items) -> str:
    lines: list[str] = []
    for number, item in enumerate(block.items, start=1):
        mark = f"{number}. ".rjust(4) if block.numbered else "- "
        inside = " " * len(mark)
        lines += _wrapped(item.text, mark, inside)
        for under in item.under:
            lines += _wrapped(under, f"{inside}- ", f"{inside}  ")
    return "\n".join(lines)


def _table(table: Table) -> str:
    rows = [[harmless(cell) for cell in row] for row in (table.head, *table.rows)]
    widths = _widths(rows)
    rule = _GAP.join("-" * width for width in widths)
    written = [_row(row, widths) for row in rows]
    return "\n".join([*written[0], rule, *(line for row in written[1:] for line in row)])


def _row(row: Sequence[str], widths: Sequence[int]) -> list[str]:
    """One row, over as many lines as its longest cell needs."""
    cells = [_fill(cell, width) for cell, width in zip(row, widths, strict=True)]
    lines = []
    for at in range(max(len(cell) for cell in cells)):
        pieces = [cell[at] if at < len(cell) else "" for cell in cells]
        padded = [piece.ljust(width) for piece, width in zip(pieces, widths, strict=True)]
        lines.append(_GAP.join(padded).rstrip())
    return lines


def _widths(rows: Sequence[Sequence[str]]) -> list[int]:
    """As wide as the cells need; where that is too wide, the widest column gives way."""
    widths = [max(1, *(len(cell) for cell in column)) for column in zip(*rows, strict=True)]
    room = WIDTH - len(_GAP) * (len(widths) - 1)
    widths = [min(width, room) for width in widths]
    while sum(widths) > room and max(widths) > _NARROWEST:
        widths[widths.index(max(widths))] -= 1
    return widths


def _wrapped(text: str, first: str = "", rest: str = "") -> list[str]:
    safe = harmless(text)
    lines = _fill(safe, WIDTH - len(first))
    return [f"{rest if at else first}{line}".rstrip() for at, line in enumerate(lines)]


def _fill(text: str, width: int) -> list[str]:
    """Lines broken at spaces; inside a word only where it alone is wider than a line."""
    return textwrap.wrap(text, width, break_on_hyphens=False) or [""]
