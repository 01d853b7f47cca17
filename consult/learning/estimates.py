"""What a maker's own calls say of callers and parts: bodies, times, answers, errors, faults.

A measure that a caller told is held against what stature and weight let expect, not against the
mean of the survey: tall callers have long legs. A tape that all callers hold wrong in the same way
looks the same as another build; both are corrected, because both make estimates wrong.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from consult.body.estimate import estimate
from consult.body.measured import Measured, Sex
from consult.body.population import Population
from consult.call.basis import Basis
from consult.call.call import Answer
from consult.call.chosen import NOTICED
from consult.call.closing_lines import ChairOutcome, PastCall
from consult.call.facts import Facts
from consult.call.route import read_answer
from consult.call.worth import seconds_of, usual_seconds
from consult.learning.comparison import (
    FEW,
    Comparison,
    as_often,
    chi_square_beyond,
    more_than_others,
    shrunk,
    t_beyond,
)
from consult.tree.model import Question, Tree
from consult.tree.shares import QuestionShares, Shares, weights_of

LEAST_CALLERS = 100
"""Callers who consented; of fewer no population is made."""
LEAST_TOLD = 20
"""Of those, who told a measure."""
MOST_CALLERS = 1600
"""More would tell nothing new: their mean is known to a mm or better."""
_FRAME = ("stature", "weight")
_SETS = ("sex", "stature_origin")


@dataclass(frozen=True, slots=True)
class ToldBody:
    """What a caller told of the body."""

    frame: tuple[Measured, ...]
    """Stature and weight."""
    sex: Sex | None
    others: Mapping[str, float]
    """Dimension -> as told, mm."""


def body_questions(basis: Basis) -> tuple[str, ...]:
    """The questions whose answers make a ``ToldBody``."""
    return tuple(
        name
        for name, question in basis.tree.questions.items()
        if question.measures is not None or question.sets in _SETS
    )


def told_body(basis: Basis, said: Mapping[str, str], today: date) -> ToldBody | None:
    """The body told in one call; None without a stature and a weight."""
    facts = Facts(basis, "metric")
    for name, text in said.items():
        question = basis.tree.questions.get(name)
        step = read_answer(question, Answer(name, text), today) if question else None
        if step is not None and step.understood is not None:
            facts.learn(step.question, step.understood, False)
    measures = facts.measures()
    frame = tuple(measure for measure in measures if measure.dimension in _FRAME)
    if len(frame) < len(_FRAME):
        return None
    others = {
        measure.dimension: measure.value for measure in measures if measure.dimension not in _FRAME
    }
    return ToldBody(frame, facts.sex, others)


def compare_means(
    population: Population, bodies: Iterable[ToldBody], in_use: Mapping[str, float]
) -> Iterator[Comparison]:
    """The mean of every dimension that callers told, against that of the population in use.

    ``in_use`` are the corrections it has already, mm. Nothing for fewer than ``LEAST_CALLERS``.
    """
    callers = list(bodies)
    if len(callers) < LEAST_CALLERS:
        return
    means: dict[str, list[float]] = {}
    for body in callers:
        if body.others:
            expected = estimate(population, body.frame, body.sex).dimensions
            for name, value in body.others.items():
                means.setdefault(name, []).append(value - expected[name].mean)
    for name, off in sorted(means.items()):
        count = len(off)
        if count < LEAST_TOLD or population.unit(name) != "mm":
            continue
        mean = sum(off) / count
        spread = math.sqrt(sum((error - mean) ** 2 for error in off) / (count - 1))
        chance = t_beyond(mean / (spread / math.sqrt(count)), count - 1) if spread else 1.0
        now = in_use.get(name, 0.0)
        value = round(shrunk(0.0, now + mean, count), 1)
        matters = abs(value - now) >= NOTICED
        yield Comparison(f"mean.{name}", chance, 0.0, now, value, count, matters)


# -- times, shares of answers, errors of measuring and faults of parts, by the maker's own calls --

A_SECOND = 4
"""Times are counted in quarters of a second."""
SHORTEST, LONGEST = 0.5, 600.0
"""Seconds; what is shorter was typed ahead, what is longer was a pause."""
LEAST_TIMED = 20
"""Answers timed, below which a question is not looked at."""
TIME_MATTERS = 0.1
"""Part of the time in use that a difference must be, and a second at least."""
_LEAST_SPREAD = 0.05
"""Of the logarithm; clocks and typing vary by more."""

TimesTaken = Mapping[int, int]
"""Quarters of a second -> answers that took so long."""


@dataclass(frozen=True, slots=True)
class LogTimes:
    """Times in logarithms."""

    count: int
    mean: float
    spread: float
    """Standard deviation."""

    @property
    def log_seconds(self) -> float:
        """Logarithm of the mean time."""
        return self.mean + self.spread**2 / 2

    def chance(self, seconds: float) -> float:
        """How likely times like these are where the mean time is so many seconds.

        A likelihood ratio, the spread that goes best with that mean against the one observed, read
        as the t statistic that it would be of a mean alone.
        """
        observed = self.spread**2 * (self.count - 1) / self.count
        by = self.mean - math.log(seconds)
        held = 2 * math.sqrt(1 + observed + by**2) - 2
        misfit = (observed + (by + held / 2) ** 2) / held - 1 + math.log(held / observed)
        t = math.sqrt((self.count - 1) * math.expm1(max(0.0, misfit)))
        return t_beyond(t, self.count - 1)


def log_times(timed: TimesTaken) -> LogTimes:
    """Times in logarithms; ``timed`` holds two or more."""
    logs = {quarter: math.log(max(quarter, 1) / A_SECOND) for quarter in timed}
    count = sum(timed.values())
    mean = sum(timed[number] * log for number, log in logs.items()) / count
    squares = sum(timed[number] * (log - mean) ** 2 for number, log in logs.items())
    return LogTimes(count, mean, max(_LEAST_SPREAD, math.sqrt(squares / (count - 1))))


def compare_times(tree: Tree, timed: Mapping[str, TimesTaken]) -> Iterator[Comparison]:
    """The time of every question that was timed often enough."""
    for name, question in tree.questions.items():
        own = timed.get(name, {})
        if sum(own.values()) < LEAST_TIMED:
            continue
        now, shipped = seconds_of(question), usual_seconds(question)
        times = log_times(own)
        value = math.exp(shrunk(math.log(shipped), times.log_seconds, times.count))
        by = abs(value - now)
        matters = by >= max(1.0, TIME_MATTERS * now)
        chance = times.chance(now)
        yield Comparison(
            f"time.{name}", chance, shipped, now, round(value, 1), times.count, matters
        )


# -- how a maker's own callers answer: the share of each choice -----------------------------------

LEAST_ANSWERS = 50
"""Answers to a question, below which it is not looked at."""
SHARE_MATTERS = 10.0
"""Of 100 callers that a difference must be."""


def questions_compared(tree: Tree) -> tuple[str, ...]:
    """Those with one choice of several, unless the answer is private."""
    return tuple(
        name
        for name, question in tree.questions.items()
        if question.answer == "choice" and question.private is None and len(question.choices) > 1
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
        entries = (table.of(question) or QuestionShares() for table in (shares, shipped))
        now, was = (
            weights_of(list(question.choices), question_shares.shares)
            for question_shares in entries
        )
        for choice in question.choices:
            share = now[choice]
            if not 0 < share < 100 or 0 < counted[choice] < FEW:
                # So few answers point at people.
                continue
            value = round(shrunk(was[choice], 100 * counted[choice] / count, count), 1)
            chance = as_often(counted[choice], count, share / 100)
            matters = abs(value - share) >= SHARE_MATTERS
            yield Comparison(
                f"share.{name}.{choice}", chance, was[choice], share, value, count, matters
            )


def _choices(question: Question, said: Mapping[str, int]) -> Counter[str]:
    counter: Counter[str] = Counter()
    for text, count in said.items():
        understood = read_answer(question, Answer(question.name, text), date.min).understood
        if understood is not None and isinstance(understood.value, str):
            counter[understood.value] += count
    return counter


# -- how well a maker's own callers measure: what they told beside what was measured later --------

LEAST_MEASURED = 20
"""Measures taken twice, below which a dimension is not looked at."""
ERROR_MATTERS = 0.2
"""Part of the error in use that a difference must be."""


def compare_errors(
    population: Population, shipped: Population, past: Iterable[PastCall]
) -> Iterator[Comparison]:
    """The error of every dimension that callers told, and that was measured again later.

    Both were measured in the same way, so their difference has twice the variance of either. What
    is measured again is often what did not fit; so the error may come out a little too large.
    """
    errors: dict[str, list[float]] = {}
    for call in past:
        for name, again in call.outcome.again.items() if call.outcome else ():
            if again.origin == "told" and name in population.traits:
                errors.setdefault(name, []).append(again.later - again.first)
    for name, off in sorted(errors.items()):
        count = len(off)
        if count < LEAST_MEASURED:
            continue
        now, was = population.measurement_sd(name), shipped.measurement_sd(name)
        squares = sum(error * error for error in off) / 2
        chance = chi_square_beyond(squares / now**2, count)
        value = round(math.sqrt(shrunk(was**2, squares / count, count)), 1)
        matters = abs(value - now) >= ERROR_MATTERS * now
        yield Comparison(f"error.{name}", chance, was, now, value, count, matters)


# -- parts that come back with a fault more often than the others of their kind -------------------

LEAST_CHAIRS = 10
"""Chairs followed up, below which a part is not looked at."""
NO_FAULT_COUNTS = 1
"""Chairs without a fault that are assumed beforehand: of no part is a share of faults shipped, so
there is little to draw the own one towards. Of simulated parts that sink in a quarter of chairs,
those found at 200 calls came out right on average with one, a point and a half too low with four.
"""
FAULTS_MATTER = 5.0
"""Of 100 chairs that a difference must be."""


def compare_parts(
    past: Iterable[PastCall], kinds: Mapping[str, str], in_use: Mapping[str, float]
) -> Iterator[Comparison]:
    """The share of faults of every part on sale, against the other parts of its kind.

    ``kinds`` gives the kind of each code, ``in_use`` the share in use, of 100 chairs (0 if left
    out). A part that has a share in use is held against that.
    """
    chairs: dict[str, list[bool]] = {code: [] for code in kinds}
    for call in past:
        if call.outcome is not None and call.outcome.held is not None:
            for code in call.odds.parts:
                if code in chairs:
                    chairs[code].append(_faulty(call.outcome, kinds[code]))
    for code, faults in chairs.items():
        others = [
            bad
            for other, chair in chairs.items()
            if other != code and kinds[other] == kinds[code]
            for bad in chair
        ]
        now, count, failed = in_use.get(code, 0.0), len(faults), sum(faults)
        if 0 < failed < FEW or count < LEAST_CHAIRS or (not now and len(others) < LEAST_CHAIRS):
            continue
        if now:
            chance = as_often(failed, count, now / 100)
        else:
            chance = more_than_others(failed, count, sum(others), len(others))
        value = round(shrunk(0.0, 100 * failed / count, count, NO_FAULT_COUNTS), 1)
        usual = 100 * sum(others) / len(others) if others else 0.0
        matters = abs(value - now) >= FAULTS_MATTER and (now > 0 or value - usual >= FAULTS_MATTER)
        yield Comparison(f"fault.{code}", chance, 0.0, now, value, count, matters)


def _faulty(outcome: ChairOutcome, kind: str) -> bool:
    """Whether a part of this kind may have been at fault; of a chair sent back it may be any."""
    return outcome.because == "fault" and (kind in outcome.parts or not outcome.parts)
