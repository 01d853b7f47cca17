"""Whether a maker's own callers are built like the people of the survey.

A measure that a caller told is held against what stature and weight let expect, not against the
mean of the survey: tall callers have long legs. A tape that all callers hold wrong in the same way
looks the same as another build; both are corrected, because both make estimates wrong.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from consult.body.estimate import estimate
from consult.call.call import Answer
from consult.call.chosen import NOTICED
from consult.call.facts import Facts
from consult.call.route import read
from consult.learning.calibration import t_beyond
from consult.learning.proposals import Comparison, shrunk

if TYPE_CHECKING:
    from datetime import date

    from consult.body.measured import Measured, Sex
    from consult.body.population import Population
    from consult.call.basis import Basis

LEAST_CALLERS = 100
"""Callers who consented; of fewer no population is made."""
LEAST_MEASURED = 20
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
        for name, one in basis.tree.questions.items()
        if one.measures is not None or one.sets in _SETS
    )


def told_body(basis: Basis, said: Mapping[str, str], today: date) -> ToldBody | None:
    """The body told in one call; None without a stature and a weight."""
    facts = Facts(basis, "metric")
    for name, text in said.items():
        question = basis.tree.questions.get(name)
        step = read(question, Answer(name, text), today) if question else None
        if step is not None and step.understood is not None:
            facts.learn(step.question, step.understood, False)
    measures = facts.measures()
    frame = tuple(one for one in measures if one.dimension in _FRAME)
    if len(frame) < len(_FRAME):
        return None
    others = {one.dimension: one.value for one in measures if one.dimension not in _FRAME}
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
    found: dict[str, list[float]] = {}
    for one in callers:
        if one.others:
            expected = estimate(population, one.frame, one.sex).dimensions
            for name, value in one.others.items():
                found.setdefault(name, []).append(value - expected[name].mean)
    for name, off in sorted(found.items()):
        count = len(off)
        if count < LEAST_MEASURED or population.unit(name) != "mm":
            continue
        mean = sum(off) / count
        spread = math.sqrt(sum((one - mean) ** 2 for one in off) / (count - 1))
        chance = t_beyond(mean / (spread / math.sqrt(count)), count - 1) if spread else 1.0
        now = in_use.get(name, 0.0)
        value = round(shrunk(0.0, now + mean, count), 1)
        matters = abs(value - now) >= NOTICED
        yield Comparison(f"mean.{name}", chance, 0.0, now, value, count, matters)
