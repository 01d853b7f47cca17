"""What the fit says: one requirement per thing to set or buy, and notes that need saying."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from consult.moves import Moves
from consult.sentence import Sentence

MeasuredFrom = Literal["floor", "loaded seat", "length"]
Level = Literal["note", "refer", "stop"]


@dataclass(frozen=True, slots=True)
class Requirement:
    """One quantity of the set-up, in mm."""

    name: str
    target: float
    low: float
    high: float
    """Acceptable band, low <= target <= high."""
    sd: float
    """Standard deviation of the target that comes from not knowing the body exactly."""
    measured_from: MeasuredFrom
    reason: str
    """One plain sentence for the caller."""
    source: tuple[str, ...]
    """Where the rule comes from: names of ``sources.yaml``."""
    rests_on: tuple[str, ...] = ()
    """The body dimensions the target was worked out from."""


PRIVATE_NOTES = frozenset({"seat_kept_up"})
"""Notes from which an illness can be read: for nobody but the caller and their own file."""


@dataclass(frozen=True, slots=True)
class FitNote:
    """Something about the workplace that must be said: desk too high, thighs short of room, ..."""

    name: str
    """Stable snake_case name, usable in tree conditions as ``fit.<name>``."""
    level: Level
    say: Sentence
    source: tuple[str, ...]
    moves: Moves = field(default_factory=dict)
    """What it has the reader move -> which way; nothing where it only says how things stand."""
    may_move: Moves = field(default_factory=dict)
    """The same under a condition that its own words state."""


@dataclass(frozen=True, slots=True)
class Fit:
    """The whole set-up worked out together."""

    requirements: Mapping[str, Requirement]
    notes: tuple[FitNote, ...]
    missing: Mapping[str, str]
    """Requirement that could not be computed -> why, in words."""
    quantities: Mapping[str, float | bool]
    """Everything a tree condition may ask as ``fit.<name>``: mm or true/false."""
