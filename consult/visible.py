"""Text from people made safe to show: in a terminal, on one line, in a cell of a spreadsheet."""

from __future__ import annotations

import re
from collections.abc import Set

TURNING = (*range(0x202A, 0x202F), *range(0x2066, 0x206A))
"""Marks that turn the direction of everything after them, which is not theirs."""
_PICTURES = {code: 0x2400 + code for code in range(32) if chr(code) not in "\n\t"} | {0x7F: 0x2421}
_UNSEEN = dict.fromkeys([*range(0x80, 0xA0), *TURNING], "\N{REPLACEMENT CHARACTER}")
_SHOWN: dict[int, int | str] = {**_PICTURES, **_UNSEEN}


def visible(text: str) -> str:
    """The text with control and directional characters as visible signs; lines and tabs stay."""
    return text.translate(_SHOWN).encode("utf-8", "replace").decode("utf-8")


# -- cells of a table that a spreadsheet does not reckon with -------------------------------------

FORMULA = frozenset("=+-@＝＋－＠")
"""Signs at the beginning of a cell that a spreadsheet takes for a formula, the wide ones too."""
BOM = "\ufeff"
"""At the beginning of a file; without it a spreadsheet takes the file for Windows-1252."""


def guarded(text: str, also: Set[str] = frozenset()) -> str:
    """The text with an apostrophe before it where a spreadsheet would take it for a formula.

    Blanks before a formula are passed over, as a spreadsheet may. ``also`` are further first signs
    that get an apostrophe.
    """
    if text.lstrip()[:1] in FORMULA or text[:1] in also:
        return f"'{text}"
    return text


# -- harmless -------------------------------------------------------------------------------------
# Text somebody typed, shown so that it can do nothing to a terminal, a line or its neighbours.

_LINE_END = re.compile("\r\n|[\n\r\t\u2028\u2029]")
_ESCAPE, _DELETE, _REPLACED = "\u241b", "\u2421", "\ufffd"
_TABLE: dict[int, str] = {
    **{code: chr(0x2400 + code) for code in range(0x20)},
    0x7F: _DELETE,
    # Each of these stands for escape and a letter; shown as that, it says what it was.
    **{code: _ESCAPE + chr(code - 0x40) for code in range(0x80, 0xA0)},
    **dict.fromkeys(TURNING, _REPLACED),
    # Half a character cannot be written to a file.
    **dict.fromkeys(range(0xD800, 0xE000), _REPLACED),
}


def harmless(text: str) -> str:
    """The text on one line, control characters shown as symbols."""
    return _LINE_END.sub(" ", text).translate(_TABLE)
