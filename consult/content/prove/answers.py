"""Every answer a caller might give, as formulas: what can be understood, and what is usual."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import z3

from consult.content.drawing.view import way_from
from consult.content.prove.symbols import (
    Day,
    Formula,
    Logic,
    One,
    Quantity,
    Several,
    Symbol,
    TextTerm,
    TruthFormula,
)
from consult.hearing.quantity import COUNT, LENGTH, MASS
from consult.tree.model import END, Question, Tree
from consult.units import to_unit

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
                names = {each: logic.truth(f"{name} {each}") for each in question.choices}
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
            for name, other in names.items():
                if name != question.exclusive:
                    self.holds.append(z3.Not(z3.And(alone, other)))

    def _usual_number(self, question: Question, value: Formula) -> tuple[Formula, ...]:
        if question.expect is None:
            return (value == 1,) if may_be_zero(question) or question.answer == "count" else ()
        low, high = (in_own_unit(question, end) for end in question.expect)
        middle = float(round((low + high) / 2))
        within = z3.And(value >= self.logic.number(low), value <= self.logic.number(high))
        if not low <= middle <= high:
            return (within,)
        return (within, value == self.logic.number(middle))


def in_own_unit(question: Question, value: float) -> float:
    """A value in mm or kg as the question's own conditions read it; a count as it is."""
    return round(to_unit(value, question.unit), 9) if question.unit else value


def limits(question: Question) -> tuple[float, float]:
    """The least and the most that is understood, in the question's own unit."""
    if question.expect is not None:
        low, high = question.expect
        return in_own_unit(question, low / 4), in_own_unit(question, high * 3)
    return 0.0, in_own_unit(question, _KINDS[question.answer].most)


def may_be_zero(question: Question) -> bool:
    """Whether nought is an answer."""
    if question.answer == "mass":
        return False
    return question.expect[0] == 0 if question.expect is not None else question.answer == "count"


# -- the order in which a call can pass the questions of a tree -----------------------------------


@dataclass(frozen=True, slots=True)
class Order:
    """The questions that routes lead to from one of them, each after all that can precede it."""

    names: tuple[str, ...]
    before: Mapping[str, frozenset[str]]
    """Question -> those that can have been passed when it comes."""


def order_from(tree: Tree, root: str) -> Order:
    """The order from ``root`` on. The tree has no circle: none is loaded that has."""
    names = tuple(way_from(root, tree))
    before: dict[str, set[str]] = {name: set() for name in names}
    for name in names:
        for route in tree.questions[name].routes:
            if route.go != END:
                before[route.go] |= before[name] | {name}
    return Order(names, {name: frozenset(found) for name, found in before.items()})
