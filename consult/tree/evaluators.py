"""Conditions as functions: each is compiled once, and evaluated thousands of times in a call.

A value is ``None`` where it is not known, and also where it makes no sense (a division by zero, a
choice compared with a number): a condition never raises. Each piece makes a function of those of
its parts. ``not`` is pushed down to the leaves, which have an opposite, so that it costs nothing.
Most of a tree compares one name with a figure or a choice: these leaves have functions of their
own, which leave every unusual value to the general ones.

No code is made of a text: the functions are those written here, chosen by the pieces that
``condition`` lets pass. Python's own code of each condition would run in two thirds of the time,
but take fifteen times as long to make, and most are evaluated a few times.
"""

from __future__ import annotations

import math
import operator
from collections.abc import Callable, Sequence
from datetime import date
from typing import TYPE_CHECKING

from consult.tree.nodes import (
    OPPOSITE,
    TURNED,
    ChoiceName,
    Compare,
    Known,
    Minus,
    Name,
    Node,
    Number,
    Sum,
    YesNo,
    interpret,
    negation,
)

if TYPE_CHECKING:
    from consult.tree.nodes import Comparing, Lookup, Reckoning, Truth, Value

    Evaluator = Callable[[Lookup], Value | None]
    """The value of a piece by what is known."""
    Judge = Callable[[Lookup], Truth]
    Either = Callable[[bool], tuple[bool, list[Judge]]]
    """What decides a piece, or given True its negation, as soon as one of its judges says so."""


def compiled(node: Node) -> Evaluator:
    """What a piece comes to, by what is known."""
    match node:
        case Number(value=constant) | YesNo(value=constant) | ChoiceName(name=constant):
            return lambda _: constant
        case Name(name=name):
            return lambda lookup: lookup(name)
        case Minus(of=inner):
            return _negative(compiled(inner))
        case Sum(sign=sign, left=left, right=right):
            return _reckoned(sign, left, right)
    return compiled_truth(node)


def compiled_truth(node: Node) -> Judge:
    """A node as yes, no or not known; anything but a truth value is not known."""
    either: Either = interpret(node, _leaf, _negated, _joined)
    return _until(*either(False))


def _leaf(node: Node) -> Either:
    return lambda denied: (denied, [_judge(node, denied=denied)])


def _negated(of: Either) -> Either:
    return lambda denied: of(not denied)


def _joined(parts: Sequence[Either]) -> Either:
    """``x and y``, decided by a no; its negation is ``not x or not y``, decided by a yes."""

    def joined(denied: bool) -> tuple[bool, list[Judge]]:
        judges: list[Judge] = []
        for part in parts:
            decides, inside = part(denied)
            alike = decides is denied or len(inside) == 1
            judges += inside if alike else [_until(decides, inside)]
        return denied, judges

    return joined


def _until(decides: bool, parts: Sequence[Judge]) -> Judge:
    """``decides`` as soon as one part is that; else the other where every part is, or None."""
    other = not decides
    if len(parts) == 1:
        return parts[0]
    if len(parts) in (2, 3):
        first, second, *last = parts
        third = last[0] if last else None

        def of_few(lookup: Lookup) -> Truth:
            one = first(lookup)
            if one is decides:
                return decides
            two = second(lookup)
            if two is decides:
                return decides
            three = other if third is None else third(lookup)
            if three is decides:
                return decides
            return other if one is other and two is other and three is other else None

        return of_few

    def evaluate(lookup: Lookup) -> Truth:
        known = True
        for part in parts:
            truth = part(lookup)
            if truth is decides:
                return decides
            if truth is not other:
                known = False
        return other if known else None

    return evaluate


def _judge(node: Node, *, denied: bool) -> Judge:
    match node:
        case YesNo(value=value):
            constant = value is not denied
            return lambda _: constant
        case Known(of=Name(name=name)):
            if denied:
                return lambda lookup: lookup(name) is None
            return lambda lookup: lookup(name) is not None
        case Compare(parts=(left, right), signs=(sign,)):
            return _pair(left, OPPOSITE[sign] if denied else sign, right)
        case Name(name=name):
            return _is(name, not denied)
    return lambda _: None


def _is(name: str, wanted: bool) -> Judge:
    def evaluate(lookup: Lookup) -> Truth:
        value = lookup(name)
        return value is wanted if value is True or value is False else None

    return evaluate


# -- comparisons ----------------------------------------------------------------------------------


def _pair(left: Node, sign: Comparing, right: Node) -> Judge:
    """One comparison; kinds that do not go together give ``None``."""
    compare = _COMPARED[sign]
    match left, sign, right:
        case ChoiceName(name=choice), "in" | "not in", Name(name=name):
            return _choice_in(choice, name, sign == "in")
        case Name(name=name), "==" | "!=", ChoiceName(name=choice):
            return _choice_is(name, choice, sign == "==")
        case Name(name=name), "<" | "<=" | ">" | ">=", Number(value=figure):
            return _name_beside(name, sign, figure)
        case (
            Sum(sign="-", left=Name(name=first), right=Name(name=second)),
            "<" | "<=" | ">" | ">=",
            Number(value=figure),
        ):
            return _difference_beside(first, second, sign, figure)
        case Number(), "<" | "<=" | ">" | ">=", Name():
            return _pair(right, TURNED[sign], left)
    of_left, of_right = compiled(left), compiled(right)

    def evaluate(lookup: Lookup) -> Truth:
        lhs, rhs = of_left(lookup), of_right(lookup)
        return None if lhs is None or rhs is None else compare(lhs, rhs)

    return evaluate


def _choice_in(choice: str, name: str, wanted: bool) -> Judge:
    def evaluate(lookup: Lookup) -> Truth:
        value = lookup(name)
        return (choice in value) is wanted if type(value) is frozenset else None

    return evaluate


def _choice_is(name: str, choice: str, wanted: bool) -> Judge:
    def evaluate(lookup: Lookup) -> Truth:
        value = lookup(name)
        if type(value) is str:
            return (value == choice) is wanted
        same = None if value is None else _same(value, choice)
        return None if same is None else same is wanted

    return evaluate


def _name_beside(name: str, sign: Comparing, figure: float) -> Judge:
    """A name beside a figure: outright where it is surely not as good as the same."""
    compare, below, above = _COMPARED[sign], *_surely(figure)
    is_below = sign in ("<", "<=")
    is_above = not is_below

    def evaluate(lookup: Lookup) -> Truth:
        value = lookup(name)
        if type(value) is float:
            if _LEAST < value < below:
                return is_below
            if above < value < _MOST:
                return is_above
        return None if value is None else compare(value, figure)

    return evaluate


def _difference_beside(first: str, second: str, sign: Comparing, figure: float) -> Judge:
    """The same for one measure less another, which is what nearly every sum of a tree is."""
    compare, below, above = _COMPARED[sign], *_surely(figure)
    is_below = sign in ("<", "<=")
    is_above = not is_below

    def evaluate(lookup: Lookup) -> Truth:
        left, right = lookup(first), lookup(second)
        if type(left) is float and type(right) is float:
            difference = left - right
            if _LEAST < difference < below:
                return is_below
            if above < difference < _MOST:
                return is_above
        value = _number_of(operator.sub, left, right)
        return None if value is None else compare(value, figure)

    return evaluate


def _surely(figure: float) -> tuple[float, float]:
    """What is surely less than a figure lies below the first, what is more above the second."""
    hair = 10 * max(_REL_TOL * abs(figure), _ABS_TOL)
    return figure - hair, figure + hair


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
"""The same comparison with its sides changed over."""


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
    reckon, of_left, of_right = _RECKON[sign], compiled(left), compiled(right)
    return lambda lookup: _number_of(reckon, of_left(lookup), of_right(lookup))


def _number_of(
    reckon: Callable[[float, float], float], left: Value | None, right: Value | None
) -> float | None:
    a, b = _number(left), _number(right)
    if a is None or b is None:
        return None
    try:
        return _number(reckon(a, b))
    except ZeroDivisionError:
        return None


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
