"""Shaded rectangles behind the questions of each sub-tree."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING

from consult.content.drawing.columns import STRIP

if TYPE_CHECKING:
    from consult.content.drawing.boxes import Box

_ROUND = 2.5
"""How far a band reaches beyond its boxes; mm."""


@dataclass(frozen=True, slots=True)
class Placed:
    """A box and its upper left corner."""

    box: Box
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class Band:
    """A shaded rectangle behind questions of one sub-tree."""

    title: str
    x: float
    y: float
    wide: float
    high: float
    foot: float
    """Where the title begins, running upwards: beside a question, where nothing else stands."""


def bands_of(
    placed: Sequence[Placed], groups: Sequence[str], columns: Sequence[int]
) -> Iterator[Band]:
    """Behind each run of questions of one sub-tree; never behind a question of another.

    ``groups`` and ``columns`` say of each box which sub-tree it is of, and in which column.
    """
    asked = [at for at, one in enumerate(placed) if one.box.shape in ("question", "topic")]

    def place(at: int) -> tuple[str, int]:
        return groups[at], columns[at]

    order = sorted(filter(groups.__getitem__, asked), key=lambda at: (*place(at), placed[at].y))
    for (group, _), run in groupby(order, key=place):
        strangers = [placed[at] for at in asked if groups[at] != group]
        kept: list[Placed] = []
        for one in (placed[at] for at in run):
            longer = _band(group, [*kept, one])
            if kept and any(_touch(longer, stranger) for stranger in strangers):
                yield _band(group, kept)
                kept = []
            kept.append(one)
        yield _band(group, kept)


def _band(title: str, placed: Sequence[Placed]) -> Band:
    left = min(one.x for one in placed) - STRIP
    top = min(one.y for one in placed) - _ROUND
    right = max(one.x + one.box.wide for one in placed) + _ROUND
    bottom = max(one.y + one.box.high for one in placed) + _ROUND
    beside = max((one for one in placed if one.x - STRIP == left), key=lambda one: one.box.high)
    foot = beside.y + beside.box.high
    return Band(title, left, top, right - left, bottom - top, foot)


def _touch(band: Band, one: Placed) -> bool:
    return (
        band.x < one.x + one.box.wide
        and one.x < band.x + band.wide
        and band.y < one.y + one.box.high
        and one.y < band.y + band.high
    )
