"""The lines of the outline and of the lists that open a thing, as literal text."""

from __future__ import annotations

from textual.content import Content

from consult.ui.edit.sheets import Entry, Sheets
from consult.ui.words import LEVELS, literal

SIGNS = {
    **{"question": "?", "include": "→", "pool": "◇", "topic": "◆"},
    **{"caution": "!", "advice": "·", "need": "+", "always": "="},
    **{"part": "▪", "country": "☎"},
}
"""Beside the words of each kind, so that no colour is needed to tell them apart."""


def one_line(text: str) -> Content:
    """A text in one line."""
    return literal(" ".join(text.split())[:300])


def level_of(entry: Entry, sheets: Sheets) -> str:
    """Which kind of reader it is: the level of a caution, else its kind."""
    if entry.kind == "caution":
        level = sheets.value(entry.place, "level")
        return LEVELS.get(level, level.upper())
    return entry.kind


def outline_line(
    entry: Entry,
    sheets: Sheets,
    wrong: int,
    *,
    open_: bool,
    changed: bool,
    found: bool,
    inside: bool = False,
) -> Content:
    """One line: its sign, its name, what it says, and how much is wrong in it.

    One that was ``found`` says its file too; one ``inside`` a pool or topic is set in.
    """
    many = literal(f" ✗{wrong}", "bold") if wrong else Content("")
    if entry.kind in ("file", "text"):
        arrow = "▾" if open_ else "▸"
        star = " *" if changed else ""
        return literal(f"{arrow} {entry.place.file}{star}", "bold") + many
    sign = SIGNS[entry.kind]
    name = entry.name
    if entry.kind == "caution":
        name = f"{level_of(entry, sheets)} {name}"
    if found:
        many += literal(f"  {entry.place.file.removesuffix('.yaml')}", "italic")
    words = literal("  " + " ".join(entry.words.split())[:120], "dim")
    return literal(f"  {'  ' * inside}{sign} {name}") + many + words
