"""The two faces of a PDF, whole or as the few letters that most documents need.

Reading a face of six thousand letters takes longer than setting two pages with it, so a reduced one
is used wherever it suffices. ``.ci/faces.py`` makes it.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Container
from pathlib import Path

from consult.picture.labels import JOINED
from consult.visible import harmless

FOLDER = Path(__file__).parent / "fonts"
_FILES = {False: "DejaVuSans", True: "DejaVuSans-Bold"}
COMMON = (
    *range(0x20, 0x7F),
    *range(0xA0, 0xAD),
    *range(0xAE, 0x180),
    *range(0x2010, 0x2015),
    *(ord(one) for one in "‘’“”„•…€™−×÷⅓⅔⅛⅜⅝⅞≤≥≈→"),
)
"""Letters of most European languages, fractions, and the signs a summary is written with."""


class Rare(Exception):  # noqa: N818 - it is no error: the whole face has to be taken
    """A text has a letter that is not in the reduced face."""


def face_file(bold: bool, *, whole: bool) -> Path:
    """The file of a face, or of the one with common letters only."""
    return FOLDER / f"{_FILES[bold]}{'' if whole else '-common'}.ttf"


# -- pdf words ------------------------------------------------------------------------------------
# Text on its way to a PDF: what a face cannot show, what has to be shaped.

_TURNED = frozenset({"R", "AL", "AN", "RLE", "RLO", "RLI"})
"""Bidirectional classes (Unicode Annex 9) of letters that are not written from left to right."""


def spelled(text: str, known: Container[int]) -> str:
    """The text on one line; a letter that is not ``known`` as its code: "[U+4E2D]"."""
    line = " ".join(harmless(text).split())
    if all(ord(one) in known for one in line):
        return line
    return "".join(one if ord(one) in known else f"[U+{ord(one):04X}]" for one in line)


def to_shape(text: str) -> bool:
    """Whether letters of it join, move or run from right to left."""
    return not text.isascii() and any(
        unicodedata.category(one) in JOINED or unicodedata.bidirectional(one) in _TURNED
        for one in text
    )


def runs_left(text: str) -> bool:
    """Whether a paragraph begins at the right, told by its first letter (Unicode Annex 9, P2)."""
    if text.isascii():
        return False
    for one in text:
        match unicodedata.bidirectional(one):
            case "L":
                return False
            case "R" | "AL":
                return True
    return False
