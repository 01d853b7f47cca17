"""The characters of the picture: each part has its own, so that it is told apart without colour.

The body is drawn in small dots, the chair in solid blocks, the desk in double lines, the footrest
in shading, the screen in heavy lines; with plain letters, each part has a letter of its own.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

_BRAILLE = (0x01, 0x08, 0x02, 0x10, 0x04, 0x20, 0x40, 0x80)
"""What each of a cell's eight dots, left to right and top to bottom, adds to U+2800."""
_QUARTERS = " ▘▝▀▖▌▞▛▗▚▐▜▄▙▟█"
"""By which quarters are filled: upper left 1, upper right 2, lower left 4, lower right 8."""
_RINGED = "①②③④⑤⑥⑦⑧⑨"


def braille(bits: int) -> str:
    """The braille sign of a cell; bit n is dot n, left to right and top to bottom."""
    return chr(0x2800 + sum(add for at, add in enumerate(_BRAILLE) if bits >> at & 1))


def _quarters(bits: int) -> str:
    """A quarter holds four dots; it is filled from one on, so that nothing thin vanishes."""
    filled = [bool(bits & mask) for mask in (0x05, 0x0A, 0x50, 0xA0)]
    return _QUARTERS[sum(1 << at for at, is_filled in enumerate(filled) if is_filled)]


def _density(bits: int) -> str:
    """The heavier the letter, the more of the cell is covered."""
    count = bits.bit_count()
    return " ..:::%%%"[count]


@dataclass(frozen=True, slots=True)
class Glyphs:
    """One way of writing every part."""

    body: tuple[str, ...]
    """By the eight dots of a cell."""
    chair: tuple[str, ...]
    footrest: str
    footrest_edge: str
    """A cell that it fills only in part."""
    castor: str
    desk: str
    leg: str
    joint: str
    box: Mapping[str, str]
    """Corners and side of a desk thick enough to show: tl, tr, bl, br, side."""
    screen: str
    stand: str
    sight: str
    floor: str
    marks: Mapping[str, str]


DRAWN = Glyphs(
    body=tuple(braille(bits) for bits in range(256)),
    chair=tuple(_quarters(bits) for bits in range(256)),
    footrest="▒",
    footrest_edge="░",
    castor="●",
    desk="═",
    leg="║",
    joint="╦",
    box={"tl": "╔", "tr": "╗", "bl": "╚", "br": "╝", "side": "║"},
    screen="┃",
    stand="│",
    sight="┄",
    floor="▔",
    marks={str(number): sign for number, sign in enumerate(_RINGED, start=1)},
)
PLAIN = Glyphs(
    body=tuple(_density(bits) for bits in range(256)),
    chair=tuple("#" if bits else " " for bits in range(256)),
    footrest="+",
    footrest_edge="+",
    castor="O",
    desk="=",
    leg="H",
    joint="=",
    box={"tl": "=", "tr": "=", "bl": "=", "br": "=", "side": "H"},
    screen="|",
    stand="!",
    sight="-",
    floor="_",
    marks={str(number): f"[{number}]" for number in range(1, 10)},
)
