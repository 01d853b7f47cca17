"""The pieces of a condition, and the logic that joins them; ``evaluators`` works them out."""

from __future__ import annotations

from collections.abc import Callable, Iterable
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


# -- the pieces of a condition --------------------------------------------------------------------

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


@dataclass(frozen=True, slots=True)
class YesNo:
    """``yes`` or ``no``."""

    value: bool
    offset: int


@dataclass(frozen=True, slots=True)
class ChoiceName:
    """The name of a choice, standing for itself."""

    name: str
    offset: int


@dataclass(frozen=True, slots=True)
class Name:
    """A question, or a dotted quantity of the fit or the body."""

    name: str
    offset: int


@dataclass(frozen=True, slots=True)
class Known:
    """``known(x)``: itself never not known."""

    of: Name
    offset: int


@dataclass(frozen=True, slots=True)
class Not:
    """``not x``."""

    of: Node
    offset: int


@dataclass(frozen=True, slots=True)
class And:
    """``x and y and ...``: no as soon as one is, not known only where that could change it."""

    parts: tuple[Node, ...]
    offset: int


@dataclass(frozen=True, slots=True)
class Or:
    """``x or y or ...``: yes as soon as one is, not known only where that could change it."""

    parts: tuple[Node, ...]
    offset: int


@dataclass(frozen=True, slots=True)
class Minus:
    """``-x``."""

    of: Node
    offset: int


@dataclass(frozen=True, slots=True)
class Sum:
    """``x + y`` and the other three."""

    sign: Reckoning
    left: Node
    right: Node
    offset: int


@dataclass(frozen=True, slots=True)
class Compare:
    """``x < y``, or a chain of them, each neighbour with the next."""

    parts: tuple[Node, ...]
    signs: tuple[Comparing, ...]
    offset: int


Node = Number | YesNo | ChoiceName | Name | Known | Not | And | Or | Minus | Sum | Compare
