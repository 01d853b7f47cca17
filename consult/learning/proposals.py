"""Proposals: values that calls should use instead, from what the maker's own calls show."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

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


# -- when past calls are looked at, and how sure a proposal must be, so that few are false --------
# Looking after every call would find a difference by chance sooner or later. Calls are looked at
# when there are 50, 100, 200, 400 and so on, always the first so many, or the latest of them.
# Look ``k`` may spend 1 / (k (k + 1)) of ``WRONG``, which adds up to ``WRONG`` over all looks.
# Every kind of value gets an equal part of it, and Holm's correction shares that among
# everything tested of the kind. So 19 of 20 makers without any difference never see a false
# proposal.

FIRST = 50
"""Calls at the first look."""
LATEST = 12_800
"""Of the calls of a look, the latest so many are read: callers may change with the years."""
WRONG = 0.05
"""Share of makers without any difference who may ever see a proposal."""


@dataclass(frozen=True, slots=True)
class Look:
    """One look at past calls."""

    number: int
    """1 for the first."""
    calls: int
    """How many calls it looks at."""
    alpha: float
    """Chance of a false proposal that it may spend."""


def look_at(calls: int) -> Look | None:
    """The last look that so many calls allow; None before the first."""
    number = (calls // FIRST).bit_length()
    if number == 0:
        return None
    return Look(number, FIRST << (number - 1), WRONG / (number * (number + 1)))


def holm(chances: Mapping[str, float], alpha: float) -> frozenset[str]:
    """The names whose chance of coming about without a difference is small enough.

    Of all that have no difference, one or more is named with a chance of ``alpha`` at most.
    """
    ordered = sorted(chances, key=lambda name: chances[name])
    for place, name in enumerate(ordered):
        if chances[name] > alpha / (len(ordered) - place):
            return frozenset(ordered[:place])
    return frozenset(ordered)
