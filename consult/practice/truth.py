"""What is true of a caller: a body drawn from the survey, and an answer to every question.

A question the file leaves out gets a believable answer that raises no alarm: of the true body where
it measures one, else from the shares of the callers file, else a plain choice by chance.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date

import numpy as np

from consult.body.measured import Sex
from consult.body.population import Population
from consult.call.understand import AnswerValue, understand
from consult.content.callers.chance import ChanceKey, normal_within, rounded, uniform
from consult.content.callers.says import Person, says
from consult.practice.ways import pick
from consult.tree.model import Caution, Question, Tree
from consult.tree.shares import Amount, QuestionShares, Shares
from consult.units import Unclear, to_unit

BODY_REACH = 4.0
"""Standard deviations from the mean that a body may lie: one in 30,000 lies further out."""
_UNUSUAL = 2.5
"""Standard deviations within which what no band names is drawn."""
_DIGITS = 1
"""Tenths of a mm or kg: coarser than what arithmetic differs by from machine to machine."""


@dataclass(frozen=True, slots=True)
class Usual:
    """What a dimension is, given others: mm or kg."""

    mean: float
    sd: float

    def reached(self, low: float, high: float) -> bool:
        """Whether somebody of the survey could lie between two figures."""
        far = BODY_REACH * self.sd
        return low <= self.mean + far and high >= self.mean - far


def usual_value(
    population: Population, sex: Sex, dimension: str, known: Mapping[str, float]
) -> Usual:
    """Mean and spread of a dimension for people of whom others are known exactly."""
    group = population.groups[sex]
    at = population.index(dimension)
    others = [population.index(name) for name in known]
    mean, variance = float(group.mean[at]), float(group.covariance[at, at])
    if others:
        apart = np.array(list(known.values())) - group.mean[others]
        gain = np.linalg.solve(
            group.covariance[np.ix_(others, others)], group.covariance[others, at]
        )
        mean += float(gain @ apart)
        variance -= float(gain @ group.covariance[others, at])
    return Usual(mean, math.sqrt(max(variance, 1e-6)))


def drawn_body(
    population: Population, sex: Sex, bands: Mapping[str, Amount], key: ChanceKey
) -> dict[str, float]:
    """Every dimension of one body: those with a band first, each as likely given those before.

    Of a band the survey hardly reaches, its nearer end is drawn. Same key, same body.
    """
    known: dict[str, float] = {}
    for name in sorted(population.order, key=lambda one: one not in bands):
        now = usual_value(population, sex, name, known)
        reach = _UNUSUAL * now.sd
        band = bands.get(name)
        low, high = (band.low, band.high) if band else (now.mean - reach, now.mean + reach)
        value = normal_within(now.mean, now.sd, low, high, *key, name) if low < high else low
        known[name] = round(max(value, now.mean / 4), _DIGITS)
    return {name: known[name] for name in population.order}


NOT_KNOWN = "?"
SOME_DAY = date(2026, 1, 5)
"""To read truths by: which day it is decides nothing that is asked here."""
NONE = "none"
_EDGE = 0.05
"""Share of what is usual that counts as its edge."""


@dataclass(frozen=True, slots=True)
class Believable:
    """What the answers that a file leaves out are drawn from."""

    person: Person
    population: Population
    shares: Shares
    """With which everybody knows."""
    names: tuple[str, ...]
    """What a caller may be called whose file gives no name."""
    key: ChanceKey

    def candidates(self, question: Question) -> Iterator[str]:
        """What may be true, the likeliest first, to be taken in order."""
        if question.answer == "text":
            yield self._text(question)
            return
        listed = question.answer in ("choice", "yes-no", "choices")
        choices = tuple(question.choices) or ("yes", "no")
        # An answer that has to be given steers the call, and health is nothing to invent.
        if listed and question.private == "health":
            yield from (one for one in (NONE, question.exclusive) if one in choices)
        else:
            if listed and not question.unknown_allowed:
                yield choices[0]
            yield self._usual(question)
        if listed:
            key = (*self.key, question.name)
            yield from sorted(choices, key=lambda one: uniform(*key, one, "plain"))

    def _text(self, question: Question) -> str:
        if question.sets == "caller_name" and self.names:
            return pick(self.names, *self.key, question.name)
        entry = self.shares.questions.get(question.name, QuestionShares())
        if entry.says and question.private is None:
            return pick(entry.says, *self.key, question.name)
        # Nobody is given an address or a number that the file does not give.
        return NOT_KNOWN if question.unknown_allowed else pick(self.names, *self.key, question.name)

    def _usual(self, question: Question) -> str:
        """What somebody says who knows; the middle of what is usual for a figure near or beyond
        the edge of that.

        Said in other units it is rounded otherwise, and nobody should be doubted for it.
        """
        said = says(question, self.person, self.population, self.shares, question.name)
        if question.answer == "choices":
            # Of several, drawn each for itself, two may be at odds: one alone is believable.
            return said.partition(", ")[0]
        value = understand(question, said, SOME_DAY).value
        if question.expect is None or not isinstance(value, float):
            return said
        low, high = question.expect
        edge = _EDGE * (high - low)
        if (low == 0 or low + edge <= value) and value <= high - edge:
            return said
        return rounded(question, (low + high) / 2)


def whole_truth(tree: Tree, listed: Mapping[str, str], drawn: Believable) -> dict[str, str]:
    """Every question of the tree -> what is true.

    No stop and no referral comes of an answer that the file does not list.
    """
    truth = dict(listed)
    grave = [caution for caution in tree.cautions if caution.level != "note"]
    known = _values(tree, truth)
    for name, question in tree.questions.items():
        if name in listed:
            continue
        measured = drawn.person.body.get(question.measures or "")
        if measured is not None:
            unit, figure = ("kg", measured) if question.answer == "mass" else ("cm", measured / 10)
            said = f"{figure:.1f} {unit}"
        else:
            bearing = [caution for caution in grave if name in caution.when.names]
            said = next(
                (
                    candidate
                    for candidate in drawn.candidates(question)
                    if not bearing
                    or not _raised(bearing, {**known, **_values(tree, {name: candidate})})
                ),
                _none_left(question),
            )
        truth[name] = said
        known |= _values(tree, {name: said})
    return {name: truth[name] for name in tree.questions}


def holds(question: Question, answer: str, true: str) -> bool:
    """Whether an answer is true, or among those that are."""
    said = understand(question, answer, SOME_DAY).value
    really = understand(question, true, SOME_DAY).value
    if isinstance(said, frozenset) and isinstance(really, frozenset):
        return said <= really
    return said == really


def _none_left(question: Question) -> str:
    """The answer where every other raises an alarm."""
    return NOT_KNOWN if question.unknown_allowed else next(iter(question.choices), "no")


def value_of(question: Question, said: str, today: date = SOME_DAY) -> AnswerValue | None:
    """What an answer means, mm, kg or plain; None where it is not known or not clear."""
    try:
        return understand(question, said, today).value
    except Unclear:
        return None


def _values(tree: Tree, truth: Mapping[str, str]) -> dict[str, AnswerValue]:
    """Question -> its value as conditions read it; none of what is not known or not clear."""
    values: dict[str, AnswerValue] = {}
    for name, said in truth.items():
        question = tree.questions.get(name)
        if question is None:
            continue
        value = value_of(question, said)
        if isinstance(value, float) and question.unit:
            value = to_unit(value, question.unit)
        if value is not None:
            values[name] = value
    return values


def _raised(cautions: Iterable[Caution], values: Mapping[str, AnswerValue]) -> bool:
    """Whether these answers raise one of the cautions by themselves."""
    return any(caution.when.evaluate(values.get) is True for caution in cautions)
