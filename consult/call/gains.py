"""The expected gain of each open question of a pool, in the chance that what is chosen fits.

A body measure or a fact of the workplace is worth what ``fit.worth`` says, and for a product that a
file declares what ``fit.declared`` does. An answer that calls for advice which changes a
figure is worth what the one chosen without it would miss. An answer that a need
reads is worth what the chair chosen without it would lack. A need that hangs on several answers is
shared between them. A question that lets another be asked counts with what that one is worth
beyond its time. All of it counts for those callers only who know the answer.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from statistics import NormalDist
from typing import TYPE_CHECKING

from consult.call.chosen import lines_of
from consult.call.understand import AnswerValue, Understood
from consult.call.worth import least_rate, seconds_of
from consult.fit.declared_worth import DeclaredWorth
from consult.fit.ranking import weigh
from consult.fit.replies import FACTS, SEX
from consult.fit.worth import NeedsPrice, worth
from consult.tree.shares import chances_of, usual_number, weights_of
from consult.units import to_unit

if TYPE_CHECKING:
    from consult.call.facts import Facts
    from consult.fit.request import FitRequest
    from consult.tree.model import Need, Question
    from consult.tree.nodes import Lookup
    from consult.tree.shares import QuestionShares

_MOST = 400
"""Ways that several answers may fall together, before a need is left alone."""
_SCORES = tuple(NormalDist().inv_cdf((2 * at + 1) / 20) for at in range(10))
"""The middle of each equally likely tenth of a standard normal."""


@dataclass(frozen=True, slots=True)
class PoolWorth:
    """What hearing each question of a pool adds, however long it takes to ask."""

    alone: Mapping[str, float]
    """Question -> gain, 0 to 1, by its own answer."""
    opening: Mapping[str, Sequence[tuple[float, str, float]]]
    """Question -> for each answer after which another comes to be asked: the chance of it, that
    other, and what hearing that one adds then."""
    least: float
    """What one must add a second."""

    def gains(self, questions: Mapping[str, Question]) -> dict[str, float]:
        """Question -> gain, 0 to 1, with what the others that it opens add beyond their time."""
        return {
            name: alone
            + sum(
                chance * max(0.0, adds - self.least * seconds_of(questions[other]))
                for chance, other, adds in self.opening[name]
            )
            for name, alone in self.alone.items()
        }


def worth_of_pool(
    facts: Facts, request: FitRequest, open_now: Sequence[Question], spared_now: Sequence[Question]
) -> PoolWorth:
    """What hearing each of ``open_now`` adds.

    ``spared_now`` are the others of the pool without an answer, which may come to be asked.
    """
    pool, shares = _pool(facts, request, [*open_now, *spared_now]), facts.basis.shares
    knowing = {question.name: shares.knowing(question) for question in open_now}
    return PoolWorth(
        {
            question.name: knowing[question.name] * pool.alone(question, facts.lookup)
            for question in open_now
        },
        {
            question.name: [
                (knowing[question.name] * chance, other, adds)
                for chance, other, adds in pool.opened(question, spared_now)
            ]
            for question in open_now
        },
        pool.least,
    )


def _pool(facts: Facts, request: FitRequest, heard: Sequence[Question]) -> _Pool:
    """What is known now, with what to hear the answers of some questions adds."""
    if request.range.fitting is None:
        price, best = NeedsPrice(request), weigh(request).best
        return _Pool(facts, price, dict(_of_chair(facts, request, heard)), least_rate(best))
    product = DeclaredWorth(request, facts.figure)
    return _Pool(facts, product, dict(_of_product(facts, product, heard)), least_rate(product.best))


def _of_chair(
    facts: Facts, request: FitRequest, questions: Sequence[Question]
) -> Iterator[tuple[str, float]]:
    """Question -> what its answer tells of body and workplace."""
    dimensions = request.estimate.dimensions
    names = [
        key
        for question in questions
        if (key := _key(question)) in dimensions or key in (*FACTS, SEX)
    ]
    gains = worth(request, facts.basis.population, names)
    changing = _changing(facts)
    for question in questions:
        gain = gains[key].gain if (key := _key(question)) in gains else 0.0
        yield (
            question.name,
            gain + (_moved(facts, request, question) if question.name in changing else 0.0),
        )


def _of_product(
    facts: Facts, price: DeclaredWorth, questions: Sequence[Question]
) -> Iterator[tuple[str, float]]:
    """The same of a product that a file declares."""
    fitting = price.request.range.fitting
    assert fitting is not None, "asked of a product that is declared"
    read = {name for quantity in fitting.quantities for name in quantity.figure.names} | _changing(
        facts
    )
    for question in questions:
        if question.measures in price.request.estimate.dimensions:
            yield question.name, price.of_measure(question.measures or "", facts.basis.population)
        elif question.sets == SEX:
            yield question.name, price.of_measure("", facts.basis.population)
        elif question.name in read or question.sets in read:
            ways = _ways(facts, question)
            yield question.name, price.of_answer((s, f.workplace(), f.figure) for s, f in ways)


def _changing(facts: Facts) -> frozenset[str]:
    """Questions on which it hangs whether advice changes a figure, and by how much."""
    names = [piece.when.names for piece in facts.basis.tree.adjusting]
    names += [frozenset((a.question,)) for o in facts.basis.tree.adjusting if (a := o.adjusts)]
    return frozenset().union(*names)


def _ways(facts: Facts, question: Question) -> Iterator[tuple[float, Facts]]:
    """How an answer may fall, each with its share and what is known then."""
    for share, value in likely_answers(question, facts):
        then = facts.copy()
        then.learn(question, Understood(value), confirmed=False)
        yield share, then


def _moved(facts: Facts, request: FitRequest, question: Question) -> float:
    """What the chair chosen now would miss of the figures as the answer changes them."""
    weighed = weigh(request)
    if not len(weighed.rows):
        return 0.0
    best, gain = weighed.rows[weighed.ranking(1)[0][0]], 0.0
    for share, then in _ways(facts, question):
        now = weigh(replace(request, workplace=then.workplace(), kept={}))
        fits = now.fits[now.set_of] / now.n
        gain += share * float(fits.max(initial=0.0) - fits[now.rows == best].sum())
    fits = weighed.fits[weighed.set_of] / weighed.n
    slack = float(fits.max(initial=0.0) - fits[weighed.rows == best].sum())
    return max(0.0, gain - slack)


def _key(question: Question) -> str:
    """The dimension or the fact that it tells of."""
    return question.measures or question.sets or ""


@dataclass(slots=True, eq=False)
class _Pool:
    """What is known now, to which an answer is added by looking it up before all else.

    So what is worked out of body and fit stays as it is now while needs are judged.
    """

    facts: Facts
    price: NeedsPrice | DeclaredWorth
    heard: dict[str, float]
    """Question -> what hearing it adds."""
    least: float
    """What an answer must add a second."""
    answers: dict[str, LikelyAnswers] = field(default_factory=dict)
    called_for: dict[str, bool] = field(default_factory=dict)
    """Need -> whether it is called for now."""

    def opened(
        self, question: Question, spared_now: Sequence[Question]
    ) -> Iterator[tuple[float, str, float]]:
        """Of each answer and each other question that it opens: how likely, which, what it adds."""
        others = [other for other in spared_now if _may_open(question, other)]
        for share, value in self._answers(question) if others else ():
            then = _learnt(self.facts.lookup, question, value)
            for other in others:
                if not other.spared(then):
                    yield share, other.name, self.alone(other, then, frozenset((question.name,)))

    def alone(
        self, question: Question, known: Lookup, heard: frozenset[str] = frozenset()
    ) -> float:
        """Of its own answer: what it tells of body and workplace, and what it calls for.

        ``heard`` are questions whose answer is assumed already.
        """
        gain = self.heard.get(question.name, 0.0)
        tree = self.facts.basis.tree
        reading = tree.needs_by_name.get(question.name, ())
        if not reading:
            return gain
        others = [
            piece
            for piece in tree.needs
            if question.name not in piece.when.names and self._now(piece, known, heard)
        ]
        for share, value in self._answers(question):
            then = _learnt(known, question, value)
            truth = [(need, need.when.evaluate(then)) for need in reading]
            needs = lines_of([*others, *(need for need, true in truth if true)])
            rise = self.price.rise(needs)
            gain += share * rise
            for need in (need for need, true in truth if true is None):
                chance, many = self._with_others(need, then, heard | {question.name})
                if chance:
                    more = self.price.rise((*needs, *lines_of([need]))) - rise
                    gain += share * chance * max(0.0, more) / (many + 1)
        return gain

    def _now(self, need: Need, known: Lookup, heard: frozenset[str]) -> bool:
        """Whether a need is called for by what is known, or assumed to be."""
        if heard & need.when.names:
            return need.when.evaluate(known) is True
        if need.name not in self.called_for:
            self.called_for[need.name] = need.when.evaluate(self.facts.lookup) is True
        return self.called_for[need.name]

    def _with_others(self, need: Need, known: Lookup, heard: frozenset[str]) -> tuple[float, int]:
        """How likely it is called for once the rest it reads is heard, and how many that are."""
        questions, told = self.facts.basis.tree.questions, self.facts.understood.keys() | heard
        left = [questions[name] for name in sorted(need.when.names & questions.keys() - told)]
        if not left or math.prod(len(self._answers(question)) for question in left) > _MOST:
            return 0.0, 0
        return self._chance(need, known, left), len(left)

    def _chance(self, need: Need, known: Lookup, left: Sequence[Question]) -> float:
        true = need.when.evaluate(known)
        if true is not None or not left:
            return 1.0 if true else 0.0
        ways = self._answers(left[0])
        then = ((share, _learnt(known, left[0], value)) for share, value in ways)
        return min(sum(share * self._chance(need, learnt, left[1:]) for share, learnt in then), 1.0)

    def _answers(self, question: Question) -> LikelyAnswers:
        if question.name not in self.answers:
            self.answers[question.name] = likely_answers(question, self.facts)
        return self.answers[question.name]


def _may_open(question: Question, other: Question) -> bool:
    """Whether an answer may let another be asked; a kind of desk counts with its height already."""
    if question.sets == "desk_kind" and other.sets in FACTS:
        return False
    return question.name in other.asked_by


def _learnt(known: Lookup, question: Question, value: AnswerValue) -> Lookup:
    """What is looked up once one more answer is heard."""
    own = to_unit(value, question.unit) if isinstance(value, float) and question.unit else value
    return lambda name: own if name == question.name else known(name)


# -- the possible answers to a question, and how likely each is -----------------------------------

LikelyAnswers = tuple[tuple[float, AnswerValue], ...]
"""Share of those who know, 0 to 1, and what they say."""


def likely_answers(question: Question, facts: Facts) -> LikelyAnswers:
    """The possible answers; none for texts and dates, which do not affect the chair.

    Of several choices each is heard alone, so their shares may come to more than 1.
    """
    return tuple(_answers(question, facts))


def _answers(question: Question, facts: Facts) -> Iterator[tuple[float, AnswerValue]]:
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
            mean, spread = usual_number(question, entry)
            if question.measures is not None:
                dimension = facts.body[0].dimensions[question.measures]
                mean, spread = dimension.mean, dimension.sd
            within = entry.within if entry is not None else None
            for score in _SCORES:
                value = max(mean + spread * score, 0.0)
                if within is not None and question.measures is None:
                    value = min(max(value, within.low), within.high)
                yield 1 / len(_SCORES), value


def _shares(choices: Sequence[str], entry: QuestionShares | None) -> list[tuple[str, float]]:
    weights = weights_of(choices, entry.shares if entry else {})
    total = sum(weights.values())
    return [(name, weight / total) for name, weight in weights.items()]
