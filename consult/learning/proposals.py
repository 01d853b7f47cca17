"""Proposals: values that calls should use instead, from what the maker's own calls show."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from consult.learning.looks import holm

if TYPE_CHECKING:
    from consult.learning.looks import Look

KINDS = ("time", "share", "error", "mean", "fault")
"""What is learned, by the beginning of the names; each may spend the same part of a look."""
SHIPPED_COUNTS = 20
"""Observations that the shipped value counts as (assumed): own ones outweigh it from there on."""


def shrunk(shipped: float, own: float, count: int, counts: int = SHIPPED_COUNTS) -> float:
    """The mean of ``count`` own observations, drawn towards the value shipped."""
    return (counts * shipped + count * own) / (counts + count)


@dataclass(frozen=True, slots=True)
class Comparison:
    """One value held against own calls; its unit goes by its name (``tree.learned.Accepted``)."""

    name: str
    chance: float
    """Of a difference as large as this if there is none."""
    shipped: float
    now: float
    """What calls use."""
    value: float
    """What they should use."""
    count: int
    """Observations."""
    matters: bool
    """Whether the difference is large enough to be worth a change."""


@dataclass(frozen=True, slots=True)
class Proposals:
    """What one look at past calls comes to."""

    look: Look
    tested: int
    """How many values were held against calls."""
    found: tuple[Comparison, ...]
    """Those to propose, by name."""


def proposals(look: Look, tested: Iterable[Comparison]) -> Proposals:
    """The values that differ by more than chance and by enough to matter.

    Everything of a kind that is tested at one look must be given together: they share what the
    look may spend on that kind.
    """
    every = {one.name: one for one in tested}
    sure: set[str] = set()
    for kind in KINDS:
        own = {name: one.chance for name, one in every.items() if kind_of(name) == kind}
        sure |= holm(own, look.alpha / len(KINDS))
    found = tuple(every[name] for name in sorted(sure) if every[name].matters)
    return Proposals(look, len(every), found)


def kind_of(name: str) -> str:
    """What a name is of: time, share, error, mean or fault."""
    return name.partition(".")[0]
