"""Conditions worked out for every call there can be at once.

Each name of the conditions has a handful of answers that stand for all (``possible``). All
combinations of them are numbered, and a condition becomes two whole numbers used as sets: bit *n*
of the first is set where combination *n* makes it true, bit *n* of the second where it makes it
false; it is not known where neither is. ``and``, ``or`` and ``not`` of whole tables are then one
step each.

What is too involved to follow (a sum with an answer in it, one answer compared with another) may
turn out any way at all, the same way wherever it is written alike. More may then seem possible
than is, never less: what is found never to happen does not happen.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from consult.tree.evaluators import compiled, compiled_truth
from consult.tree.nodes import (
    And,
    ChoiceName,
    Compare,
    Known,
    Minus,
    Name,
    Node,
    Not,
    Number,
    Or,
    Sum,
    Value,
    YesNo,
    children,
    interpret,
    leaves,
    pairs_of,
    pieces,
)
from consult.tree.possible import Possible, answers

MOST = 1 << 14
"""Combinations looked at; above that nothing is said."""
MOST_WORK = 20_000
"""Comparisons made for it; some ten milliseconds."""

Pair = tuple[int, int]
"""Where something is true and where it is false."""

_ANY: tuple[Value | None, ...] = (True, False, None)


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
    gathered = _Gathered({}, {}, {})
    for node in nodes:
        gathered.look(node)
    axes: dict[str, Axis] = {}
    size, work = 1, 0
    found: dict[str, Sequence[Value | None]] = {}
    for name, points in gathered.points.items():
        values: Sequence[Value | None] | None = _ANY if name.startswith("?") else None
        if values is None and name in possible:
            values = answers(possible[name], gathered.choices.get(name, ()), points)
        if not values:
            return None
        size *= len(values)
        work += len(values) * gathered.leaves[name]
        if size > MOST or work > MOST_WORK:
            return None
        found[name] = values
    everything, stride = (1 << size) - 1, 1
    for name, values in found.items():
        run = stride * len(values)
        axes[name] = Axis(values, stride, everything // ((1 << run) - 1))
        stride = run
    return Tables(axes, everything)


def points_of(nodes: Iterable[Node], name: str) -> frozenset[float]:
    """The numbers that conditions compare a name with."""
    gathered = _Gathered({}, {}, {})
    for node in nodes:
        gathered.look(node)
    return frozenset(gathered.points.get(name, ()))


def compared_figures(node: Node) -> Iterator[tuple[str, float, int]]:
    """Each name that is compared with a figure, that figure, and where in the condition."""
    if not isinstance(node, Compare):
        for part in children(node):
            yield from compared_figures(part)
        return
    for pair in pairs_of(node):
        for one, other in (pair.parts, pair.parts[::-1]):
            value = None if isinstance(other, Name) else compiled(other)(lambda _: None)
            if isinstance(one, Name) and isinstance(value, float):
                yield one.name, value, one.offset


@dataclass(slots=True)
class _Gathered:
    points: dict[str, set[float]]
    choices: dict[str, set[str]]
    leaves: dict[str, int]
    """How many comparisons there are with each name."""

    def look(self, node: Node) -> None:
        for leaf in leaves(node):
            self._leaf(leaf)

    def _leaf(self, node: Node) -> None:
        name = _read_by(node)
        if name is None:
            return
        points = self.points.setdefault(name, set())
        self.leaves[name] = self.leaves.get(name, 0) + 1
        if not isinstance(node, Compare) or name.startswith("?"):
            return
        for part in node.parts:
            if isinstance(part, ChoiceName):
                self.choices.setdefault(name, set()).add(part.name)
            elif not isinstance(part, (Name, YesNo)):
                value = compiled(part)(lambda _: None)
                if isinstance(value, float):
                    points.add(value)


def _read_by(node: Node) -> str | None:
    """The one name a leaf hangs on; None for no name; what it reads like, after ?, for others."""
    match node:
        case Name(name=name) | Known(of=Name(name=name)):
            return name
        case Compare(parts=(left, right)):
            names = {part.name for part in (left, right) if isinstance(part, Name)}
            if len(names) <= 1 and _is_plain(left) and _is_plain(right):
                return next(iter(names), None)
            return f"?{_written(node)}"
    return f"?{_written(node)}" if _names_any(node) else None


def _is_plain(node: Node) -> bool:
    return isinstance(node, Name) or not _names_any(node)


def _names_any(node: Node) -> bool:
    return any(isinstance(each, Name) for each in pieces(node))


def _written(node: Node) -> str:
    """A piece of a condition the same wherever it stands."""
    match node:
        case Number(value=value):
            return repr(value)
        case YesNo(value=worth):
            return "yes" if worth else "no"
        case ChoiceName(name=name) | Name(name=name):
            return name
        case Known(of=inner):
            return f"known({_written(inner)})"
        case Not(of=inner):
            return f"not ({_written(inner)})"
        case Minus(of=inner):
            return f"-({_written(inner)})"
        case Sum(sign=sign, left=left, right=right):
            return f"({_written(left)} {sign} {_written(right)})"
        case And(parts=parts):
            return f"({' and '.join(map(_written, parts))})"
        case Or(parts=parts):
            return f"({' or '.join(map(_written, parts))})"
        case Compare(parts=parts, signs=signs):
            tail = (
                f" {sign} {_written(part)}" for sign, part in zip(signs, parts[1:], strict=True)
            )
            return f"({_written(parts[0])}{''.join(tail)})"
