"""Values nobody has said yet, as formulas, and what a condition is worth over them.

This mirrors ``consult.tree.nodes`` piece by piece: a test draws conditions and answers at random
and compares the two. In one thing it is stricter: numbers that differ in the tenth digit are two
numbers here, and the same one there.
"""

from __future__ import annotations

import operator as op
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

import z3

from consult.tree.nodes import (
    ChoiceName,
    Compare,
    Comparing,
    Known,
    Minus,
    Name,
    Node,
    Number,
    Sum,
    YesNo,
    interpret,
)

Formula = Any
"""A formula of the solver, which has no types of its own."""


@dataclass(frozen=True, slots=True, eq=False)
class Logic:
    """Builds formulas in one context and settles at once what needs no solver."""

    context: Any

    @property
    def true(self) -> Formula:
        return z3.BoolVal(True, self.context)

    @property
    def false(self) -> Formula:
        return z3.BoolVal(False, self.context)

    def truth(self, name: str) -> Formula:
        return z3.Bool(name, self.context)

    def number(self, value: float) -> Formula:
        return z3.RealVal(str(Fraction(str(value))), self.context)

    def every(self, parts: Iterable[Formula]) -> Formula:
        """All of them; true where there are none."""
        open_parts = [part for part in parts if not z3.is_true(part)]
        if any(z3.is_false(part) for part in open_parts):
            return self.false
        if len(open_parts) < 2:
            return open_parts[0] if open_parts else self.true
        return z3.And(*open_parts)

    def some(self, parts: Iterable[Formula]) -> Formula:
        """At least one of them; false where there are none."""
        open_parts = [part for part in parts if not z3.is_false(part)]
        if any(z3.is_true(part) for part in open_parts):
            return self.true
        if len(open_parts) < 2:
            return open_parts[0] if open_parts else self.false
        return z3.Or(*open_parts)

    def no(self, part: Formula) -> Formula:
        if z3.is_true(part):
            return self.false
        return self.true if z3.is_false(part) else z3.Not(part)


@dataclass(frozen=True, slots=True, eq=False)
class TruthFormula:
    """Yes, no, or, where neither formula holds, not known."""

    yes: Formula
    no: Formula


@dataclass(frozen=True, slots=True, eq=False)
class Quantity:
    """A number."""

    known: Formula
    value: Formula


@dataclass(frozen=True, slots=True, eq=False)
class Day:
    """A date, as days from the day of the call."""

    known: Formula
    value: Formula


@dataclass(frozen=True, slots=True, eq=False)
class One:
    """One choice: exactly one of the formulas holds."""

    known: Formula
    names: Mapping[str, Formula]


@dataclass(frozen=True, slots=True, eq=False)
class Several:
    """Several choices: at least one of the formulas holds."""

    known: Formula
    names: Mapping[str, Formula]


@dataclass(frozen=True, slots=True, eq=False)
class TextTerm:
    """A text, of which only whether it is known counts: the check lets nothing else be asked."""

    known: Formula


Symbol = TruthFormula | Quantity | Day | One | Several | TextTerm
SymbolView = Callable[[str], Symbol]
"""What can be seen under a name at one moment of the call."""


@dataclass(frozen=True, slots=True, eq=False)
class FormulaReader:
    """Reads conditions as formulas."""

    logic: Logic

    def true(self, node: Node, view: SymbolView) -> Formula:
        """That a condition is true."""
        return self.truth(node, view).yes

    def truth(self, node: Node, view: SymbolView) -> TruthFormula:
        """Anything but a truth value is not known."""

        def leaf(piece: Node) -> TruthFormula:
            found = self.worth(piece, view)
            return found if isinstance(found, TruthFormula) else self.unknown

        return interpret(node, leaf, lambda of: TruthFormula(of.no, of.yes), self._joined)

    @property
    def unknown(self) -> TruthFormula:
        return TruthFormula(self.logic.false, self.logic.false)

    def known(self, symbol: Symbol) -> Formula:
        """That there is a value."""
        if isinstance(symbol, TruthFormula):
            return self.logic.some((symbol.yes, symbol.no))
        return symbol.known

    def worth(self, node: Node, view: SymbolView) -> Symbol:
        logic = self.logic
        match node:
            case Number(value=value):
                return Quantity(logic.true, logic.number(value))
            case YesNo(value=value):
                return (
                    TruthFormula(logic.true, logic.false)
                    if value
                    else TruthFormula(logic.false, logic.true)
                )
            case ChoiceName(name=name):
                return One(logic.true, {name: logic.true})
            case Name(name=name):
                return view(name)
            case Known(of=inner):
                known = self.known(view(inner.name))
                return TruthFormula(known, logic.no(known))
            case Minus(of=inner):
                number = self.worth(inner, view)
                if not isinstance(number, Quantity):
                    return self.unknown
                return Quantity(number.known, -number.value)
            case Sum():
                return self._reckoned(node, view)
            case Compare(parts=(left, right), signs=(sign,)):
                return self._compared(self.worth(left, view), sign, self.worth(right, view))
        return self.truth(node, view)

    def _joined(self, parts: Sequence[TruthFormula]) -> TruthFormula:
        return TruthFormula(
            self.logic.every(part.yes for part in parts), self.logic.some(part.no for part in parts)
        )

    def _reckoned(self, node: Sum, view: SymbolView) -> Symbol:
        left, right = self.worth(node.left, view), self.worth(node.right, view)
        if not (isinstance(left, Quantity) and isinstance(right, Quantity)):
            return self.unknown
        known = self.logic.every((left.known, right.known))
        if node.sign == "/":
            known = self.logic.every((known, right.value != 0))
        return Quantity(known, _SUMS[node.sign](left.value, right.value))

    def _compared(self, left: Symbol, sign: Comparing, right: Symbol) -> TruthFormula:
        if sign in ("in", "not in"):
            if not (isinstance(left, One) and isinstance(right, Several)):
                return self.unknown
            inside = self._shared(left.names, right.names)
            return self._judged(left, right, inside, turned=sign == "not in")
        if sign in ("==", "!="):
            return self._same(left, right, turned=sign == "!=")
        if isinstance(left, (Quantity, Day)) and type(left) is type(right):
            return self._judged(left, right, _ORDER[sign](left.value, right.value))
        return self.unknown

    def _same(self, left: Symbol, right: Symbol, *, turned: bool) -> TruthFormula:
        logic = self.logic
        if isinstance(left, TruthFormula) and isinstance(right, TruthFormula):
            alike = logic.some(
                (logic.every((left.yes, right.yes)), logic.every((left.no, right.no)))
            )
            apart = logic.some(
                (logic.every((left.yes, right.no)), logic.every((left.no, right.yes)))
            )
            return TruthFormula(apart, alike) if turned else TruthFormula(alike, apart)
        if isinstance(left, (Quantity, Day)) and type(left) is type(right):
            return self._judged(left, right, left.value == right.value, turned=turned)
        if isinstance(left, One) and isinstance(right, One):
            same = self._shared(left.names, right.names)
            return self._judged(left, right, same, turned=turned)
        if isinstance(left, (One, Several)) and isinstance(right, (One, Several)):
            # Several choices are "exactly this one", or exactly the same ones.
            names = dict.fromkeys((*left.names, *right.names))
            off = logic.false
            pairs = ((left.names.get(n, off), right.names.get(n, off)) for n in names)
            same = logic.every(self._alike(a, b) for a, b in pairs)
            return self._judged(left, right, same, turned=turned)
        return self.unknown

    def _alike(self, one: Formula, other: Formula) -> Formula:
        for a, b in ((one, other), (other, one)):
            if z3.is_true(a) or z3.is_false(a):
                return b if z3.is_true(a) else self.logic.no(b)
        return one == other

    def _shared(self, left: Mapping[str, Formula], right: Mapping[str, Formula]) -> Formula:
        both = [name for name in left if name in right]
        return self.logic.some(self.logic.every((left[name], right[name])) for name in both)

    def _judged(
        self,
        left: Quantity | Day | One | Several,
        right: Symbol,
        holds: Formula,
        *,
        turned: bool = False,
    ) -> TruthFormula:
        known = self.logic.every((left.known, self.known(right)))
        yes = self.logic.every((known, holds))
        no = self.logic.every((known, self.logic.no(holds)))
        return TruthFormula(no, yes) if turned else TruthFormula(yes, no)


_ORDER = {"<": op.lt, "<=": op.le, ">": op.gt, ">=": op.ge}
_SUMS = {"+": op.add, "-": op.sub, "*": op.mul, "/": op.truediv}
