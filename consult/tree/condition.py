"""Conditions of a tree: one line of text, read once, then evaluated to yes, no or not known.

The text is checked character by character and word by word before Python's own parser sees it,
and only the forms listed here are accepted from the parser. Nothing is ever evaluated as Python.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Callable, Mapping, Set
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from itertools import pairwise

from consult.recall import recall
from consult.tree.condition_mistakes import (
    ODD_WORDS,
    WORDS_THAT_MAY_BE_NAMES,
    cannot_be_read,
    odd_sign,
    other_words,
)
from consult.tree.evaluators import compiled_truth
from consult.tree.nodes import (
    And,
    ChoiceName,
    Compare,
    Comparing,
    Known,
    Lookup,
    Minus,
    Name,
    Node,
    Not,
    Number,
    Or,
    Reckoning,
    Sum,
    Truth,
    YesNo,
    interpret,
    named,
)

MAX_LENGTH = 2000
_MAX_DEPTH = 40
_MOST_RESOLVED = 8
"""Ways to resolve a condition that are kept; one more, and all are forgotten."""

SETTLED = "settled"
"""Short for fit.settled, because it is asked of every measurement."""
STOPPED = "stopped"
"""Whether a stop holds: an outcome, known once the call is over."""
CALL_STOPPED = f"call.{STOPPED}"
"""The same as a name that no question can have."""
OUTCOMES = ("caution", "advice", "need", "asked")
"""What else is known once the call is over: ``caution.<name>`` and so on."""
_GRAMMAR = f"and or not in yes no known fit body range {SETTLED} {STOPPED}"
_PYTHON = (
    "as assert async await break class continue def del elif else except finally for from global "
    "if import is lambda nonlocal pass raise return try while with yield true false"
)
_ALLOWED_WORDS = frozenset(_GRAMMAR.split())
RESERVED = _ALLOWED_WORDS | frozenset(_PYTHON.split())
"""Words that mean something to a condition, so that no question or choice can be called so."""


Limits = Mapping[str, float | bool]
"""``range.<limit>`` to its figure, kg, or yes or no."""
NO_LIMITS: Limits = {}
"""Of a folder without a range."""


class ConditionError(Exception):
    """A condition that cannot be read."""

    def __init__(self, message: str, fix: str, offset: int) -> None:
        super().__init__(message)
        self.message = message
        """What is wrong, one plain sentence."""
        self.fix = fix
        """What would be right."""
        self.offset = offset
        """Position in the text, from 0."""


@dataclass(frozen=True)
class Condition:
    """A condition that has been read."""

    text: str
    node: Node
    names: frozenset[str]
    """Every question, choice and dotted quantity it names."""

    @cached_property
    def evaluate(self) -> Callable[[Lookup], Truth]:
        """True, False, or None where it is not known; never raises unless the lookup does.

        The lookup gives the value of a question (a length or mass in the question's own unit), of
        ``fit.<quantity>`` or ``body.<dimension>``; None where it is not known. Compiled when it is
        first asked for: most conditions that are read never are evaluated.
        """
        return compiled_truth(self.node)

    @cached_property
    def derived(self) -> bool:
        """Whether it reads what is worked out of several answers: ``fit.``, ``body.``, settled."""
        return any("." in name or name == SETTLED for name in self.names)

    @cached_property
    def waits_for(self) -> frozenset[str] | None:
        """Names one of which must be known before it can be true; None where none need be."""
        return None if self.derived or _can_tell_alone(self.node) else self.names

    def resolve(self, questions: Set[str], limits: Limits = NO_LIMITS) -> Condition:
        """The same with every bare name that is not a question standing for itself, a choice, and
        every ``range.<limit>`` that is known as its figure."""
        asked = frozenset(name for name in self.names if name in questions)
        known = tuple((name, limits[name]) for name in sorted(self.names) if name in limits)

        def made() -> Condition:
            names = self.names - limits.keys()
            return replace(self, node=_resolved(self.node, questions, limits), names=names)

        return recall(self._resolved, (asked, known), _MOST_RESOLVED, made)

    @cached_property
    def _resolved(self) -> dict[tuple[frozenset[str], tuple[tuple[str, float], ...]], Condition]:
        """What it was resolved to, by its names that are questions and by its limits: the check and
        every tree that shares a file go by the same one, which is compiled once."""
        return {}


# Remembered by text: a tree is checked and then built, and so is each that shares a file.
@lru_cache(maxsize=4096)
def parse_condition(text: str, *, outcomes: bool = False) -> Condition:
    """Read a condition, or raise ConditionError saying where it stops making sense.

    With ``outcomes`` it may also name what is known only once the call is over.
    """
    if len(text) > MAX_LENGTH:
        message = f"The condition is longer than {MAX_LENGTH} characters."
        raise ConditionError(message, "Split it, or ask a question that sums it up.", 0)
    if not text.strip():
        raise ConditionError("The condition is empty.", "Write one, such as: consent", 0)
    if any(word in text for word in WORDS_THAT_MAY_BE_NAMES):
        _refuse_other_words(text)
    try:
        node = _read(text, outcomes)
    except ConditionError:
        # What else it may mean is looked for in what is refused anyway: that takes as long as
        # reading it.
        _refuse_other_words(text)
        raise
    return Condition(text.strip(), node, frozenset(leaf.name for leaf in named(node)))


def _refuse_other_words(text: str) -> None:
    meant = other_words(text)
    if meant is not None:
        raise ConditionError(*meant) from None


def _read(text: str, outcomes: bool) -> Node:
    lists = list(_ANY_OF.finditer(text))
    _check_words(text, {at for match in lists for at in range(*match.span())})
    stripped = _ANY_OF.sub(_as_operator, text).lstrip(" ")
    shift = len(text) - len(stripped)
    try:
        parsed = ast.parse(stripped, mode="eval").body
    except SyntaxError as error:
        offset = min(max((error.offset or 1) - 1 + shift, 0), len(text))
        raise ConditionError(*cannot_be_read(text, offset), offset) from None
    except (RecursionError, MemoryError, ValueError):
        raise ConditionError(*_TOO_DEEP, 0) from None
    return _Reader(shift, outcomes).node(parsed, 0)


_TOO_DEEP = ("The condition is nested too deeply.", "Take brackets out or split it.")
_TOKEN = re.compile(
    r"(?P<number>(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?![A-Za-z0-9_.]))|(?P<word>[A-Za-z_][A-Za-z0-9_]*)"
    r"|(?P<sign>==|!=|<=|>=|[<>+*/().-])|(?P<space> +)"
)
_ANY_OF = re.compile(r"\bhas +any +of *\( *[a-z][a-z0-9_]* *(?:, *[a-z][a-z0-9_]* *)*\)")
"""What follows the name of a question: ``has any of (neck, shoulders)``."""


def _as_operator(match: re.Match[str]) -> str:
    """The list with an operator that conditions have no other use for; its length stays the
    same."""
    before, names = match.group().split("(", 1)
    return f"@{' ' * (len(before) - 1)}({names}"


def _check_words(text: str, lists: Set[int]) -> None:
    """``lists`` are the places inside of ``has any of``, where words and commas may stand."""
    position, before, depth = 0, "", 0
    while position < len(text):
        match = _TOKEN.match(text, position)
        if position in lists and (match is None or match.lastgroup != "word"):
            position += 1
            continue
        if match is None:
            raise ConditionError(*odd_sign(text, position), position)
        token = match.group()
        if match.lastgroup == "number" and len(token) > 15:
            raise ConditionError("The number is too long.", "Use fifteen digits at most.", position)
        if match.lastgroup == "word":
            if token in ODD_WORDS:
                raise ConditionError(*ODD_WORDS[token], position)
            if token in RESERVED and token not in _ALLOWED_WORDS:
                message = f"'{token}' is not allowed in a condition."
                raise ConditionError(message, "Conditions only compare answers.", position)
        depth += (token == "(") - (token == ")")
        if depth > _MAX_DEPTH:
            raise ConditionError(*_TOO_DEEP, position)
        if token == before and token in ("*", "/"):
            message = f"'{token * 2}' is not allowed in a condition."
            raise ConditionError(message, "Only + - * / can be used for arithmetic.", position - 1)
        before = token
        position = match.end()


_COMPARE: dict[type[ast.cmpop], Comparing] = {
    ast.Eq: "==",
    ast.NotEq: "!=",
    ast.Lt: "<",
    ast.LtE: "<=",
    ast.Gt: ">",
    ast.GtE: ">=",
    ast.In: "in",
    ast.NotIn: "not in",
}
_RECKON: dict[type[ast.operator], Reckoning] = {
    ast.Add: "+",
    ast.Sub: "-",
    ast.Mult: "*",
    ast.Div: "/",
}


class _Reader:
    """Takes over the forms of Python that conditions have, and refuses every other."""

    def __init__(self, shift: int, outcomes: bool) -> None:
        self.shift = shift
        self.outcomes = outcomes

    def node(self, expr: ast.expr, depth: int) -> Node:
        offset = expr.col_offset + self.shift
        if depth > _MAX_DEPTH:
            raise ConditionError(*_TOO_DEEP, offset)

        def part(inner: ast.expr) -> Node:
            return self.node(inner, depth + 1)

        match expr:
            case ast.Constant(value=int() | float() as value) if not isinstance(value, bool):
                return Number(float(value), offset)
            case ast.Name(id="yes" | "no" as word):
                return YesNo(word == "yes", offset)
            case ast.Name() | ast.Attribute():
                return self._name(expr, offset)
            case ast.UnaryOp(op=ast.Not(), operand=inner):
                return Not(part(inner), offset)
            case ast.UnaryOp(op=ast.USub(), operand=inner):
                return Minus(part(inner), offset)
            case ast.BoolOp(op=ast.And(), values=inner_parts):
                return And(tuple(part(expr) for expr in inner_parts), offset)
            case ast.BoolOp(values=inner_parts):
                return Or(tuple(part(expr) for expr in inner_parts), offset)
            case ast.BinOp(left=left, op=ast.MatMult(), right=right):
                listed = right.elts if isinstance(right, ast.Tuple) else [right]
                choices = [
                    Compare((part(expr), part(left)), ("in",), expr.col_offset + self.shift)
                    for expr in listed
                ]
                return choices[0] if len(choices) == 1 else Or(tuple(choices), offset)
            case ast.BinOp(left=left, op=op, right=right) if type(op) in _RECKON:
                return Sum(_RECKON[type(op)], part(left), part(right), offset)
            case ast.Compare(left=left, ops=ops, comparators=others) if all(
                type(op) in _COMPARE for op in ops
            ):
                parts = tuple(part(expr) for expr in (left, *others))
                return Compare(parts, tuple(_COMPARE[type(op)] for op in ops), offset)
            case ast.Call(func=ast.Name(id="known"), args=[inner], keywords=[]):
                if isinstance(inner, (ast.Name, ast.Attribute)):
                    return Known(self._name(inner, inner.col_offset + self.shift), offset)
                message = "known() takes the name of one question."
                raise ConditionError(message, "Write known(lower_leg).", offset)
            case ast.Call():
                message = "Only known(...) can be written with brackets after a name."
                fix = "Write known(lower_leg), or join the two with and or or."
                raise ConditionError(message, fix, offset)
        message = "This is not allowed in a condition."
        raise ConditionError(message, "Conditions only compare answers.", offset)

    def _name(self, node: ast.Name | ast.Attribute, offset: int) -> Name:
        if isinstance(node, ast.Name):
            if node.id == SETTLED:
                return Name(f"fit.{SETTLED}", offset)
            if node.id == STOPPED:
                return self._outcome(STOPPED, CALL_STOPPED, offset)
            if node.id in RESERVED:
                message = f"'{node.id}' cannot be used alone."
                fix = "Write fit.seat_height, body.stature or known(lower_leg)."
                raise ConditionError(message, fix, offset)
            return Name(node.id, offset)
        if isinstance(node.value, ast.Name) and node.value.id in ("fit", "body", "range"):
            return Name(f"{node.value.id}.{node.attr}", offset)
        if isinstance(node.value, ast.Name) and node.value.id in OUTCOMES:
            name = f"{node.value.id}.{node.attr}"
            return self._outcome(name, name, offset)
        message = "Only fit., body. and range. have a point after them."
        raise ConditionError(message, "Write fit.seat_height or body.stature.", offset)

    def _outcome(self, written: str, name: str, offset: int) -> Name:
        if not self.outcomes:
            message = f"'{written}' is known only after the call."
            fix = "Only always: may use it. Here, use the answers that decide it."
            raise ConditionError(message, fix, offset)
        return Name(name, offset)


def _resolved(node: Node, questions: Set[str], limits: Limits) -> Node:
    def inside(inner: Node) -> Node:
        return _resolved(inner, questions, limits)

    match node:
        case Known(of=Name(name=name), offset=offset) if name in limits:
            return YesNo(True, offset)
        case Name(name=name, offset=offset) if name in limits:
            limit = limits[name]
            return YesNo(limit, offset) if isinstance(limit, bool) else Number(limit, offset)
        case Name(name=name, offset=offset):
            return node if "." in name or name in questions else ChoiceName(name, offset)
        case Not() | Minus():
            return replace(node, of=inside(node.of))
        case And() | Or() | Compare():
            return replace(node, parts=tuple(inside(part) for part in node.parts))
        case Sum():
            return replace(node, left=inside(node.left), right=inside(node.right))
        case _:
            return node


# -- what must be said before a condition can be true ---------------------------------------------
# Most conditions of a tree read questions that are not asked in most calls. Unless one of them is
# answered such a condition is not known, whatever it says of the answers, and need not be
# evaluated.


def _can_tell_alone(node: Node) -> bool:
    """Whether it may be true or false with none of its names known."""
    return interpret(node, _tells_alone, lambda of: of, any)


def _tells_alone(leaf: Node) -> bool:
    match leaf:
        case Name() | ChoiceName() | Number():
            return False
        case Compare(parts=parts):
            return any(_is_fixed(left) and _is_fixed(right) for left, right in pairwise(parts))
    return True


def _is_fixed(node: Node) -> bool:
    """Whether it has a value whatever was said."""
    match node:
        case Name():
            return False
        case Minus(of=of):
            return _is_fixed(of)
        case Sum(left=left, right=right):
            return _is_fixed(left) and _is_fixed(right)
        case Known() | Not() | And() | Or() | Compare():
            return _can_tell_alone(node)
    return True
