"""How an answer may be typed, in words, for the call screen and the call in plain lines."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from consult.tree.model import Question
    from consult.units import System

NO_NOTE = "There is no answer yet to add a note to."
_HOW = {
    "yes-no": "y or n",
    "choice": "a number, or the first letters",
    "choices": "numbers or first letters, separated by commas",
    "date": "a date, or “in 2 weeks”, or “next Tuesday”",
    "text": "as said",
    "count": "a number",
}
_BARE = {
    ("length", "imperial"): "inches",
    ("length", "both"): "cm or inches",
    ("mass", "imperial"): "stones or lb",
    ("mass", "both"): "kg, stones or lb",
}


def how_to_answer(question: Question, system: System) -> str:
    """What may be typed for a question, in a few words."""
    bare = _BARE.get((question.answer, system), question.unit)
    how = _HOW.get(question.answer) or f"any unit; a number without a unit is {bare}"
    return how if not question.unknown_allowed else f"{how}; ? if not known"
