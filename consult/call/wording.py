"""Values in the reader's words and units: the edge where mm become what people read."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Literal

from consult.body.population import STATURE
from consult.tree.placeholders import sum_of
from consult.tree.quantities import unit_named
from consult.units import System, format_length, format_mass, format_stature, to_unit

if TYPE_CHECKING:
    from consult.body.estimate import Estimate
    from consult.call.facts import Facts
    from consult.call.understand import AnswerValue
    from consult.fit.requirements import Fit, Requirement
    from consult.tree.model import Question

FIGURE_NAMES = {
    "seat_height": "Seat height",
    "seat_depth": "Seat depth",
    "armrest_height": "Armrests above the seat",
    "keyboard_height": "Keyboard above the seat",
    "desk_height": "Desk height",
    "footrest_height": "Footrest height",
    "screen_top": "Top of the screen",
    "seat_width": "Seat width, at least",
    "standing_desk_height": "Desk height when standing",
}
"""What the fit's requirements are called on screen and paper."""


def figure_name(name: str, fit: Fit | None = None) -> str:
    """A requirement as screens and documents call it; by the label that its file declares."""
    return (fit and fit.labels.get(name)) or FIGURE_NAMES.get(name) or question_label(name)


def question_label(name: str) -> str:
    """A question's or dimension's name as people read it."""
    return name.replace("_", " ").capitalize()


def value_words(question: Question, value: AnswerValue, system: System) -> str:
    """A value as the reader would say it: own units, choice labels, yes or no."""
    match value:
        case bool():
            return "yes" if value else "no"
        case float():
            if question.answer == "length":
                write = format_stature if question.measures == STATURE else format_length
                return write(value, system)
            return format_mass(value, system) if question.answer == "mass" else format_number(value)
        case frozenset():
            return ", ".join(label for name, label in question.choices.items() if name in value)
        case date():
            return f"{value:%A} {value.day} {value:%B %Y}"
        case str():
            return question.choices.get(value, value)


def format_number(number: float) -> str:
    """At most one decimal, and none where it is a whole number: 7.5, 8."""
    return f"{number:.1f}".removesuffix(".0")


def in_own_unit(question: Question, value: float) -> str:
    """A measure in the unit the question is asked in: "52 cm"."""
    if question.unit is None:
        return format_number(value)
    return f"{format_number(to_unit(value, question.unit))} {question.unit}"


def blank_words(name: str, facts: Facts) -> str | None:
    """What fills the blank ``<name>`` of a tree's text; None where it is not known."""
    reckoned = sum_of(name)
    if reckoned is not None:
        total = reckoned.of(lambda part: _figure(part, facts))
        heavy = any(_is_mass(part, facts) for _, part in reckoned.terms) or "kg" in reckoned.units
        write = format_mass if heavy else format_length
        return None if total is None else write(total, facts.system)
    kind, _, rest = name.partition(".")
    if kind == "fit" and rest:
        quantity = facts.fit.quantities.get(rest)
        if quantity is None or isinstance(quantity, bool):
            return None if quantity is None else ("yes" if quantity else "no")
        return format_length(quantity, facts.system)
    if kind == "body" and rest:
        mean = facts.body[0].dimensions[rest].mean
        return facts.basis.population.words(rest, mean, facts.system)
    if kind == "range" and rest:
        limit = facts.basis.limits.get(name)
        if limit is None or isinstance(limit, bool):
            return None if limit is None else ("yes" if limit else "no")
        return format_mass(limit, facts.system)
    value = facts.value(name)
    question = facts.basis.tree.questions[name]
    return None if value is None else value_words(question, value, facts.system)


def _figure(name: str, facts: Facts) -> float | None:
    """A length or mass of a call in mm or kg; None where it is not known."""
    kind, _, rest = name.partition(".")
    if not rest:
        value = facts.value(name)
        return value if isinstance(value, float) else None
    if kind == "body":
        return facts.body[0].dimensions[rest].mean
    figure = facts.fit.quantities.get(rest) if kind == "fit" else facts.basis.limits.get(name)
    return None if figure is None or isinstance(figure, bool) else float(figure)


def _is_mass(name: str, facts: Facts) -> bool:
    if "." not in name:
        return facts.basis.tree.questions[name].answer == "mass"
    return unit_named(name) == "kg"


# -- how a figure of the set-up is known: measured or estimated, and its uncertainty --------------

HowKnown = Literal["measured", "partly", "estimated", "given"]
"""'given' if no body dimension is in it, as for a fixed desk."""

NINE_IN_TEN = 1.645
"""Standard deviations either side that hold nine people in ten, of a normal distribution."""


def how_known(estimate: Estimate, requirement: Requirement) -> HowKnown:
    """Whether the target is from measured or estimated dimensions."""
    origins = [estimate.dimensions[name].origin == "measured" for name in requirement.rests_on]
    if not origins:
        return "given"
    if all(origins):
        return "measured"
    return "partly" if any(origins) else "estimated"
