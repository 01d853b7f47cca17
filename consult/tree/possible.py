"""What an answer can be at all, as far as a condition can tell the answers apart.

A condition sees few differences: whether a number lies below, at or above those it is compared
with, which of the choices it names were ticked. One answer stands for all that it cannot tell
apart, so that a handful of them stands for every call there can be.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise

from consult.hearing.quantity import COUNT, LENGTH, MASS
from consult.tree.draft import Block
from consult.tree.facts import choices_of, expected, question_kind
from consult.tree.nodes import Value
from consult.tree.quantities import unit_named
from consult.tree.typecheck import Sort
from consult.units import to_unit

SLACK = 1.001
"""Limits of an answer are taken a little wider than they are heard, so that rounding decides
nothing."""
_CLOSE = 1e-6
"""Numbers of a condition nearer to one another than this are not told apart with certainty."""
_KINDS = {"length": LENGTH, "mass": MASS, "count": COUNT}
_MOST_NAMED = 10


@dataclass(frozen=True, slots=True)
class Possible:
    """The answers there can be to one question, or the values of one quantity."""

    sort: Sort
    choices: tuple[str, ...] = ()
    exclusive: str | None = None
    least: float = -math.inf
    """In the question's own unit."""
    most: float = math.inf
    unit: str = ""
    known: bool = False
    """Whether it is never unknown where it is looked at."""


@dataclass(frozen=True, slots=True)
class Region:
    """Numbers a condition cannot tell apart: one number, or all between two others."""

    low: float
    high: float
    stands_for_it: float

    @property
    def is_point(self) -> bool:
        """One number by itself."""
        return self.low == self.high


def answers_of(name: str, block: Block) -> Possible:
    """The answers there can be to a question."""
    kind = question_kind(name, block)
    if kind.sort == "number":
        least, most = _limits(block)
        return Possible("number", least=least, most=most, unit=kind.unit or "")
    return Possible(kind.sort, tuple(choices_of(block)), block.text("exclusive"))


def values_of(name: str) -> Possible:
    """The values there can be of ``fit.``, ``body.`` or ``range.`` something."""
    found = unit_named(name)
    if found == "yes-no":
        return Possible("yes-no")
    return Possible("number" if found else "unclear", unit=found or "cm")


def _limits(block: Block) -> tuple[float, float]:
    """What is heard as an answer at all: see ``consult.units.parse_length``."""
    usual = expected(block)
    if usual is not None:
        return 0.25 * usual[0] / SLACK, 3 * usual[1] * SLACK
    kind = _KINDS.get(block.text("answer") or "")
    if kind is None or "expect" in block.data:
        return 0.0, math.inf
    unit = block.text("unit")
    return 0.0, (to_unit(kind.most, unit) if unit else kind.most) * SLACK


def regions(points: Iterable[float], possible: Possible) -> list[Region] | None:
    """The numbers there can be, cut at ``points``, from below; None where points nearly touch."""
    marks = sorted(set(points))
    if any(high - low <= _CLOSE * max(1.0, abs(high)) for low, high in pairwise(marks)):
        return None
    least, most = possible.least, possible.most
    marks = [mark for mark in marks if least <= mark <= most]
    ends = [least, *marks, most]
    found = []
    for index, (low, high) in enumerate(pairwise(ends)):
        if index > 0:
            found.append(Region(low, low, low))
        if low < high:
            found.append(Region(low, high, _between(low, high)))
    return found


def _between(low: float, high: float) -> float:
    if math.isinf(low) and math.isinf(high):
        return 1.0
    if math.isinf(low):
        return high - max(1.0, abs(high) / 2)
    return low + max(1.0, abs(low) / 2) if math.isinf(high) else (low + high) / 2


def answers(
    possible: Possible, named: Collection[str], points: Iterable[float]
) -> Sequence[Value | None] | None:
    """One answer for each case that can be told apart, not known last.

    ``named`` are the choices the conditions name, ``points`` the numbers they compare it with.
    None where there are too many cases to look at.
    """
    found: list[Value]
    match possible.sort:
        case "number":
            cut = regions(points, possible)
            if cut is None:
                return None
            found = [region.stands_for_it for region in cut]
        case "yes-no":
            found = [True, False]
        case "choice":
            others = [choice for choice in possible.choices if choice not in named]
            found = [*(one for one in possible.choices if one in named), *others[:1]]
        case "choices":
            if sum(choice in named for choice in possible.choices) > _MOST_NAMED:
                return None
            found = list(_ticked(possible, named))
        case "text":
            found = ["said"]
        case "date":
            found = [date(2026, 1, 1)]
        case _:
            return None
    return found if possible.known else [*found, None]


def _ticked(possible: Possible, named: Collection[str]) -> Iterator[frozenset[str]]:
    """Every set of choices that can be ticked; of those nobody names one stands for all."""
    alone = possible.exclusive
    beside = [one for one in possible.choices if one != alone]
    unnamed = [one for one in beside if one not in named]
    free = [*(one for one in beside if one in named), *unnamed[:1]]
    for bits in range(1, 1 << len(free)):
        yield frozenset(one for index, one in enumerate(free) if bits >> index & 1)
    if alone in possible.choices:
        yield frozenset((str(alone),))
