"""The pieces of a condition, and the function that evaluates each for one caller.

A value is ``None`` where it is not known, and also where it makes no sense (a division by zero, a
choice compared with a number): a condition never raises. A condition is compiled once and
evaluated thousands of times in a call, so each piece makes a function of those of its parts.
"""

from __future__ import annotations

import math
import operator
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal

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


def disjunction(values: Iterable[Truth]) -> Truth:
    """True as soon as one is true; not known only when that could still change it."""
    known = True
    for value in values:
        if value is True:
            return True
        known = known and value is not None
    return False if known else None


# -- the pieces of a condition, and the function that evaluates each for one caller ---------------
# A value is ``None`` where it is not known, and also where it makes no sense (a division by
# zero, a choice compared with a number): a condition never raises. A condition is compiled once
# and evaluated thousands of times in a call, so each piece makes a function of those of its
# parts.

Value = float | str | frozenset[str] | bool | date
"""A number in the question's own unit, a choice or text, several choices, yes/no, a date."""

Lookup = Callable[[str], Value | None]
"""What is known under a question's name, ``fit.<quantity>`` or ``body.<dimension>``."""

Evaluator = Callable[[Lookup], Value | None]
"""The value of a piece by what is known."""

Comparing = Literal["==", "!=", "<", "<=", ">", ">=", "in", "not in"]
Reckoning = Literal["+", "-", "*", "/"]


@dataclass(frozen=True, slots=True)
class Number:
    """A number as written."""

    value: float
    offset: int

    def compiled(self) -> Evaluator:
        return _always(self.value)


@dataclass(frozen=True, slots=True)
class YesNo:
    """``yes`` or ``no``."""

    value: bool
    offset: int

    def compiled(self) -> Evaluator:
        return _always(self.value)


@dataclass(frozen=True, slots=True)
class ChoiceName:
    """The name of a choice, standing for itself."""

    name: str
    offset: int

    def compiled(self) -> Evaluator:
        return _always(self.name)


@dataclass(frozen=True, slots=True)
class Name:
    """A question, or a dotted quantity of the fit or the body."""

    name: str
    offset: int

    def compiled(self) -> Evaluator:
        name = self.name
        return lambda lookup: lookup(name)


@dataclass(frozen=True, slots=True)
class Known:
    """``known(x)``: itself never not known."""

    of: Name
    offset: int

    def compiled(self) -> Evaluator:
        name = self.of.name
        return lambda lookup: lookup(name) is not None


@dataclass(frozen=True, slots=True)
class Not:
    """``not x``."""

    of: Node
    offset: int

    def compiled(self) -> Evaluator:
        of = compiled_truth(self.of)
        return lambda lookup: negation(of(lookup))


@dataclass(frozen=True, slots=True)
class And:
    """``x and y and ...``: no as soon as one is, not known only where that could change it."""

    parts: tuple[Node, ...]
    offset: int

    def compiled(self) -> Evaluator:
        return _until(False, [part.compiled() for part in self.parts])


@dataclass(frozen=True, slots=True)
class Or:
    """``x or y or ...``: yes as soon as one is, not known only where that could change it."""

    parts: tuple[Node, ...]
    offset: int

    def compiled(self) -> Evaluator:
        return _until(True, [part.compiled() for part in self.parts])


@dataclass(frozen=True, slots=True)
class Minus:
    """``-x``."""

    of: Node
    offset: int

    def compiled(self) -> Evaluator:
        of = self.of.compiled()

        def value(lookup: Lookup) -> Value | None:
            number = _number(of(lookup))
            return None if number is None else -number

        return value


@dataclass(frozen=True, slots=True)
class Sum:
    """``x + y`` and the other three."""

    sign: Reckoning
    left: Node
    right: Node
    offset: int

    def compiled(self) -> Evaluator:
        reckon, left, right = _RECKON[self.sign], self.left.compiled(), self.right.compiled()

        def value(lookup: Lookup) -> Value | None:
            first, second = _number(left(lookup)), _number(right(lookup))
            if first is None or second is None:
                return None
            try:
                return _number(reckon(first, second))
            except ZeroDivisionError:
                return None

        return value


@dataclass(frozen=True, slots=True)
class Compare:
    """``x < y``, or a chain of them, each neighbour with the next."""

    parts: tuple[Node, ...]
    signs: tuple[Comparing, ...]
    offset: int

    def compiled(self) -> Evaluator:
        parts, compare = self.parts, [_COMPARED[sign] for sign in self.signs]
        pairs = [_pair(*each) for each in zip(parts, compare, parts[1:], strict=False)]
        return pairs[0] if len(pairs) == 1 else _until(False, pairs)


Node = Number | YesNo | ChoiceName | Name | Known | Not | And | Or | Minus | Sum | Compare

_RECKON: dict[Reckoning, Callable[[float, float], float]] = {
    "+": operator.add,
    "-": operator.sub,
    "*": operator.mul,
    "/": operator.truediv,
}


def _always(value: Value) -> Evaluator:
    return lambda _: value


def _until(decides: bool, parts: Sequence[Evaluator]) -> Evaluator:
    """``decides`` as soon as one part is that; else the other where every part is, or None."""
    other = not decides

    def value(lookup: Lookup) -> Value | None:
        known = True
        for part in parts:
            found = part(lookup)
            if found is decides:
                return decides
            if found is not other:
                known = False
        return other if known else None

    return value


def compiled_truth(node: Node) -> Callable[[Lookup], Truth]:
    """A node as yes, no or not known; anything but a truth value is not known."""
    value = node.compiled()

    def evaluate(lookup: Lookup) -> Truth:
        found = value(lookup)
        return found if found is True or found is False else None

    return evaluate


def _pair(
    left: Node, compare: Callable[[Value, Value], Truth], right: Node
) -> Callable[[Lookup], Truth]:
    """One comparison; kinds that do not go together give ``None``."""
    if isinstance(left, ChoiceName) and isinstance(right, Name):  # most of a tree
        choice, name = left.name, right.name

        def evaluate(lookup: Lookup) -> Truth:
            value = lookup(name)
            return None if value is None else compare(choice, value)

        return evaluate
    first, second = left.compiled(), right.compiled()

    def evaluate_both(lookup: Lookup) -> Truth:
        one, other = first(lookup), second(lookup)
        return None if one is None or other is None else compare(one, other)

    return evaluate_both


def _in(left: Value, right: Value) -> Truth:
    return left in right if isinstance(right, frozenset) and isinstance(left, str) else None


def _same(left: Value, right: Value) -> Truth:
    if type(left) is type(right) is str:
        return left == right
    if isinstance(left, bool) and isinstance(right, bool):
        return left == right
    if isinstance(left, (str, frozenset)) and isinstance(right, (str, frozenset)):
        # Several choices are "exactly this one".
        return _set(left) == _set(right) if type(left) is not type(right) else left == right
    order = _order(left, right)
    return None if order is None else order == 0


def _set(value: str | frozenset[str]) -> frozenset[str]:
    return frozenset((value,)) if isinstance(value, str) else value


def _order(left: Value, right: Value) -> int | None:
    """-1, 0 or 1 for two numbers or two dates."""
    if isinstance(left, date) and isinstance(right, date):
        try:
            return (left > right) - (left < right)
        except TypeError:
            return None
    a, b = _number(left), _number(right)
    if a is None or b is None:
        return None
    if a == b:
        return 0
    # A length kept in mm and read back in inches may differ in its last bit.
    if math.isclose(a, b, rel_tol=1e-9, abs_tol=1e-12):
        return 0
    return 1 if a > b else -1


def _number(value: Value | None) -> float | None:
    if type(value) is float:
        return value if math.isfinite(value) else None
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return None
    try:
        number = float(value)
    except OverflowError:
        return None
    return number if math.isfinite(number) else None


def _ordered(test: Callable[[int], bool]) -> Callable[[Value, Value], Truth]:
    def compare(left: Value, right: Value) -> Truth:
        order = _order(left, right)
        return None if order is None else test(order)

    return compare


_COMPARED: dict[Comparing, Callable[[Value, Value], Truth]] = {
    "in": _in,
    "not in": lambda left, right: negation(_in(left, right)),
    "==": _same,
    "!=": lambda left, right: negation(_same(left, right)),
    "<": _ordered(lambda order: order < 0),
    "<=": _ordered(lambda order: order <= 0),
    ">": _ordered(lambda order: order > 0),
    ">=": _ordered(lambda order: order >= 0),
}
