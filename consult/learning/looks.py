"""When past calls are looked at, and how sure a proposal must be, so that few are false.

Looking after every call would find a difference by chance sooner or later. Calls are looked at when
there are 50, 100, 200, 400 and so on, always the first so many, or the latest of them. Look ``k``
may spend 1 / (k (k + 1)) of ``WRONG``, which adds up to ``WRONG`` over all looks. Every kind of
value gets an equal part of it, and Holm's correction shares that among everything tested of the
kind. So 19 of 20 makers without any difference never see a false proposal.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

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
