"""What a template may do with a value: write it as people read it."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from datetime import date
from typing import TYPE_CHECKING, Any

from jinja2 import pass_context

from consult.call.dates import days_words
from consult.call.fit_json import of_a_hundred
from consult.call.wording import NINE_IN_TEN
from consult.money import money
from consult.sentence import amount_words
from consult.units import format_length, format_mass, format_range

if TYPE_CHECKING:
    from jinja2.runtime import Context

    from consult.sentence import Sentence
    from consult.summary.lines import AnswerLine, Figure, Measures, Worded
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
        """The acceptable range: "41 to 46 cm", "40 cm or more"."""
        if math.isinf(one.low):
            return "" if math.isinf(one.high) else f"{length(one.high)} or less"
        if math.isinf(one.high):
            return f"{length(one.low)} or more"
        return format_range(one.low, one.high, system)

    def answer(one: AnswerLine) -> str:
        """What was meant, in the reader's units; free text as it was said."""
        return one.meant.text(system) or one.said

    def figure(one: Figure, setting: float | None) -> float:
        """What to set: the chair's setting where it is acceptable, else what the body asks."""
        if setting is not None and one.low <= setting <= one.high:
            return setting
        return one.target

    def margin(one: Figure) -> str:
        """How far nine of ten people lie from it; none where nothing was estimated."""
        return amount_words(NINE_IN_TEN * one.sd, system) if one.sd else "none"

    return {
        "length": length,
        "mass": mass,
        "text": text,
        "answer": answer,
        "band": band,
        "figure": figure,
        "margin": margin,
        "money": money,
        "working_days": days_words,
        "label": _label,
        "day": _day,
        "odds": of_a_hundred,
        "level": lambda name: _LEVELS[name],
        "measured_from": lambda name: _FROM[name],
    }


@pass_context
def _label(context: Context, name: str) -> str:
    """A name in words; a quantity that a file declares as the file calls it."""
    declared: Mapping[str, str] = getattr(context.get("s"), "labels", {})
    return declared.get(name) or label(name)


def _day(day: date) -> str:
    return long_date(day)


# -- names and dates as people write them ---------------------------------------------------------

_LABELS = {
    "armrest_height": "Armrest height",
    "desk_height": "Desk height",
    "eye_height_sitting": "Eye height when sitting",
    "hip_breadth_sitting": "Hip width when sitting",
    "desk_raise": "Raise the desk by",
    "screen_top": "Top of the screen",
    "standing_desk_height": "Desk height, standing",
}


def label(name: str) -> str:
    """A requirement, setting, part or feature in words: "Seat height"."""
    return _LABELS.get(name) or name.replace("_", " ").capitalize()


def long_date(day: date) -> str:
    """ "Wednesday 25 November 2026"."""
    return f"{day:%A} {day.day} {day:%B %Y}"
