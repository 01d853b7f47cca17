"""The function that evaluates each piece of a condition for one caller.

A value is ``None`` where it is not known, and also where it makes no sense (a division by zero, a
choice compared with a number): a condition never raises. A condition is compiled once and
evaluated thousands of times in a call, so each piece makes a function of those of its parts. Most
of a tree compares one name with a figure or a choice, or joins two of those: these have functions
of their own, which leave every unusual value to the general ones.
"""

from __future__ import annotations

import math
import operator
from collections.abc import Callable, Sequence
from datetime import date
from typing import TYPE_CHECKING, cast

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
    YesNo,
    negation,
)

if TYPE_CHECKING:
    from consult.tree.nodes import Comparing, Lookup, Reckoning, Truth, Value

    Evaluator = Callable[[Lookup], Value | None]
    """The value of a piece by what is known."""
    Judge = Callable[[Lookup], Truth]


def compiled(node: Node) -> Evaluator:
    """What a piece comes to, by what is known."""
    match node:
        case Number(value=constant) | YesNo(value=constant) | ChoiceName(name=constant):
            return lambda _: constant
        case Name(name=name):
            return lambda lookup: lookup(name)
        case Known(of=Name(name=name)):
            return lambda lookup: lookup(name) is not None
        case Not(of=inner):
            return _denied(compiled_truth(inner))
        case And(parts=parts):
            return _until(False, [compiled(part) for part in parts])
        case Or(parts=parts):
            return _until(True, [compiled(part) for part in parts])
        case Minus(of=inner):
            return _negative(compiled(inner))
        case Sum(sign=sign, left=left, right=right):
            return _reckoned(sign, left, right)
        case Compare(parts=parts, signs=signs):
            pairs = [_pair(*each) for each in zip(parts, signs, parts[1:], strict=False)]
            return pairs[0] if len(pairs) == 1 else _until(False, pairs)


def compiled_truth(node: Node) -> Judge:
    """A node as yes, no or not known; anything but a truth value is not known."""
    value = compiled(node)
    if isinstance(node, (And, Or, Not, Known, Compare, YesNo)):
        return cast("Judge", value)

    def evaluate(lookup: Lookup) -> Truth:
        found = value(lookup)
        return found if found is True or found is False else None

    return evaluate


def _denied(of: Judge) -> Judge:
    def evaluate(lookup: Lookup) -> Truth:
        found = of(lookup)
        return None if found is None else not found

    return evaluate


def _until(decides: bool, parts: Sequence[Evaluator]) -> Judge:
    """``decides`` as soon as one part is that; else the other where every part is, or None."""
    other = not decides
    if len(parts) == 2:
        first, second = parts

        def of_two(lookup: Lookup) -> Truth:
            one = first(lookup)
            if one is decides:
                return decides
            two = second(lookup)
            if two is decides:
                return decides
            return other if one is other and two is other else None

        return of_two

    def evaluate(lookup: Lookup) -> Truth:
        known = True
        for part in parts:
            found = part(lookup)
            if found is decides:
                return decides
            if found is not other:
                known = False
        return other if known else None

    return evaluate


# -- comparisons ----------------------------------------------------------------------------------


def _pair(left: Node, sign: Comparing, right: Node) -> Judge:
    """One comparison; kinds that do not go together give ``None``."""
    compare = _COMPARED[sign]
    if isinstance(left, ChoiceName) and isinstance(right, Name) and sign == "in":
        return _choice_in(left.name, right.name)
    if isinstance(left, Name) and isinstance(right, ChoiceName) and sign == "==":
        return _choice_is(left.name, right.name)
    if isinstance(right, Number) and sign in _BELOW_ABOVE:
        return _beside(left, sign, right.value)
    first, second = compiled(left), compiled(right)

    def evaluate(lookup: Lookup) -> Truth:
        one, other = first(lookup), second(lookup)
        return None if one is None or other is None else compare(one, other)

    return evaluate


def _choice_in(choice: str, name: str) -> Judge:
    def evaluate(lookup: Lookup) -> Truth:
        value = lookup(name)
        return choice in value if type(value) is frozenset else None

    return evaluate


def _choice_is(name: str, choice: str) -> Judge:
    def evaluate(lookup: Lookup) -> Truth:
        value = lookup(name)
        if type(value) is str:
            return value == choice
        return None if value is None else _same(value, choice)

    return evaluate


def _beside(left: Node, sign: Comparing, figure: float) -> Judge:
    """Something beside a figure: outright where it is surely not as good as the same."""
    compare, (is_below, is_above) = _COMPARED[sign], _BELOW_ABOVE[sign]
    hair = 10 * max(_REL_TOL * abs(figure), _ABS_TOL)
    below, above = figure - hair, figure + hair
    if isinstance(left, Name):
        name = left.name

        def of_name(lookup: Lookup) -> Truth:
            value = lookup(name)
            if type(value) is float:
                if _LEAST < value < below:
                    return is_below
                if above < value < _MOST:
                    return is_above
            return None if value is None else compare(value, figure)

        return of_name
    of = compiled(left)

    def evaluate(lookup: Lookup) -> Truth:
        value = of(lookup)
        if type(value) is float:
            if _LEAST < value < below:
                return is_below
            if above < value < _MOST:
                return is_above
        return None if value is None else compare(value, figure)

    return evaluate


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
    if math.isclose(a, b, rel_tol=_REL_TOL, abs_tol=_ABS_TOL):
        return 0
    return 1 if a > b else -1


def _ordered(test: Callable[[int], bool]) -> Callable[[Value, Value], Truth]:
    def compare(left: Value, right: Value) -> Truth:
        order = _order(left, right)
        return None if order is None else test(order)

    return compare


_REL_TOL, _ABS_TOL = 1e-9, 1e-12
_LEAST, _MOST = -math.inf, math.inf
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
_BELOW_ABOVE: dict[Comparing, tuple[bool, bool]] = {
    "<": (True, False),
    "<=": (True, False),
    ">": (False, True),
    ">=": (False, True),
}
"""What each says of a number that is less, and of one that is more."""


# -- sums -----------------------------------------------------------------------------------------

_RECKON: dict[Reckoning, Callable[[float, float], float]] = {
    "+": operator.add,
    "-": operator.sub,
    "*": operator.mul,
    "/": operator.truediv,
}


def _negative(of: Evaluator) -> Evaluator:
    def value(lookup: Lookup) -> Value | None:
        number = _number(of(lookup))
        return None if number is None else -number

    return value


def _reckoned(sign: Reckoning, left: Node, right: Node) -> Evaluator:
    reckon, first, second = _RECKON[sign], compiled(left), compiled(right)
    # What is not finite shows in a sum or a product, and is lost only by dividing.
    plain = sign != "/"

    def value(lookup: Lookup) -> Value | None:
        one, other = first(lookup), second(lookup)
        if plain and type(one) is float and type(other) is float:
            found = reckon(one, other)
            if _LEAST < found < _MOST:
                return found
        a, b = _number(one), _number(other)
        if a is None or b is None:
            return None
        try:
            return _number(reckon(a, b))
        except ZeroDivisionError:
            return None

    return value


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
