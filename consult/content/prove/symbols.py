"""Values nobody has said yet, as formulas: what a condition is worth over them, and all answers.

This mirrors ``consult.tree.nodes`` piece by piece: a test draws conditions and answers at random
and compares the two. In one thing it is stricter: numbers that differ in the tenth digit are two
numbers here, and the same one there.
"""

from __future__ import annotations

import operator as op
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

import z3

from consult.hearing.quantity import COUNT, LENGTH, MASS
from consult.tree.model import Question, Tree
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
from consult.units import to_unit

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
            value = self.worth(piece, view)
            return value if isinstance(value, TruthFormula) else self.unknown

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

    def _alike(self, left: Formula, right: Formula) -> Formula:
        for a, b in ((left, right), (right, left)):
            if z3.is_true(a) or z3.is_false(a):
                return b if z3.is_true(a) else self.logic.no(b)
        return left == right

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


# -- every answer a caller might give, as formulas: what can be understood, and what is usual ------

FARTHEST = 3 * 365
"""Days: dates farther off are not understood."""
_KINDS = {"length": LENGTH, "mass": MASS, "count": COUNT}


@dataclass(frozen=True, slots=True, eq=False)
class Said:
    """The answer to one question, asked or not."""

    known: Formula
    """False: the caller does not know."""
    value: Any
    """A formula; of choices, a formula for each."""
    usual: tuple[Formula, ...] = ()
    """What an ordinary caller would say, from what matters most to what matters least."""


@dataclass(slots=True, eq=False)
class AnswerFormulas:
    """One answer for each question of a tree, and what holds of every answer."""

    tree: Tree
    logic: Logic
    said: dict[str, Said] = field(default_factory=dict)
    holds: list[Formula] = field(default_factory=list)

    def __post_init__(self) -> None:
        for question in self.tree.questions.values():
            self.said[question.name] = self._said(question)

    def seen(self, name: str, asked: Formula) -> Symbol:
        """The answer as a condition reads it, where it counts only if ``asked`` holds."""
        said, logic = self.said[name], self.logic
        known = logic.every((asked, said.known))
        match self.tree.questions[name].answer:
            case "length" | "mass" | "count":
                return Quantity(known, said.value)
            case "choice":
                return One(known, said.value)
            case "choices":
                return Several(known, said.value)
            case "yes-no":
                yes, no = logic.every((known, said.value)), logic.no(said.value)
                return TruthFormula(yes, logic.every((known, no)))
            case "date":
                return Day(known, said.value)
            case "text":
                return TextTerm(known)

    def _said(self, question: Question) -> Said:
        logic, name = self.logic, question.name
        known = logic.truth(f"{name} known")
        match question.answer:
            case "length" | "mass" | "count":
                value = z3.Real(name, logic.context)
                least, most = limits(question)
                self.holds += [value >= logic.number(least), value <= logic.number(most)]
                if not may_be_zero(question):
                    self.holds.append(value > 0)
                return Said(known, value, (known, *self._usual_number(question, value)))
            case "choice" | "choices":
                names = {choice: logic.truth(f"{name} {choice}") for choice in question.choices}
                self._choosable(question, names)
                first = question.exclusive or next(iter(names))
                alone = [v if n == first else logic.no(v) for n, v in names.items()]
                return Said(known, names, (known, logic.every(alone)))
            case "yes-no":
                yes = logic.truth(f"{name} yes")
                return Said(known, yes, (known, yes))
            case "date":
                day = z3.Int(name, logic.context)
                self.holds += [day >= 0, day <= FARTHEST]
                return Said(known, day, (known, day == 14))
            case "text":
                return Said(known, None, (known,))

    def _choosable(self, question: Question, names: Mapping[str, Formula]) -> None:
        self.holds.append(self.logic.some(names.values()))
        if question.answer == "choice":
            self.holds.append(z3.AtMost(*names.values(), 1))
        elif question.exclusive is not None:
            alone = names[question.exclusive]
            for name, chosen in names.items():
                if name != question.exclusive:
                    self.holds.append(z3.Not(z3.And(alone, chosen)))

    def _usual_number(self, question: Question, value: Formula) -> tuple[Formula, ...]:
        if question.expect is None:
            return (value == 1,) if may_be_zero(question) or question.answer == "count" else ()
        low, high = (in_question_unit(question, end) for end in question.expect)
        middle = float(round((low + high) / 2))
        within = z3.And(value >= self.logic.number(low), value <= self.logic.number(high))
        if not low <= middle <= high:
            return (within,)
        return (within, value == self.logic.number(middle))


def in_question_unit(question: Question, value: float) -> float:
    """A value in mm or kg as the question's own conditions read it; a count as it is."""
    return round(to_unit(value, question.unit), 9) if question.unit else value


def limits(question: Question) -> tuple[float, float]:
    """The least and the most that is understood, in the question's own unit."""
    if question.expect is not None:
        low, high = question.expect
        return in_question_unit(question, low / 4), in_question_unit(question, high * 3)
    return 0.0, in_question_unit(question, _KINDS[question.answer].most)


def may_be_zero(question: Question) -> bool:
    """Whether nought is an answer."""
    if question.answer == "mass":
        return False
    return question.expect[0] == 0 if question.expect is not None else question.answer == "count"
