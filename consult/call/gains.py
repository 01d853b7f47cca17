"""What each open question of a pool is expected to add to the chance that the chair fits.

A body measure or a fact of the workplace is worth what ``fit.worth`` says. An answer that a need
reads is worth what the chair chosen without it would lack. A need that hangs on several answers is
shared between them. A question that lets another be asked counts with what that one is worth
beyond its time. All of it counts for those callers only who know the answer.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import product
from typing import TYPE_CHECKING

from consult.call.answers import likely_answers
from consult.call.worth import LEAST, seconds_of
from consult.fit.needs_price import NeedsPrice
from consult.fit.worth import FACTS, worth

if TYPE_CHECKING:
    from consult.call.answers import Answers
    from consult.call.facts import Facts
    from consult.fit.request import FitRequest, NeedLine
    from consult.tree.model import Need, Question

_MOST = 400
"""Ways that several answers may fall together, before a need is left alone."""


def gains_of(
    facts: Facts, request: FitRequest, open_now: Sequence[Question], spared_now: Sequence[Question]
) -> dict[str, float]:
    """Question -> gain, 0 to 1, of those that may be asked now.

    ``spared_now`` are the others of the pool without an answer, which may come to be asked.
    """
    every = [*open_now, *spared_now]
    dimensions = request.estimate.dimensions
    told = [key for one in every if (key := _key(one)) in dimensions or key in FACTS]
    heard = {name: one.gain for name, one in worth(request, facts.basis.population, told).items()}
    pool = _Pool(facts, NeedsPrice(request), heard)
    return {one.name: pool.gain(one, spared_now) for one in open_now}


def _key(question: Question) -> str:
    """The dimension or the fact that it tells of."""
    return question.measures or question.sets or ""


@dataclass(slots=True, eq=False)
class _Pool:
    facts: Facts
    """What is known now."""
    price: NeedsPrice
    heard: dict[str, float]
    """Dimension or fact -> what hearing it adds."""
    answers: dict[str, Answers] = field(default_factory=dict)

    def gain(self, question: Question, spared_now: Sequence[Question]) -> float:
        knowing = self.facts.basis.shares.knowing(question)
        opened = [one for one in spared_now if self._may_open(question, one)]
        found = self._alone(question, self.facts)
        if opened:
            for share, answer in self._answers(question):
                then = self.facts.copy()
                then.learn(question, answer, confirmed=False)
                for one in opened:
                    if not one.spared(then.lookup):
                        beyond = self._alone(one, then) - LEAST * seconds_of(one)
                        found += share * max(0.0, beyond)
        return knowing * found

    def _may_open(self, question: Question, other: Question) -> bool:
        """The kind of desk counts with its height already."""
        if question.sets == "desk_kind" and other.sets in FACTS:
            return False
        return any(question.name in one.names for one in other.asked_if)

    def _alone(self, question: Question, facts: Facts) -> float:
        """Of its own answer: what it tells of body and workplace, and what it calls for."""
        found = self.heard.get(_key(question), 0.0)
        reading = [one for one in facts.basis.tree.needs if question.name in one.when.names]
        if not reading:
            return found
        others = [one for one in facts.needs() if one not in reading]
        for share, answer in self._answers(question):
            then = facts.copy()
            then.learn(question, answer, confirmed=False)
            truth = [(need, need.when.evaluate(then.lookup)) for need in reading]
            needs = lines_of([*others, *(need for need, true in truth if true)])
            rise = self.price.rise(needs)
            found += share * rise
            for need in (need for need, true in truth if true is None):
                chance, many = self._with_others(need, then)
                if chance:
                    more = self.price.rise([*needs, *lines_of([need])]) - rise
                    found += share * chance * max(0.0, more) / (many + 1)
        return found

    def _with_others(self, need: Need, facts: Facts) -> tuple[float, int]:
        """How likely it is called for once the rest it reads is heard, and how many that are."""
        questions = facts.basis.tree.questions
        left = [
            questions[name]
            for name in sorted(need.when.names & questions.keys() - facts.understood.keys())
        ]
        ways = [self._answers(one) for one in left]
        if not left or math.prod(map(len, ways)) > _MOST:
            return 0.0, 0
        chance = 0.0
        for way in product(*ways):
            then = facts.copy()
            for one, (_, answer) in zip(left, way, strict=True):
                then.learn(one, answer, confirmed=False)
            if need.when.evaluate(then.lookup):
                chance += math.prod(share for share, _ in way)
        return min(chance, 1.0), len(left)

    def _answers(self, question: Question) -> Answers:
        if question.name not in self.answers:
            self.answers[question.name] = likely_answers(question, self.facts)
        return self.answers[question.name]


def lines_of(needs: Sequence[Need]) -> tuple[NeedLine, ...]:
    """Needs as a chair is chosen for them."""
    return tuple((need.feature, need.strength, need.because) for need in needs)
