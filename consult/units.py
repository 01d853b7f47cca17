"""What a caller says becomes mm or kg, and mm or kg become words again.

``parse_length("5ft 2", expect=(1400, 2050))`` is ``Heard(1574.8)``; ``parse_length("62", ...)``
raises ``Unclear("62 cm is short for this. Did they say 62 in (157.5 cm)?")``.
"""

from __future__ import annotations

from consult.hearing.meaning import Listener
from consult.hearing.quantity import COUNT, LENGTH, MASS, Heard, Proposal, Unclear
from consult.scale import (
    System,
    bare_length,
    format_length,
    format_mass,
    format_range,
    format_stature,
    from_unit,
    to_unit,
)

__all__ = [
    "Heard",
    "Proposal",
    "System",
    "Unclear",
    "bare_length",
    "format_length",
    "format_mass",
    "format_range",
    "format_stature",
    "from_unit",
    "likelier_lengths",
    "likelier_masses",
    "parse_count",
    "parse_length",
    "parse_mass",
    "to_unit",
]


def parse_length(
    text: str,
    bare: str = "cm",
    expect: tuple[float, float] | None = None,
    system: System = "metric",
) -> Heard:
    """A length in mm.

    Args:
        text: as said or typed: "5ft 2", "157", "29 and a half inches", "about 40 cm".
        bare: unit of a number said without one.
        expect: usual values in mm. A length with its unit said may lie outside them, from a
            quarter of the least to three times the most; zero needs a least of 0.
        system: the caller's units; where values are usual, a bare number is read in these.

    Raises:
        Unclear: there is not exactly one possible meaning; it asks what to ask, and proposes the
            readings it names.
    """
    return Listener(LENGTH, bare, expect, system).hear(text)


def likelier_lengths(
    text: str, bare: str = "cm", expect: tuple[float, float] | None = None
) -> tuple[Proposal, ...]:
    """Lengths of the same figure in other units that would be usual: 29 in for "29 cm"."""
    return Listener(LENGTH, bare, expect).likelier(text)


def likelier_masses(
    text: str, bare: str = "kg", expect: tuple[float, float] | None = None
) -> tuple[Proposal, ...]:
    """Masses of the same figure in other units that would be usual: 180 lb for "180 kg"."""
    return Listener(MASS, bare, expect).likelier(text)


def parse_mass(
    text: str,
    bare: str = "kg",
    expect: tuple[float, float] | None = None,
    system: System = "metric",
) -> Heard:
    """A mass in kg from "9st 4", "130 pounds", "59"; otherwise as ``parse_length``."""
    return Listener(MASS, bare, expect, system).hear(text)


def parse_count(text: str, expect: tuple[float, float] | None = None) -> Heard:
    """A plain number from "7 and a half", "six", "6-8"; otherwise as ``parse_length``."""
    return Listener(COUNT, "", expect).hear(text)
