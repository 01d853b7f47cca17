"""Cells of a table that a spreadsheet does not reckon with."""

from __future__ import annotations

from collections.abc import Set

FORMULA = frozenset("=+-@＝＋－＠")
"""Signs at the beginning of a cell that a spreadsheet takes for a formula, the wide ones too."""
MARK = "\ufeff"
"""At the beginning of a file; without it a spreadsheet takes the file for Windows-1252."""


def guarded(text: str, also: Set[str] = frozenset()) -> str:
    """The text with an apostrophe before it where a spreadsheet would take it for a formula.

    Blanks before a formula are passed over, as a spreadsheet may. ``also`` are further first signs
    that get an apostrophe.
    """
    if text.lstrip()[:1] in FORMULA or text[:1] in also:
        return f"'{text}"
    return text
