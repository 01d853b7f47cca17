"""The possible answers to a question, and how likely each is.

As callers answer by the shares of the folder; of a body measure, as the caller's body is
estimated. A number is heard as the mean of each equally likely sixth of where it may lie.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.call.understand import Value
from consult.fit.ask_next import SCORES
from consult.tree.shares import chances_of, number_of, weights_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from consult.call.facts import Facts
    from consult.tree.model import Question
    from consult.tree.shares import QuestionShares

Answers = tuple[tuple[float, Value], ...]
"""Share of those who know, 0 to 1, and what they say."""


def likely_answers(question: Question, facts: Facts) -> Answers:
    """The possible answers; none for texts and dates, which do not affect the chair.

    Of several choices each is heard alone, so their shares may come to more than 1.
    """
    return tuple(_answers(question, facts))


def _answers(question: Question, facts: Facts) -> Iterator[tuple[float, Value]]:
    shares = facts.basis.shares
    entry = shares.questions.get(question.name)
    match question.answer:
        case "yes-no":
            for name, share in _shares(("yes", "no"), entry):
                yield share, name == "yes"
        case "choice":
            for name, share in _shares(tuple(question.choices), entry):
                yield share, name
        case "choices":
            alone, others = chances_of(question, entry.chances if entry else {})
            if question.exclusive is not None:
                yield alone, frozenset((question.exclusive,))
            for name, chance in others.items():
                yield chance * (1 - alone), frozenset((name,))
        case "length" | "mass" | "count":
            mean, spread = number_of(question, entry)
            if question.measures is not None:
                told = facts.body[0].dimensions[question.measures]
                mean, spread = told.mean, told.sd
            within = entry.within if entry is not None else None
            for score in SCORES.tolist():
                value = max(mean + spread * score, 0.0)
                if within is not None and question.measures is None:
                    value = min(max(value, within.low), within.high)
                yield 1 / len(SCORES), value


def _shares(choices: Sequence[str], entry: QuestionShares | None) -> list[tuple[str, float]]:
    weights = weights_of(choices, entry.shares if entry else {})
    total = sum(weights.values())
    return [(name, weight / total) for name, weight in weights.items()]
