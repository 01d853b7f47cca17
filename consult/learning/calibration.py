"""Stated odds beside what was observed, in bands."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from consult.learning.intervals import share_interval

EDGES = (0.0, 0.5, 0.7, 0.8, 0.9, 0.95, 1.0)
"""Of the bands of stated odds; the last one is whole."""
FEW = 5
"""Fewer calls than this are never counted apart, because they point at people."""


@dataclass(frozen=True, slots=True)
class Band:
    """Calls that ended with about the same odds; all shares from 0 to 1."""

    low: float
    high: float
    calls: int
    """Those of which it is known whether the chair fits and holds."""
    came_true: int
    stated: float
    """Mean of the odds stated."""

    @property
    def observed(self) -> float:
        """Share of chairs that fit and hold."""
        return self.came_true / self.calls

    @property
    def interval(self) -> tuple[float, float]:
        """Where the true share may lie, 95 of 100 times."""
        return share_interval(self.came_true, self.calls)

    @property
    def off(self) -> bool:
        """Whether the odds stated lie outside the interval."""
        low, high = self.interval
        return not low <= self.stated <= high


def bands_of(calls: Iterable[tuple[float, bool]]) -> tuple[Band, ...]:
    """Stated odds and whether they came true, as bands of which none points at people.

    A band is joined with the next lower one until five chairs or more came true in it, and none or
    five or more did not; what is left over at the lower end joins the band above it. Empty where
    not even all calls together are enough.
    """
    sorted_in: list[list[tuple[float, bool]]] = [[] for _ in EDGES[1:]]
    for stated, true in calls:
        place = sum(edge <= stated for edge in EDGES[1:-1])
        sorted_in[place].append((stated, true))
    found: list[tuple[float, float, list[tuple[float, bool]]]] = []
    waiting: list[tuple[float, bool]] = []
    top = EDGES[-1]
    for place in reversed(range(len(sorted_in))):
        waiting = sorted_in[place] + waiting
        if _is_shown(waiting):
            found.append((EDGES[place], top, waiting))
            waiting, top = [], EDGES[place]
    while waiting and found and not _is_shown(waiting):
        _, top, above = found.pop()
        waiting = waiting + above
    if _is_shown(waiting):
        found.append((EDGES[0], top, waiting))
    return tuple(_band(low, high, inside) for low, high, inside in reversed(found))


def _is_shown(calls: Sequence[tuple[float, bool]]) -> bool:
    true = sum(came for _, came in calls)
    false = len(calls) - true
    return true >= FEW and (false == 0 or false >= FEW)


def _band(low: float, high: float, calls: Sequence[tuple[float, bool]]) -> Band:
    stated = sum(odds for odds, _ in calls) / len(calls)
    return Band(low, high, len(calls), sum(came for _, came in calls), stated)
