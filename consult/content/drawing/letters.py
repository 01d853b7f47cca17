"""Text that has to fit: how wide it is, and its lines in a given width.

Widths are those of DejaVu Sans, which is wider than the faces a viewer may put in its place, so
that what fits here fits there.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from functools import cache, lru_cache
from pathlib import Path

import consult
from consult.visible import visible

_FOLDER = Path(consult.__file__).parent / "summary" / "fonts"
_FILES = {False: "DejaVuSans.ttf", True: "DejaVuSans-Bold.ttf"}
_UNHEARD_OF = 1.4
"""Width, over the size, of a sign that the face does not have: emoji are about so wide."""
ELLIPSIS = "…"
_LONGEST = 2000
"""Letters looked at: no box holds more."""
_NOT_SHOWN = re.compile("[\u200b-\u200f\u202a-\u202e\u2060-\u206f\ufdd0-\ufdef\ufffe\uffff]")
"""Marks that turn the direction of what follows, joiners, and codes that are no characters."""


def plain(text: str) -> str:
    """Anybody's text on one line, without what could leave its place or cannot stand in XML."""
    line = visible(" ".join(text.split()))
    return _NOT_SHOWN.sub("", "".join(one for one in line if ord(one) & 0xFFFE != 0xFFFE))


@cache
def _face(bold: bool) -> tuple[dict[int, int], int]:
    """Advance of each letter, and the units they are in."""
    from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

    with TTFont(_FOLDER / _FILES[bold], lazy=True) as face:
        advances = face["hmtx"]
        widths = {code: advances[glyph][0] for code, glyph in face.getBestCmap().items()}
        return widths, face["head"].unitsPerEm


@lru_cache(maxsize=20_000)
def _word(word: str, bold: bool) -> float:
    """Width over the size."""
    widths, units = _face(bold)
    total = 0.0
    for letter in word:
        found = widths.get(ord(letter))
        if unicodedata.combining(letter):
            continue
        total += _UNHEARD_OF if found is None else found / units
    return total


def width(text: str, size: float, *, bold: bool = False) -> float:
    """How wide a line is, in the unit of ``size``."""
    return _word(text, bold) * size


def lines(text: str, room: float, size: float, most: int, *, bold: bool = False) -> list[str]:
    """The text in lines no wider than ``room``; what does not fit ends in an ellipsis."""
    words = plain(text[:_LONGEST]).split()
    found: list[str] = [""]
    for piece, joined in _pieces(words, room, size, bold):
        longer = f"{found[-1]}{' ' if joined and found[-1] else ''}{piece}"
        if width(longer, size, bold=bold) <= room:
            found[-1] = longer
        elif len(found) == most:
            return [*found[:-1], _cut(longer, room, size, bold)]
        else:
            found.append(piece)
    if len(text) > _LONGEST:
        found[-1] = _cut(found[-1] + ELLIPSIS, room, size, bold)
    return [one for one in found if one]


def _pieces(words: list[str], room: float, size: float, bold: bool) -> Iterator[tuple[str, bool]]:
    """Words, those too long for a line in pieces; whether a space stands before each."""
    for word in words:
        begin, joined = 0, True
        while width(word[begin:], size, bold=bold) > room:
            end = begin + 1
            while width(word[begin : end + 1], size, bold=bold) <= room:
                end += 1
            yield word[begin:end], joined
            begin, joined = end, False
        yield word[begin:], joined


def _cut(text: str, room: float, size: float, bold: bool) -> str:
    kept = text.removesuffix(ELLIPSIS)
    while kept and width(kept + ELLIPSIS, size, bold=bold) > room:
        kept = kept[:-1]
    return kept.rstrip() + ELLIPSIS
