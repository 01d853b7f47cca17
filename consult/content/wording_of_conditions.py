"""A condition as a plain English sentence, for people who read no YAML.

What is written is worth the same as the condition for every caller, answers that are not known
included: ``not`` is carried inwards, which Kleene's logic allows, and ends in words that ask for
an answer ("answers ..., but not with ...") wherever the condition does. Names are never dropped.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

from consult.content.names_in_words import (
    choice_in_words,
    is_yes_no,
    number_in_words,
    quantity_in_words,
    quote,
    unit_of,
    yes_no_in_words,
)
from consult.problems import listed
from consult.tree.condition import Condition
from consult.tree.model import Tree
from consult.tree.nodes import (
    OPPOSITE,
    TURNED,
    And,
    ChoiceName,
    Compare,
    Comparing,
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

_NUMBERS: dict[Comparing, str] = {
    "==": "exactly",
    "!=": "not",
    "<": "under",
    "<=": "at most",
    ">": "over",
    ">=": "at least",
}
_DATES: dict[Comparing, str] = {
    "==": "the same day as",
    "!=": "another day than",
    "<": "before",
    "<=": "not after",
    ">": "after",
    ">=": "not before",
}
_OTHERS: dict[Comparing, str] = {
    "==": "the same as",
    "!=": "other than",
    "in": "among",
    "not in": "not among",
}
_SUMS = {"+": "plus", "-": "minus", "*": "times", "/": "divided by"}


def in_words(condition: Condition, tree: Tree, *, asked: str | None = None) -> str:
    """The condition as the part of a sentence that follows "when"; never fails.

    "the caller says “Lower back” under 'pain sites' and 'desk height' is over 72 cm". Brackets
    stand around an "or" inside an "and" and the other way round. ``asked`` is the question the
    reader is looking at: its answer is called "the answer".
    """
    writer = _Writer(tree, asked)
    piece = writer.piece(condition.resolve(tree.questions.keys()).node, True)
    return writer.said(piece)


@dataclass(frozen=True, slots=True)
class _Writer:
    tree: Tree
    asked: str | None

    def piece(self, node: Node, so: bool) -> WordedPiece:
        """What has to be said for the node to be true, or false where not ``so``."""
        match node:
            case Not(of=inner):
                return self.piece(inner, not so)
            case And(parts=parts) | Or(parts=parts):
                by: Joining = "and" if isinstance(node, And) == so else "or"
                return joined_by(by, [self.piece(part, so) for part in parts])
            case Known(of=inner):
                return Phrase(self._known(inner.name, so))
            case YesNo(value=value):
                return Phrase("in every case" if value == so else "in no case")
            case Name(name=name):
                return Phrase(self._yes(name, so))
            case Compare():
                return self._compared(node, so)
            case _:
                return Phrase(f"{self.value(node)} is {'yes' if so else 'no'}")

    def _known(self, name: str, so: bool) -> str:
        if name == self.asked:
            return "the answer is known" if so else "the answer is not known"
        return f"{self.subject(name)} is {'' if so else 'not '}known"

    def _yes(self, name: str, so: bool) -> str:
        word = "yes" if so else "no"
        if is_yes_no(name):
            return yes_no_in_words(name, so=so)
        if name == self.asked:
            return f"the answer is {word}"
        if "." in name:
            return f"{quantity_in_words(name)} is {word}"
        return f"the caller says {word} to {quote(name)}"

    def _compared(self, node: Compare, so: bool) -> WordedPiece:
        between = self._between(node) if so else None
        if between is not None:
            return between
        signs = node.signs if so else tuple(OPPOSITE[sign] for sign in node.signs)
        pairs = zip(pairwise(node.parts), signs, strict=True)
        pieces = [self._pair(left, sign, right) for (left, right), sign in pairs]
        return joined_by("and" if so else "or", pieces)

    def _between(self, node: Compare) -> WordedPiece | None:
        """A chain such as ``70 <= x < 76``, said of what stands in the middle."""
        if len(node.parts) != 3 or not set(node.signs) <= {"<", "<=", ">", ">="}:
            return None
        first, middle, last = node.parts
        if not isinstance(first, Number) or not isinstance(last, Number):
            return None
        unit = self.unit(middle)
        low = f"{_NUMBERS[TURNED[node.signs[0]]]} {number_in_words(first.value, unit)}"
        high = f"{_NUMBERS[node.signs[1]]} {number_in_words(last.value, unit)}"
        return Phrase(f"{self.value(middle)} is {low} and {high}", joined=True)

    def _pair(self, left: Node, sign: Comparing, right: Node) -> WordedPiece:
        if isinstance(left, (ChoiceName, Number, YesNo)) and not isinstance(
            right, (ChoiceName, Number, YesNo)
        ):
            if sign in ("in", "not in"):
                return self._within(left, sign, right)
            left, sign, right = right, TURNED.get(sign, sign), left
        if sign in ("==", "!="):
            is_truth = isinstance(left, (And, Or, Not, Known, Compare, Name, YesNo))
            if isinstance(right, YesNo) and is_truth:
                return self.piece(left, right.value == (sign == "=="))
            if isinstance(right, ChoiceName) and isinstance(left, Name):
                return self._same(left.name, sign, right.name)
        words = self._comparing(left, sign, right)
        unit = self.unit(left) or self.unit(right)
        return Phrase(f"{self.value(left, unit)} is {words} {self.value(right, unit)}")

    def _comparing(self, left: Node, sign: Comparing, right: Node) -> str:
        kinds = {self._kind(left), self._kind(right)}
        if "date" in kinds:
            return _DATES.get(sign) or _OTHERS[sign]
        plain = kinds & {"choice", "choices", "yes-no", "text"}
        if sign in _OTHERS and (plain or sign in ("in", "not in")):
            return _OTHERS[sign]
        return _NUMBERS[sign]

    def _kind(self, node: Node) -> str:
        if isinstance(node, Name):
            question = self.tree.questions.get(node.name)
            return question.answer if question else "yes-no" if is_yes_no(node.name) else "number"
        if isinstance(node, ChoiceName):
            return "choice"
        return "number" if isinstance(node, (Number, Minus, Sum)) else "yes-no"

    def _within(self, left: Node, sign: Comparing, right: Node) -> WordedPiece:
        if isinstance(left, ChoiceName) and isinstance(right, Name) and "." not in right.name:
            return NamedChoices(right.name, (left.name,), sign == "in")
        return Phrase(f"{self.value(left)} is {_OTHERS[sign]} {self.value(right)}")

    def _same(self, name: str, sign: Comparing, choice: str) -> WordedPiece:
        """A question that is, or is not, exactly one choice."""
        question = self.tree.questions.get(name)
        if question is None or question.answer != "choices" or question.exclusive == choice:
            return NamedChoices(name, (choice,), sign == "==")
        label = choice_in_words(choice, name, self.tree)
        if sign == "==":
            return Phrase(self._answered(name, f"{label} and nothing else"))
        return Phrase(self._answered(name, f"something other than just {label}"))

    def _answered(self, name: str, what: str) -> str:
        if name == self.asked:
            return f"the answer is {what}"
        where = self.subject(name) if "." in name else quote(name)
        return f"the caller says {what} under {where}"

    def value(self, node: Node, unit: str = "") -> str:
        """A node as the subject or the object of a sentence; ``unit`` is that of bare numbers."""
        match node:
            case Number(value=number):
                return number_in_words(number, unit)
            case Name(name=name):
                return self.subject(name)
            case ChoiceName(name=name):
                return choice_in_words(name, None, self.tree)
            case YesNo(value=value):
                return "yes" if value else "no"
            case Minus(of=inner):
                return f"minus {self._operand(inner, unit)}"
            case Sum(sign=sign, left=left, right=right):
                inside = (self.unit(node) or unit) if sign in ("+", "-") else ""
                parts = self._operand(left, inside), self._operand(right, inside)
                return f"{parts[0]} {_SUMS[sign]} {parts[1]}"
            case _:
                return f"whether ({self.said(self.piece(node, True))})"

    def _operand(self, node: Node, unit: str) -> str:
        words = self.value(node, unit)
        return f"({words})" if isinstance(node, (Sum, Minus)) else words

    def subject(self, name: str) -> str:
        """A name as the subject of a sentence."""
        if name == self.asked:
            return "the answer"
        return quantity_in_words(name) if "." in name else quote(name)

    def unit(self, node: Node) -> str:
        """The unit a node is read in; empty for a plain number."""
        match node:
            case Name(name=name):
                return unit_of(name, self.tree)
            case Minus(of=inner):
                return self.unit(inner)
            case Sum(sign="/", left=left, right=right):
                return "" if self.unit(right) else self.unit(left)
            case Sum(left=left, right=right):
                return self.unit(left) or self.unit(right)
            case _:
                return ""

    def said(self, piece: WordedPiece, inside: Joining | None = None) -> str:
        """The piece as text, in brackets where it would otherwise run into its neighbours."""
        match piece:
            case Phrase(text=text, joined=joined):
                return f"({text})" if joined and inside == "or" else text
            case NamedChoices():
                return self._told(piece)
            case JoinedPieces(by=by, parts=parts):
                text = f" {by} ".join(self.said(part, by) for part in parts)
                return f"({text})" if inside not in (None, by) else text

    def _told(self, piece: NamedChoices) -> str:
        labels = [choice_in_words(choice, piece.question, self.tree) for choice in piece.choices]
        question = self.tree.questions.get(piece.question)
        several = question is not None and question.answer == "choices"
        if piece.named:
            many = "all of " if piece.every else "any of "
            what = f"{many if len(labels) > 1 else ''}{_list(labels, piece.every)}"
            return self._answered(piece.question, what)
        if not several or (question is not None and piece.choices == (question.exclusive,)):
            return self._answered(piece.question, f"something other than {listed(labels)}")
        without = f"none of {_list(labels, True)}" if len(labels) > 1 else f"not {labels[0]}"
        if piece.question == self.asked:
            return f"there is an answer, but {without}"
        answer = without if len(labels) > 1 else labels[0]
        how = "with" if len(labels) > 1 else "not with"
        return f"the caller answers {quote(piece.question)}, but {how} {answer}"


def _list(labels: Sequence[str], every: bool) -> str:
    return f"{', '.join(labels[:-1])} and {labels[-1]}" if every and labels[1:] else listed(labels)


# -- pieces of a condition as they are said, and how several become one sentence ------------------
# What is said about one question is said in one breath wherever that means the same, so that six
# choices joined by "or" are a list and not six sentences.

Joining = Literal["and", "or"]


@dataclass(frozen=True, slots=True)
class Phrase:
    """Something said; ``joined`` where it holds an 'and' of its own."""

    text: str
    joined: bool = False


@dataclass(frozen=True, slots=True)
class NamedChoices:
    """Which choices of one question the caller names, or does not name."""

    question: str
    choices: tuple[str, ...]
    named: bool
    """Whether they are named; else an answer is given and they are not in it."""
    every: bool = False
    """Whether all of several have to be named, not just any."""


@dataclass(frozen=True, slots=True)
class JoinedPieces:
    """Several joined by one word."""

    by: Joining
    parts: tuple[WordedPiece, ...]


WordedPiece = Phrase | NamedChoices | JoinedPieces


def joined_by(by: Joining, pieces: Sequence[WordedPiece]) -> WordedPiece:
    """The pieces joined; those about one question said in one breath where that means the same."""
    joined: list[WordedPiece] = []
    for piece in _flat(by, pieces):
        for index, other in enumerate(joined):
            together = _together(by, other, piece)
            if together is not None:
                joined[index] = together
                break
        else:
            joined.append(piece)
    return joined[0] if len(joined) == 1 else JoinedPieces(by, tuple(joined))


def _flat(by: Joining, pieces: Sequence[WordedPiece]) -> Iterator[WordedPiece]:
    for piece in pieces:
        if isinstance(piece, JoinedPieces) and piece.by == by:
            yield from piece.parts
        else:
            yield piece


def _together(by: Joining, first: WordedPiece, second: WordedPiece) -> NamedChoices | None:
    if not isinstance(first, NamedChoices) or not isinstance(second, NamedChoices):
        return None
    if first.question != second.question or first.named != second.named:
        return None
    choices = tuple(dict.fromkeys((*first.choices, *second.choices)))
    if by == "or":
        any_of = first.named and not (first.every or second.every)
        return replace(first, choices=choices) if any_of else None
    if not first.named:
        return replace(first, choices=choices)
    mixed = any(len(piece.choices) > 1 and not piece.every for piece in (first, second))
    return None if mixed else replace(first, choices=choices, every=len(choices) > 1)
