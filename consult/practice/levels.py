"""How much a practice call helps the learner; loads nothing else, for the command line."""

from __future__ import annotations

from typing import Literal, get_args

Level = Literal["guided", "partly_guided", "unaided"]
"""guided: the tree's question is on the screen; partly guided: only the names of open questions;
unaided: nothing but the caller."""
LEVELS: tuple[Level, ...] = get_args(Level)
"""The easiest first."""
_EARLIER: dict[str, Level] = {"loose": "partly_guided", "bare": "unaided"}
"""Names in courses and records of earlier versions."""


def level_of(name: str) -> Level:
    """The level of that name, as it is or was called; ValueError where there is none."""
    for level in LEVELS:
        if level == name:
            return level
    if name not in _EARLIER:
        raise ValueError(f"There is no level called '{name}'.")
    return _EARLIER[name]


def level_words(level: Level) -> str:
    """The level as people read it."""
    return level.replace("_", " ")
