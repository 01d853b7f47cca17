"""What can be asked for, a length, a weight or a plain number, and what is heard of it."""

from __future__ import annotations

from dataclasses import dataclass, field

from consult.scale import IN_KG, IN_MM


@dataclass(frozen=True, slots=True)
class Heard:
    """A value with its margin, in mm, kg or as a plain number."""

    value: float
    spread: float = 0.0
    """Half the width of a range, or the margin an "about" adds; same unit as ``value``."""
    said: str = field(default="", compare=False)
    """The same answer with its units, for a record that must not depend on the caller's units."""


@dataclass(frozen=True, slots=True)
class Kind:
    """What is asked for: a length, a weight or a plain number."""

    name: str
    units: tuple[str, ...]
    little: str
    much: str
    about: float
    """Margin that "about" adds; common practice, no source."""
    most: float
    """Where nothing usual is given, no answer is larger."""
    finest: float
    """Two statements of one value agree within half of the coarser's last digit, or of this."""
    big: str = ""
    small: str = ""
    """The old pair, feet and inches, that "5 2" or "5.2" may stand for."""


LENGTH = Kind("length", tuple(IN_MM), "short", "long", 10.0, 10_000.0, 25.4, "ft", "in")
MASS = Kind("weight", tuple(IN_KG), "light", "heavy", 2.0, 500.0, 1.0, "st", "lb")
COUNT = Kind("plain number", (), "small", "large", 1.0, 1_000_000.0, 1.0)
