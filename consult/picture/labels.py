"""Where labels stand, so that none covers another, how wide text is and where its lines break."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Sequence
from dataclasses import dataclass

_WIDTHS = (
    (0.35, "ijl' "),
    (0.39, "I,./\\|"),
    (0.47, "()[]:;!f"),
    (0.53, 'rt"°`_–-'),
    (0.6, "csz?*J"),
    (0.7, "aekvxyFL0123456789$"),
    (0.74, "bdghnopquSTYZEPé{}"),
    (0.79, "BCARKVX"),
    (0.88, "DGHNUOQ&+<=>^~−×#"),
    (1.05, "mMw%@¼½¾…—"),
    (1.12, "W"),
)
"""Width of a letter in parts of the font size: no less than in a bold wide sans face.

Taken from DejaVu Sans Bold, one of the widest in use, and rounded up; most sans faces need about a
sixth less, so text as measured here always has room."""
_OF_LETTER = {letter: width for width, letters in _WIDTHS for letter in letters}
_REGULAR = 0.96
"""A face that is not bold, against the table."""
_OTHER, _FULL = 1.1, 1.4
"""Letters that are not in the table; those that East Asian tables call wide, and emoji."""
JOINED = frozenset({"Mn", "Mc", "Me", "Cf"})
"""Categories of marks that stand on, or change, the letter before them."""


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle on paper, mm, y down."""

    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: Box) -> bool:
        """Whether the two cover some of the same paper; touching is not meeting."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )


def label_width(text: str, size: float, *, bold: bool = False) -> float:
    """At least as much as the text takes in a sans face of this size; in the unit of ``size``."""
    return sum(_letter(letter) for letter in text) * size * (1.0 if bold else _REGULAR)


def _letter(letter: str) -> float:
    if letter in _OF_LETTER:
        return _OF_LETTER[letter]
    if unicodedata.combining(letter):
        return 0.0
    return _FULL if unicodedata.east_asian_width(letter) in "WF" else _OTHER


def wrap(text: str, size: float, room: float) -> list[str]:
    """The text in lines no wider than ``room``; a word that is too long is broken."""
    # A sum of widths may be rounded up where the whole line just fits.
    return wrapped(" ".join(text.split()), lambda part: label_width(part, size), room + 1e-9)


def wrapped(text: str, width: Callable[[str], float], room: float) -> list[str]:
    """Lines no wider than ``room``, broken at spaces; a word only where it alone is wider."""
    lines: list[str] = []
    line, taken, space = "", 0.0, width(" ")
    for word in text.split(" "):
        wide = width(word)
        if line and taken + space + wide <= room:
            line, taken = f"{line} {word}", taken + space + wide
            continue
        if line:
            lines.append(line)
        if wide > room:
            *full, word = _pieces(word, width, room)
            lines += full
            wide = width(word)
        line, taken = word, wide
    return [*lines, line]


def _pieces(word: str, width: Callable[[str], float], room: float) -> list[str]:
    """A word in pieces that fit; at least one letter each, with the marks that stand on it."""
    pieces, piece, taken = list[str](), "", 0.0
    for letter in word:
        wide = width(letter)
        if piece and taken + wide > room and unicodedata.category(letter) not in JOINED:
            pieces.append(piece)
            piece, taken = "", 0.0
        piece, taken = piece + letter, taken + wide
    return [*pieces, piece]


def spread_apart(
    wanted: Sequence[float], sizes: Sequence[float], low: float, high: float, gap: float = 0.0
) -> tuple[float, ...]:
    """Middles for things of these sizes along a line, each as near to where it is wanted as can be.

    They keep the order of ``wanted`` (the earlier first where two are equal), stay ``gap`` apart
    and between ``low`` and ``high``; where there is not room for all, they run past ``high``
    rather than cover one another.
    """
    order = sorted(range(len(wanted)), key=lambda place: (wanted[place], place))
    # Neighbours that would touch are moved together, as a block about its middle.
    blocks: list[tuple[list[int], float, float]] = []
    for number in order:
        members, start, length = [number], wanted[number] - sizes[number] / 2, sizes[number]
        while True:
            start = max(min(start, high - length), low)
            if not blocks or blocks[-1][1] + blocks[-1][2] + gap <= start:
                break
            before, _, reach = blocks.pop()
            length = reach + gap + length
            members = [*before, *members]
            start = _best(members, wanted, sizes, gap)
        blocks.append((members, start, length))
    middles = [0.0] * len(wanted)
    for members, start, _ in blocks:
        at = start
        for member in members:
            middles[member] = at + sizes[member] / 2
            at += sizes[member] + gap
    return tuple(middles)


def _best(
    members: Sequence[int], wanted: Sequence[float], sizes: Sequence[float], gap: float
) -> float:
    """Where a block begins so that its members are off by nothing on average."""
    ahead, off = 0.0, 0.0
    for member in members:
        off += wanted[member] - sizes[member] / 2 - ahead
        ahead += sizes[member] + gap
    return off / len(members)
