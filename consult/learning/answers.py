"""How a maker's own callers answer: the share of each choice."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from datetime import date
from typing import TYPE_CHECKING

from consult.call.call import Answer
from consult.call.route import read
from consult.learning.calibration import FEW
from consult.learning.intervals import as_often
from consult.learning.proposals import Comparison, shrunk
from consult.tree.shares import Entry, weights_of

if TYPE_CHECKING:
    from consult.tree.model import Question, Tree
    from consult.tree.shares import Shares

LEAST_ANSWERS = 50
"""Answers to a question, below which it is not looked at."""
MATTERS = 10.0
"""Of 100 callers that a difference must be."""


def questions_compared(tree: Tree) -> tuple[str, ...]:
    """Those with one choice of several, unless the answer is private."""
    return tuple(
        name
        for name, one in tree.questions.items()
        if one.answer == "choice" and one.private is None and len(one.choices) > 1
    )


def compare_answers(
    tree: Tree, shares: Shares, shipped: Shares, said: Mapping[str, Mapping[str, int]]
) -> Iterator[Comparison]:
    """The share of every choice, of 100 callers who answer, against the one in use.

    ``said`` counts the answers to each question by the words typed; words that are no choice are
    left out.
    """
    for name in questions_compared(tree):
        question = tree.questions[name]
        counted = _choices(question, said.get(name, {}))
        count = counted.total()
        if count < LEAST_ANSWERS:
            continue
        now, was = (_weights(question, each) for each in (shares, shipped))
        for choice in question.choices:
            share = now[choice]
            if not 0 < share < 100 or 0 < counted[choice] < FEW:
                # So few answers point at people.
                continue
            value = round(shrunk(was[choice], 100 * counted[choice] / count, count), 1)
            chance = as_often(counted[choice], count, share / 100)
            matters = abs(value - share) >= MATTERS
            yield Comparison(
                f"share.{name}.{choice}", chance, was[choice], share, value, count, matters
            )


def _choices(question: Question, said: Mapping[str, int]) -> Counter[str]:
    found: Counter[str] = Counter()
    for text, count in said.items():
        understood = read(question, Answer(question.name, text), date.min).understood
        if understood is not None and isinstance(understood.value, str):
            found[understood.value] += count
    return found


def _weights(question: Question, shares: Shares) -> Mapping[str, float]:
    entry = shares.of(question) or Entry()
    return weights_of(list(question.choices), entry.shares)
