"""Conditions worked out for every call there can be at once.

A condition sees few differences: whether a number lies below, at or above those it is compared
with, which of the choices it names were ticked. One answer stands for all that it cannot tell
apart, so that a handful of them (``Possible``) stands for every call there can be. All combinations
of them are numbered, and a condition becomes two whole numbers used as sets: bit *n* of the first
is set where combination *n* makes it true, bit *n* of the second where it makes it false; it is not
known where neither is. ``and``, ``or`` and ``not`` of whole tables are then one step each.

What is too involved to follow (a sum with an answer in it, one answer compared with another) may
turn out any way at all, the same way wherever it is written alike. More may then seem possible
than is, never less: what is found never to happen does not happen.
"""

from __future__ import annotations

import math
import re
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from itertools import chain, pairwise

from consult.hearing.quantity import COUNT, LENGTH, MASS
from consult.tree.draft import Block
from consult.tree.evaluators import compiled, compiled_truth
from consult.tree.nodes import (
    ChoiceName,
    Compare,
    Known,
    Name,
    Node,
    Value,
    YesNo,
    children,
    interpret,
    leaves,
    pairs_of,
    pieces,
)
from consult.tree.quantities import unit_named
from consult.tree.questions import choices_of, expected, question_kind
from consult.tree.typecheck import Sort
from consult.units import to_unit

_MOST_WAYS = 1 << 14
"""Combinations looked at; above that nothing is said."""
MOST_WORK = 20_000
"""Comparisons made for it; some ten milliseconds."""

Pair = tuple[int, int]
"""Where something is true and where it is false."""

_ANY: tuple[Value | None, ...] = (True, False, None)
_OFFSET = re.compile(r", offset=[0-9]+")


@dataclass(frozen=True, slots=True)
class Axis:
    """One name with the answers that stand for all of its answers."""

    values: Sequence[Value | None]
    stride: int
    repeat: int
    """Set at the first of each run of combinations in which the axis goes through its values."""


@dataclass(frozen=True, slots=True)
class Tables:
    """The combinations of all answers to some names."""

    axes: Mapping[str, Axis]
    everything: int
    """Every combination."""

    def of(self, node: Node) -> Pair:
        """Where a piece of a condition is true and where it is false."""
        return interpret(node, self._leaf, lambda of: (of[1], of[0]), self._all)

    def _all(self, pairs: Iterable[Pair]) -> Pair:
        yes, no = self.everything, 0
        for one_yes, one_no in pairs:
            yes &= one_yes
            no |= one_no
        return yes, no

    def _leaf(self, node: Node) -> Pair:
        name = _read_by(node)
        if name is None:
            worth = compiled_truth(node)(lambda _: None)
            return (self.everything if worth else 0), (self.everything if worth is False else 0)
        axis = self.axes[name]
        followed = not name.startswith("?")
        yes, no, evaluate = 0, 0, compiled_truth(node)
        for index, value in enumerate(axis.values):
            result = evaluate({name: value}.get) if followed else value
            if result is True:
                yes |= 1 << index * axis.stride
            elif result is False:
                no |= 1 << index * axis.stride
        wide = (1 << axis.stride) - 1
        return yes * wide * axis.repeat, no * wide * axis.repeat


def tables(nodes: Iterable[Node], possible: Mapping[str, Possible]) -> Tables | None:
    """The combinations that conditions can tell apart; None where there are too many.

    ``possible`` holds every question and quantity they name; other names are choices.
    """
    axes: dict[str, Axis] = {}
    size, work = 1, 0
    columns: dict[str, Sequence[Value | None]] = {}
    for name, beside in _compared(nodes).items():
        values: Sequence[Value | None] | None = _ANY if name.startswith("?") else None
        if values is None and name in possible:
            values = possible_answers(possible[name], beside.choices, beside.points)
        if not values:
            return None
        size *= len(values)
        work += len(values) * beside.times
        if size > _MOST_WAYS or work > MOST_WORK:
            return None
        columns[name] = values
    everything, stride = (1 << size) - 1, 1
    for name, values in columns.items():
        run = stride * len(values)
        axes[name] = Axis(values, stride, everything // ((1 << run) - 1))
        stride = run
    return Tables(axes, everything)


def points_of(nodes: Iterable[Node], name: str) -> frozenset[float]:
    """The numbers that conditions compare a name with."""
    return frozenset(_compared(nodes).get(name, _Beside()).points)


def compared_figures(node: Node) -> Iterator[tuple[str, float, int]]:
    """Each name that is compared with a figure, that figure, and where in the condition."""
    if not isinstance(node, Compare):
        for part in children(node):
            yield from compared_figures(part)
        return
    for pair in pairs_of(node):
        for left, right in (pair.parts, pair.parts[::-1]):
            value = None if isinstance(right, Name) else compiled(right)(lambda _: None)
            if isinstance(left, Name) and isinstance(value, float):
                yield left.name, value, left.offset


@dataclass(slots=True)
class _Beside:
    """What a name is compared with, and how many times."""

    points: set[float] = field(default_factory=set)
    choices: set[str] = field(default_factory=set)
    times: int = 0


def _compared(nodes: Iterable[Node]) -> Mapping[str, _Beside]:
    """Every name that conditions read, with what they compare it with."""
    by_name: defaultdict[str, _Beside] = defaultdict(_Beside)
    for node in chain.from_iterable(map(leaves, nodes)):
        name = _read_by(node)
        if name is None:
            continue
        by_name[name].times += 1
        for part in node.parts if isinstance(node, Compare) and name[0] != "?" else ():
            if isinstance(part, ChoiceName):
                by_name[name].choices.add(part.name)
            elif not isinstance(part, (Name, YesNo)):
                value = compiled(part)(lambda _: None)
                if isinstance(value, float):
                    by_name[name].points.add(value)
    return by_name


def _read_by(node: Node) -> str | None:
    """The one name a leaf hangs on; None for no name; what it reads like, after ?, for others."""
    match node:
        case Name(name=name) | Known(of=Name(name=name)):
            return name
        case Compare(parts=(left, right)):
            names = {part.name for part in (left, right) if isinstance(part, Name)}
            others = [part for part in (left, right) if not isinstance(part, Name)]
            if len(names) <= 1 and not any(map(_names_any, others)):
                return next(iter(names), None)
    # A piece of a condition is written the same wherever it stands.
    return f"?{_OFFSET.sub('', repr(node))}" if _names_any(node) else None


def _names_any(node: Node) -> bool:
    return any(isinstance(piece, Name) for piece in pieces(node))


# -- what an answer can be at all, as far as a condition can tell the answers apart ---------------

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
    kind = unit_named(name)
    if kind == "yes-no":
        return Possible("yes-no")
    return Possible("number" if kind else "unclear", unit=kind or "cm")


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
    parts = []
    for index, (low, high) in enumerate(pairwise(ends)):
        if index > 0:
            parts.append(Region(low, low, low))
        if low < high:
            parts.append(Region(low, high, _between(low, high)))
    return parts


def _between(low: float, high: float) -> float:
    if math.isinf(low) and math.isinf(high):
        return 1.0
    if math.isinf(low):
        return high - max(1.0, abs(high) / 2)
    return low + max(1.0, abs(low) / 2) if math.isinf(high) else (low + high) / 2


def possible_answers(
    possible: Possible, named: Collection[str], points: Iterable[float]
) -> Sequence[Value | None] | None:
    """One answer for each case that can be told apart, not known last.

    ``named`` are the choices the conditions name, ``points`` the numbers they compare it with.
    None where there are too many cases to look at.
    """
    answers: Sequence[Value]
    match possible.sort:
        case "number":
            cut = regions(points, possible)
            if cut is None:
                return None
            answers = [region.stands_for_it for region in cut]
        case "yes-no":
            answers = [True, False]
        case "choice":
            others = [choice for choice in possible.choices if choice not in named]
            answers = [*(choice for choice in possible.choices if choice in named), *others[:1]]
        case "choices":
            if sum(choice in named for choice in possible.choices) > _MOST_NAMED:
                return None
            answers = [*_ticked(possible, named)]
        case "text":
            answers = ["said"]
        case "date":
            answers = [date(2026, 1, 1)]
        case _:
            return None
    return answers if possible.known else [*answers, None]


def _ticked(possible: Possible, named: Collection[str]) -> Iterator[frozenset[str]]:
    """Every set of choices that can be ticked; of those nobody names one stands for all."""
    alone = possible.exclusive
    beside = [choice for choice in possible.choices if choice != alone]
    unnamed = [choice for choice in beside if choice not in named]
    free = [*(choice for choice in beside if choice in named), *unnamed[:1]]
    for bits in range(1, 1 << len(free)):
        yield frozenset(choice for index, choice in enumerate(free) if bits >> index & 1)
    if alone in possible.choices:
        yield frozenset((str(alone),))
