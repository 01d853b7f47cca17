"""What a template may do with a value: write it as people read it."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING, Any

from consult.call.chosen_json import of_a_hundred
from consult.call.how_known import NINE_IN_TEN
from consult.problems import listed
from consult.summary.words import label, long_date
from consult.units import format_length, format_mass

if TYPE_CHECKING:
    from consult.sentence import Sentence
    from consult.summary.lines import AnswerLine, Figure, Measures, Worded
    from consult.summary.model import Summary
    from consult.tree.sources import Source
    from consult.units import System

_FROM = {"floor": "floor", "loaded seat": "seat", "length": ""}
_LEVELS = {"stop": "Stop", "refer": "Ask somebody qualified", "note": "Please note"}


def filters(system: System) -> Mapping[str, Callable[..., Any]]:
    """By the name used in a template, for a reader with these units."""

    def length(mm: float) -> str:
        return format_length(mm, system)

    def mass(kg: float) -> str:
        return format_mass(kg, system)

    def text(sentence: Sentence | Measures | Worded) -> str:
        return sentence.text(system)

    def band(one: Figure) -> str:
        """Good between: "41 cm to 46 cm", "40 cm or more"."""
        if math.isinf(one.low):
            return "" if math.isinf(one.high) else f"{length(one.high)} or less"
        if math.isinf(one.high):
            return f"{length(one.low)} or more"
        return f"{length(one.low)} to {length(one.high)}"

    def answer(one: AnswerLine) -> str:
        """What was meant, with what was said beside it where that was put otherwise."""
        meant = one.meant.text(system)
        if not meant or meant.casefold() == one.said.strip().casefold():
            return one.said
        return f"{meant} (said: {one.said})"

    def give(one: Figure) -> str:
        """How far nine of ten people lie from it."""
        return length(NINE_IN_TEN * one.sd)

    def cited(sources: Sequence[Source], summary: Summary) -> str:
        """Their numbers in the list of sources: "source 2", "sources 1 and 3"."""
        numbers = [str(summary.sources.index(one) + 1) for one in sources]
        word = "sources" if len(numbers) > 1 else "source"
        return f"{word} {listed(numbers, 'and')}" if numbers else ""

    return {
        "cited": cited,
        "length": length,
        "mass": mass,
        "text": text,
        "answer": answer,
        "band": band,
        "give": give,
        "money": lambda amount, currency: f"{currency} {amount:,.2f}",
        "label": label,
        "day": _day,
        "odds": of_a_hundred,
        "level": lambda name: _LEVELS[name],
        "measured_from": lambda name: _FROM[name],
    }


def _day(day: date) -> str:
    return long_date(day)
