"""The pieces of a condition, and the logic that joins them; ``evaluators`` works them out."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal, TypeVar

# -- three-valued logic (Kleene): true, false, and ``None`` for not known -------------------------

Truth = bool | None


def negation(value: Truth) -> Truth:
    """Not known stays not known."""
    return None if value is None else not value


def conjunction(values: Iterable[Truth]) -> Truth:
    """False as soon as one is false; not known only when that could still change it."""
    known = True
    for value in values:
        if value is False:
            return False
        known = known and value is not None
    return True if known else None


# -- the pieces of a condition --------------------------------------------------------------------

Value = float | str | frozenset[str] | bool | date
"""A number in the question's own unit, a choice or text, several choices, yes/no, a date."""

Lookup = Callable[[str], Value | None]
"""What is known under a question's name, ``fit.<quantity>`` or ``body.<dimension>``."""

Comparing = Literal["==", "!=", "<", "<=", ">", ">=", "in", "not in"]
Reckoning = Literal["+", "-", "*", "/"]

OPPOSITE: dict[Comparing, Comparing] = {
    "in": "not in",
    "not in": "in",
    "==": "!=",
    "!=": "==",
    "<": ">=",
    ">=": "<",
    ">": "<=",
    "<=": ">",
}
"""What is true where a comparison is false, and not known where it is not."""
TURNED: dict[Comparing, Comparing] = {"<": ">", "<=": ">=", ">": "<", ">=": "<="}
"""What the same comparison is with its sides changed round."""


@dataclass(frozen=True, slots=True)
class Number:
    """A number as written."""

    value: float
    offset: int


@dataclass(frozen=True, slots=True)
class YesNo:
    """``yes`` or ``no``."""

    value: bool
    offset: int


@dataclass(frozen=True, slots=True)
class ChoiceName:
    """The name of a choice, standing for itself."""

    name: str
    offset: int


@dataclass(frozen=True, slots=True)
class Name:
    """A question, or a dotted quantity of the fit or the body."""

    name: str
    offset: int


@dataclass(frozen=True, slots=True)
class Known:
    """``known(x)``: itself never not known."""

    of: Name
    offset: int


@dataclass(frozen=True, slots=True)
class Not:
    """``not x``."""

    of: Node
    offset: int


@dataclass(frozen=True, slots=True)
class And:
    """``x and y and ...``: no as soon as one is, not known only where that could change it."""

    parts: tuple[Node, ...]
    offset: int


@dataclass(frozen=True, slots=True)
class Or:
    """``x or y or ...``: yes as soon as one is, not known only where that could change it."""

    parts: tuple[Node, ...]
    offset: int


@dataclass(frozen=True, slots=True)
class Minus:
    """``-x``."""

    of: Node
    offset: int


@dataclass(frozen=True, slots=True)
class Sum:
    """``x + y`` and the other three."""

    sign: Reckoning
    left: Node
    right: Node
    offset: int


@dataclass(frozen=True, slots=True)
class Compare:
    """``x < y``, or a chain of them, each neighbour with the next."""

    parts: tuple[Node, ...]
    signs: tuple[Comparing, ...]
    offset: int


Node = Number | YesNo | ChoiceName | Name | Known | Not | And | Or | Minus | Sum | Compare

# -- ways through a condition ---------------------------------------------------------------------

_Worth = TypeVar("_Worth")


def interpret(
    node: Node,
    leaf: Callable[[Node], _Worth],
    negated: Callable[[_Worth], _Worth],
    joined: Callable[[Sequence[_Worth]], _Worth],
) -> _Worth:
    """What a condition comes to where ``not``, ``and``, ``or`` mean the same as for its leaves.

    Everything that follows the logic of a condition goes this way, whatever it makes of a leaf: a
    function, a set of cases, a formula. ``joined`` is what parts joined by ``and`` come to; ``or``
    is the negation of negations joined. A leaf is a comparison of two, or what is no logic.
    """

    def worth(inner: Node) -> _Worth:
        match inner:
            case Not(of=of):
                return negated(worth(of))
            case And(parts=parts):
                return joined([worth(part) for part in parts])
            case Or(parts=parts):
                return negated(joined([negated(worth(part)) for part in parts]))
            case Compare() if len(inner.signs) > 1:
                return joined([leaf(pair) for pair in pairs_of(inner)])
        return leaf(inner)

    return worth(node)


def leaves(node: Node) -> list[Node]:
    """What the logic of a condition joins, from the left."""
    return interpret(
        node, lambda leaf: [leaf], lambda of: of, lambda parts: [one for of in parts for one in of]
    )


def pairs_of(node: Compare) -> list[Compare]:
    """A chain taken apart: ``70 <= x < 76`` is worth what its two comparisons are together."""
    if len(node.signs) == 1:
        return [node]
    return [
        Compare((node.parts[index], node.parts[index + 1]), (sign,), node.offset)
        for index, sign in enumerate(node.signs)
    ]


def children(node: Node) -> tuple[Node, ...]:
    """The nodes directly inside one."""
    match node:
        case Known(of=inner) | Not(of=inner) | Minus(of=inner):
            return (inner,)
        case And(parts=parts) | Or(parts=parts) | Compare(parts=parts):
            return parts
        case Sum(left=left, right=right):
            return (left, right)
        case _:
            return ()


def pieces(node: Node) -> Iterator[Node]:
    """A node and every node inside it, from the left."""
    yield node
    for inner in children(node):
        yield from pieces(inner)


def named(node: Node) -> Iterator[Name | ChoiceName]:
    """Every name in a condition, from the left."""
    return (piece for piece in pieces(node) if isinstance(piece, (Name, ChoiceName)))
