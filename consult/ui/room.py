"""How much of the call screen a window has room for."""

from __future__ import annotations

ROOMY_WIDTH, ROOMY_HEIGHT = 100, 36
"""From here there is room for the picture beside the words."""
SLIM_WIDTH = 75
"""Below this the figures have no room beside the words; /why and /picture have them."""
WIDE_WIDTH = 150
"""From here the picture has a column of its own."""
LOW_HEIGHT = 18
"""Below this there is no room for what was said; /amend has it."""
LONG_LIST = 6
"""Choices that take the whole width of a small screen: a list read out must be seen whole."""


def room(width: int, height: int) -> dict[str, bool]:
    """Class of the screen -> whether a window of so many cells has it."""
    return {
        "narrow": width < ROOMY_WIDTH,
        "bare": height < ROOMY_HEIGHT or width < ROOMY_WIDTH,
        "slim": width < SLIM_WIDTH,
        "wide": width >= WIDE_WIDTH,
        "low": height < LOW_HEIGHT,
    }
