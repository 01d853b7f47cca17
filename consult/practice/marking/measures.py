"""The measures that stand at the end, held against the true body of the caller."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.practice.marking.evidence import quoted
from consult.practice.marking.item import Finding, Item, items
from consult.practice.marking.table import ROUNDING, ROUNDING_TALL, SPREADS, WORKPLACE_SD
from consult.scale import format_length, format_mass

if TYPE_CHECKING:
    from consult.practice.marking.evidence import Evidence
    from consult.tree.model import Question

_TALL = 1000.0
"""mm; from here on lengths are said to the inch."""
_SAME = 0.5
"""mm or kg, within which two figures are the same."""


def measures_marks(evidence: Evidence) -> tuple[Item, ...]:
    """Marks for every figure of the body and the workplace that a good adviser gets here."""
    questions = evidence.tree.questions
    found = []
    for name in evidence.due:
        question = questions[name]
        if question.answer not in ("length", "mass") or not (question.measures or question.sets):
            continue
        got = evidence.best.entered(question)
        if isinstance(got, float):
            finding = _measure(evidence, question, got)
            if finding is not None:
                found.append(finding)
    return items("measures", found)


def tolerance(evidence: Evidence, question: Question) -> float:
    """mm or kg that an answer may lie from the truth: the error of self-measuring, and rounding."""
    population = evidence.basis.population
    true = _true(evidence, question) or 0.0
    if question.measures in population.order:
        sd = population.measurement_sd(question.measures or "")
        unit = population.unit(question.measures or "")
    else:
        sd, unit = WORKPLACE_SD, "mm"
    rounding = ROUNDING_TALL if unit == "mm" and true >= _TALL else ROUNDING[unit]
    return SPREADS * sd + rounding


def _measure(evidence: Evidence, question: Question, best: float) -> Finding | None:
    own, name = evidence.own, question.name.replace("_", " ").capitalize()
    entered, true = own.entered(question), _true(evidence, question)
    at = own.asked[question.name][-1].number if question.name in own.asked else own.last
    better = f"Ask: {quoted(question.ask)}"
    if question.coach:
        better = f"{better} Coach it: {quoted(question.coach)}"
    if not isinstance(entered, float):
        if evidence.stopped or true is None:
            return None
        return Finding(name, 0.0, at, "There is no figure for it at the end.", better)
    if true is None:
        return None
    off, allowed = abs(entered - true), tolerance(evidence, question)
    if off <= allowed or abs(entered - best) <= _SAME:
        why = f"{_said(question, entered)} is as close as a tape at home can measure."
        return Finding(name, 1.0, at, why)
    why = (
        f"You entered {_said(question, entered)}, but the true figure is "
        f"{_said(question, true)}. Careful measuring is within {_said(question, allowed)}."
    )
    return Finding(name, 0.0, at, why, better)


def _true(evidence: Evidence, question: Question) -> float | None:
    """The truth, mm or kg; of a stature remembered what such a caller says of it."""
    body = evidence.persona.body
    if question.measures is not None and question.measures in body:
        value = body[question.measures]
        if question.measures == "stature" and _remembered(evidence):
            value += evidence.basis.population.remembered_bias or 0.0
        return value
    found = evidence.true.value(question.name)
    return found if isinstance(found, float) else None


def _remembered(evidence: Evidence) -> bool:
    return evidence.true.setting("stature_origin") == "remembered"


def _said(question: Question, value: float) -> str:
    return (
        format_mass(value, "metric")
        if question.answer == "mass"
        else format_length(value, "metric")
    )
