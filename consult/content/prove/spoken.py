"""Answers as an adviser would type them."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from consult.call.understand import understand
from consult.units import Unclear

if TYPE_CHECKING:
    from consult.call.understand import Value
    from consult.tree.model import Question

DAY = date(2026, 1, 5)
"""The day of every call that is only tried."""
_UNKNOWN = "?"
_STONE = 14.0


def said_as(question: Question, value: Value | None) -> str:
    """What to type for a value in the question's own unit; None: the caller does not know."""
    if value is None:
        return _UNKNOWN
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        # "5.2 st" may be 5 st 2.
        if question.unit == "st":
            return f"{value * _STONE:.6g} lb"
        return f"{value:.6g} {question.unit or ''}".rstrip()
    if isinstance(value, date):
        return value.isoformat()
    if question.answer == "text":
        return str(value)
    chosen = {value} if isinstance(value, str) else value
    ordered = [name for name in question.choices if name in chosen]
    return ", ".join(_one(question, name) for name in ordered)


def _one(question: Question, name: str) -> str:
    """The name of a choice, or its number where the name alone would be heard as another."""
    try:
        heard = understand(question, name, DAY).value
    except Unclear:
        heard = None
    if heard in (name, frozenset((name,))):
        return name
    return str(list(question.choices).index(name) + 1)
