"""Whether a condition makes sense: names that exist, kinds and units that go together."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Literal

from consult.problems import listed, nearest, well_named
from consult.tree.condition import CALL_STOPPED, STOPPED, Condition
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
)
from consult.tree.quantities import QUANTITIES

Sort = Literal["number", "yes-no", "choice", "choices", "text", "date", "name", "unclear"]


@dataclass(frozen=True, slots=True)
class ValueKind:
    """What a name or a piece of a condition is."""

    sort: Sort
    unit: str | None = None
    """Unit of a number; "" for a plain count, None for a number as written, which takes any."""
    choices: frozenset[str] = frozenset()
    name: str = ""
    """The name as written, for messages."""


@dataclass(frozen=True, slots=True)
class TypeTrouble:
    """One thing in a condition that makes no sense; ``offset`` counts from 0 in its text."""

    offset: int
    message: str
    fix: str
    rule: str


@dataclass(slots=True)
class _Checker:
    questions: Mapping[str, ValueKind]
    outcomes: Mapping[str, Collection[str]] = field(default_factory=dict)
    """caution, advice, need, asked -> the names each may have after its point."""
    troubles: list[TypeTrouble] = field(default_factory=list)

    def says(self, node: Node, rule: str, message: str, fix: str) -> None:
        self.troubles.append(TypeTrouble(node.offset, message, fix, rule))

    def kind(self, node: Node) -> ValueKind:
        match node:
            case Number(value=value):
                return ValueKind("number", name=f"{value:g}")
            case YesNo(value=value):
                return ValueKind("yes-no", name="yes" if value else "no")
            case ChoiceName(name=name):
                return ValueKind("name", name=name)
            case Name():
                return self.named(node)
            case Known(of=inner):
                self.named(inner)
                return ValueKind("yes-no", name="known(...)")
            case Not(of=inner):
                self.truth(inner)
                return ValueKind("yes-no", name="not ...")
            case And(parts=parts) | Or(parts=parts):
                for part in parts:
                    self.truth(part)
                return ValueKind("yes-no", name="and, or")
            case Minus(of=inner):
                return self.number(inner)
            case Sum():
                return self.reckoned(node)
            case Compare():
                self.compared(node)
                return ValueKind("yes-no", name="the comparison")

    def named(self, node: Name) -> ValueKind:
        name = node.name
        owner, _, rest = name.partition(".")
        kind = self.questions.get(name)
        if kind is not None:
            return kind
        if not rest:
            fix = nearest(name, well_named(self.questions))
            fix = fix or "known() takes the name of a question."
            self.says(node, "unknown-name", f"There is no question '{name}'.", fix)
            return ValueKind("unclear", name=name)
        if name == CALL_STOPPED:
            return ValueKind("yes-no", name=STOPPED)
        if owner in self.outcomes:
            return self.outcome(node, owner, rest)
        valid = QUANTITIES[owner]
        own = [
            question
            for question in self.questions
            if question.startswith("fit.") and owner == "fit"
        ]
        if own or rest not in valid:
            fix = nearest(name, own or [f"{owner}.{quantity}" for quantity in valid])
            fix = fix or f"There is {listed(own or valid)}."
            self.says(node, "unknown-name", f"There is no '{name}'.", fix)
            return ValueKind("unclear", name=name)
        if valid[rest] == "yes-no":
            return ValueKind("yes-no", name=name)
        return ValueKind("number", valid[rest], name=name)

    def outcome(self, node: Name, owner: str, rest: str) -> ValueKind:
        if rest not in self.outcomes[owner]:
            fix = nearest(rest, self.outcomes[owner]).replace("'", f"'{owner}.", 1)
            fix = fix or f"After {owner}. write the name of one of them."
            message = f"This tree has no {_OUTCOME[owner]} '{rest}'."
            self.says(node, "unknown-name", message, fix)
            return ValueKind("unclear", name=node.name)
        return ValueKind("yes-no", name=node.name)

    def truth(self, node: Node) -> None:
        """Something that has to be yes or no by itself."""
        kind = self.kind(node)
        if kind.sort == "name":
            self.unknown(node, kind.name)
        elif kind.sort not in ("yes-no", "unclear"):
            message = f"'{kind.name}' is {_said(kind)}, which is neither yes nor no."
            example = f"known({kind.name})" if isinstance(node, Name) else "desk_height > 72"
            fix = f"Compare it with something, or write {example}."
            self.says(node, "not-yes-no", message, fix)

    def number(self, node: Node) -> ValueKind:
        kind = self.kind(node)
        if kind.sort == "name":
            self.unknown(node, kind.name)
        elif kind.sort not in ("number", "unclear"):
            message = f"'{kind.name}' is {_said(kind)}, which cannot be used in arithmetic."
            fix = "Only + - * / of numbers and lengths is possible."
            self.says(node, "not-a-number", message, fix)
        return kind if kind.sort == "number" else ValueKind("unclear", name=kind.name)

    def reckoned(self, node: Sum) -> ValueKind:
        left, right = self.number(node.left), self.number(node.right)
        if "unclear" in (left.sort, right.sort):
            return ValueKind("unclear", name="the sum")
        if node.sign in ("+", "-"):
            self.same_unit(node, left, right)
            unit = left.unit if left.unit is not None else right.unit
        elif node.sign == "*":
            if left.unit and right.unit:
                message = (
                    f"{_said(left, the=True)} and {_said(right, the=True)} cannot be multiplied."
                )
                self.says(node, "units", message, "Multiply a length or mass by a plain number.")
            unit = left.unit or right.unit or _plain(left, right)
        elif right.unit and left.unit != right.unit:
            message = f"{_said(left, the=True)} cannot be divided by {_said(right, the=True)}."
            self.says(node, "units", message, "Divide by a plain number or by the same unit.")
            return ValueKind("unclear", name="the sum")
        else:
            unit = "" if right.unit else left.unit or _plain(left, right)
        return ValueKind("number", unit, name="the sum")

    def same_unit(self, node: Node, left: ValueKind, right: ValueKind) -> None:
        if None not in (left.unit, right.unit) and left.unit != right.unit:
            message = f"{_said(left, the=True)} and {_said(right, the=True)} have different units."
            fix = "Give both the same unit; fit., body. and range. are in cm and kg."
            self.says(node, "units", message, fix)

    def compared(self, node: Compare) -> None:
        # Each part is looked at once, however many comparisons of the chain it stands in.
        kinds = [self.kind(part) for part in node.parts]
        troubled: set[int] = set()
        for index, sign in enumerate(node.signs):
            before = len(self.troubles)
            if troubled.isdisjoint((index, index + 1)):
                left, right = node.parts[index], node.parts[index + 1]
                self.pair(sign, (left, kinds[index]), (right, kinds[index + 1]))
            if len(self.troubles) > before:
                troubled.update((index, index + 1))

    def pair(self, sign: str, one: tuple[Node, ValueKind], other: tuple[Node, ValueKind]) -> None:
        (left, a), (_, b) = one, other
        if "unclear" in (a.sort, b.sort):
            return
        if sign in ("in", "not in"):
            self.within(one, other)
            return
        if a.sort == "name" and b.sort == "name":
            strangers = [pair for pair in (one, other) if self.owner(pair[1].name) is None]
            for node, kind in strangers or [one]:
                self.unknown(node, kind.name)
            return
        for (node, kind), facing in ((one, b), (other, a)):
            if kind.sort != "name":
                continue
            if facing.sort not in ("choice", "choices"):
                self.unknown(node, kind.name)
                return
            if kind.name not in facing.choices:
                self.no_choice(node, kind.name, facing)
                return
        sorts, same = {a.sort, b.sort}, sign in ("==", "!=")
        alike = sorts == {"yes-no"} or sorts <= {"choice", "choices", "name"}
        if sorts == {"number"}:
            self.same_unit(left, a, b)
        elif sorts == {"date"} or (same and alike):
            return
        elif not same and sorts & {"choice", "choices"}:
            kind = a if a.sort in ("choice", "choices") else b
            message = f"'{kind.name}' is {_said(kind)}; choices have no order"
            fix = "Write == or !=." if kind.sort == "choice" else "Write neck in pain_sites."
            self.says(left, "order-of-choices", f"{message}, so {sign} cannot compare them.", fix)
        elif "text" in sorts:
            kind = a if a.sort == "text" else b
            message = f"'{kind.name}' is a text, which cannot be compared."
            self.says(left, "kinds", message, f"A text can be used only in known({kind.name}).")
        else:
            message = f"{_said(a, the=True)} cannot be compared with {_said(b, the=True)}."
            self.says(left, "kinds", message, _mend(a, b))

    def within(self, left_side: tuple[Node, ValueKind], right_side: tuple[Node, ValueKind]) -> None:
        (left, a), (right, b) = left_side, right_side
        if b.sort == "name":
            self.unknown(right, b.name)
        elif b.sort != "choices":
            message = f"'{b.name}' is {_said(b)}; 'in' needs a question of several choices."
            fix = f"Write {b.name} == {a.name}." if b.sort == "choice" else ""
            self.says(right, "in-needs-choices", message, fix)
        elif a.sort == "name":
            if a.name not in b.choices:
                self.no_choice(left, a.name, b)
        elif a.name in b.choices:
            message = f"'{a.name}' is a choice of '{b.name}' and also the name of a question."
            self.says(left, "name-twice", message, "Rename one of the two.")
        elif a.sort != "choice":
            message = f"'{a.name}' is {_said(a)}; 'in' needs the name of a choice before it."
            self.says(left, "in-needs-choices", message, f"It is {_some(b.choices)}.")

    def no_choice(self, node: Node, name: str, question: ValueKind) -> None:
        has = _some(question.choices) if question.choices else "no choices yet"
        fix = nearest(name, sorted(question.choices)) or f"It has {has}."
        self.says(node, "no-such-choice", f"'{question.name}' has no choice '{name}'.", fix)

    def owner(self, choice: str) -> str | None:
        """A question that has this choice."""
        return next((k.name for k in self.questions.values() if choice in k.choices), None)

    def unknown(self, node: Node, name: str) -> None:
        owner = self.owner(name)
        if owner:
            message = f"'{name}' is a choice, which is neither yes nor no, nor a number."
            sign = "in" if self.questions[owner].sort == "choices" else "=="
            pair = f"{name} in {owner}" if sign == "in" else f"{owner} == {name}"
            self.says(node, "lone-choice", message, f"Write {pair}.")
            return
        own = [question for question in self.questions if question.startswith("fit.")]
        fix = nearest(name, well_named(self.questions))
        if name in QUANTITIES["body"]:
            fix = f"Write body.{name}."
        elif f"fit.{name}" in (own or _FIT):
            fix = f"Write fit.{name}."
        self.says(node, "unknown-name", f"There is no question or choice '{name}'.", fix)


_FIT = frozenset(f"fit.{name}" for name in QUANTITIES["fit"])
_OUTCOME = {"caution": "caution", "advice": "advice", "need": "need", "asked": "question"}


def condition_troubles(
    condition: Condition,
    questions: Mapping[str, ValueKind],
    outcomes: Mapping[str, Collection[str]] | None = None,
) -> list[TypeTrouble]:
    """Everything in a condition that makes no sense beside these questions, from the left.

    Where the quantities of a fitting are among the questions, they are all that ``fit.`` has.
    ``outcomes`` are the names that caution., advice., need. and asked. may have after them.
    """
    checker = _Checker(questions, outcomes or {})
    checker.truth(condition.resolve(questions.keys()).node)
    troubles = sorted(dict.fromkeys(checker.troubles), key=lambda trouble: trouble.offset)
    return list(_with_hyphens(condition.text, troubles))


_HYPHENS = re.compile(r"[a-z][a-z0-9_]*(?:-[a-z][a-z0-9_]*)+")


def _with_hyphens(text: str, troubles: list[TypeTrouble]) -> Iterator[TypeTrouble]:
    """Unknown names that are parts of one name with hyphens, as one trouble."""
    spans = list(_HYPHENS.finditer(text))
    seen = set[int]()
    for trouble in troubles:
        whole = next((span for span in spans if span.start() <= trouble.offset < span.end()), None)
        if trouble.rule != "unknown-name" or whole is None:
            yield trouble
        elif whole.start() not in seen:
            seen.add(whole.start())
            message = f"There is no question or choice '{whole.group()}'."
            fix = f"Names are written with _, such as {whole.group().replace('-', '_')}."
            yield TypeTrouble(whole.start(), message, fix, trouble.rule)


def _plain(left: ValueKind, right: ValueKind) -> str | None:
    return "" if "" in (left.unit, right.unit) else None


def _said(kind: ValueKind, *, the: bool = False) -> str:
    words = {
        "yes-no": "a yes or no",
        "choice": "one choice",
        "choices": "several choices",
        "text": "a text",
        "date": "a date",
        "name": "the name of a choice",
    }
    text = words.get(kind.sort, "a plain number")
    if kind.sort == "number" and kind.unit:
        text = f"in {kind.unit}"
    elif kind.sort == "number" and kind.unit == "":
        text = "a count"
    if not the:
        return text
    return f"'{kind.name}' ({text})" if text != "a plain number" else f"the number {kind.name}"


def _mend(a: ValueKind, b: ValueKind) -> str:
    for kind in (a, b):
        if kind.sort in ("choice", "choices"):
            return f"'{kind.name}' has {_some(kind.choices)}."
        if kind.sort == "yes-no":
            return f"Write '{kind.name}' or 'not {kind.name}' alone, or compare it with yes or no."
    return "Compare things of one kind."


def _some(names: frozenset[str]) -> str:
    shown = sorted(names)
    return listed(shown if len(shown) <= 8 else [*shown[:7], "others"])
