"""What a call says of the workplace alone, whichever way the questions went.

The employer and the order team must not be able to tell from their document which way a call took,
for the way depends on health and on the body: a topic opens because of an ache, a stop ends the
questions. So an answer counts here as soon as it was given, asked or not, and nothing private does.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from consult.call.facts import Facts
from consult.call.understand import understand
from consult.call.wording import value_words
from consult.tree.placeholders import in_units
from consult.units import Unclear

if TYPE_CHECKING:
    from consult.call.basis import Basis
    from consult.call.call import Call
    from consult.call.understand import Understood
    from consult.tree.model import Question


def workplace_needs(basis: Basis, call: Call) -> tuple[str, ...]:
    """What advice says to an employer, of answers that are not private; each sentence once."""
    facts = Facts(basis, call.system)
    for question, understood in _told(basis, call):
        if question.private is None:
            facts.learn(question, understood, confirmed=False)
    needs = (
        in_units(advice.employer, call.system)
        for advice in basis.tree.advice
        if advice.employer and advice.when.evaluate(facts.lookup) is True
    )
    return tuple(dict.fromkeys(needs))


def told(basis: Basis, call: Call, fact: str) -> str:
    """The answer that sets a fact, in words; '' where there is none."""
    for question, understood in _told(basis, call):
        if question.sets == fact and understood.value is not None:
            return value_words(question, understood.value, call.system)
    return ""


def _told(basis: Basis, call: Call) -> Iterator[tuple[Question, Understood]]:
    """The last answer to every question that has one that can be read."""
    for name, answer in call.latest().items():
        question = basis.tree.questions.get(name)
        if question is None:
            continue
        try:
            yield question, understand(question, answer.said, call.today)
        except Unclear:
            continue
