"""The pieces of a condition, and what each is worth for one caller.

A value is ``None`` where it is not known, and also where it makes no sense (a division by zero, a
choice compared with a number): a condition never raises.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Literal

from consult.tree.kleene import Truth, conjunction, disjunction, negation

Value = float | str | frozenset[str] | bool | date
"""A number in the question's own unit, a choice or text, several choices, yes/no, a date."""

Lookup = Callable[[str], Value | None]
"""What is known under a question's name, ``fit.<quantity>`` or ``body.<dimension>``."""

Comparing = Literal["==", "!=", "<", "<=", ">", ">=", "in", "not in"]
Reckoning = Literal["+", "-", "*", "/"]


@dataclass(frozen=True, slots=True)
class Number:
    """A number as written."""

    value: float
    offset: int

    def worth(self, lookup: Lookup) -> Value | None:  # noqa: ARG002
        return self.value


@dataclass(frozen=True, slots=True)
class YesNo:
    """``yes`` or ``no``."""

    value: bool
    offset: int

    def worth(self, lookup: Lookup) -> Value | None:  # noqa: ARG002
        return self.value


@dataclass(frozen=True, slots=True)
class Choice:
    """The name of a choice, standing for itself."""

    name: str
    offset: int

    def worth(self, lookup: Lookup) -> Value | None:  # noqa: ARG002
        return self.name


@dataclass(frozen=True, slots=True)
class Name:
    """A question, or a dotted quantity of the fit or the body."""

    name: str
    offset: int

    def worth(self, lookup: Lookup) -> Value | None:
        return lookup(self.name)


@dataclass(frozen=True, slots=True)
class Known:
    """``known(x)``: itself never not known."""

    of: Name
    offset: int

    def worth(self, lookup: Lookup) -> Value | None:
        return lookup(self.of.name) is not None


@dataclass(frozen=True, slots=True)
class Not:
    """``not x``."""

    of: Node
    offset: int

    def worth(self, lookup: Lookup) -> Value | None:
        return negation(truth(self.of, lookup))


@dataclass(frozen=True, slots=True)
class And:
    """``x and y and ...``."""

    parts: tuple[Node, ...]
    offset: int

    def worth(self, lookup: Lookup) -> Value | None:
        return conjunction(truth(part, lookup) for part in self.parts)


@dataclass(frozen=True, slots=True)
class Or:
    """``x or y or ...``."""

    parts: tuple[Node, ...]
    offset: int

    def worth(self, lookup: Lookup) -> Value | None:
        return disjunction(truth(part, lookup) for part in self.parts)


@dataclass(frozen=True, slots=True)
class Minus:
    """``-x``."""

    of: Node
    offset: int

    def worth(self, lookup: Lookup) -> Value | None:
        value = _number(self.of.worth(lookup))
        return None if value is None else -value


@dataclass(frozen=True, slots=True)
class Sum:
    """``x + y`` and the other three."""

    sign: Reckoning
    left: Node
    right: Node
    offset: int

    def worth(self, lookup: Lookup) -> Value | None:
        left, right = _number(self.left.worth(lookup)), _number(self.right.worth(lookup))
        if left is None or right is None or (self.sign == "/" and right == 0):
            return None
        if self.sign == "+":
            result = left + right
        elif self.sign == "-":
            result = left - right
        elif self.sign == "*":
            result = left * right
        else:
            result = left / right
        return result if math.isfinite(result) else None


@dataclass(frozen=True, slots=True)
class Compare:
    """``x < y``, or a chain of them, each neighbour with the next."""

    parts: tuple[Node, ...]
    signs: tuple[Comparing, ...]
    offset: int

    def worth(self, lookup: Lookup) -> Value | None:
        values = [part.worth(lookup) for part in self.parts]
        pairs = zip(values, self.signs, values[1:], strict=False)
        return conjunction(compared(left, sign, right) for left, sign, right in pairs)


Node = Number | YesNo | Choice | Name | Known | Not | And | Or | Minus | Sum | Compare


def truth(node: Node, lookup: Lookup) -> Truth:
    """A node as yes, no or not known; anything but a truth value is not known."""
    value = node.worth(lookup)
    return value if isinstance(value, bool) else None


def compared(left: Value | None, sign: Comparing, right: Value | None) -> Truth:
    """One comparison; kinds that do not go together give ``None``."""
    if left is None or right is None:
        return None
    if sign in ("in", "not in"):
        if not isinstance(left, str) or not isinstance(right, frozenset):
            return None
        return (left in right) == (sign == "in")
    if sign in ("==", "!="):
        same = _same(left, right)
        return None if same is None else same == (sign == "==")
    order = _order(left, right)
    if order is None:
        return None
    if sign == "<":
        return order < 0
    if sign == "<=":
        return order <= 0
    return order > 0 if sign == ">" else order >= 0


def _same(left: Value, right: Value) -> Truth:
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
    # A length kept in mm and read back in inches may differ in its last bit.
    if math.isclose(a, b, rel_tol=1e-9, abs_tol=1e-12):
        return 0
    return 1 if a > b else -1


def _number(value: Value | None) -> float | None:
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return None
    try:
        number = float(value)
    except OverflowError:
        return None
    return number if math.isfinite(number) else None
