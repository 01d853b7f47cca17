"""Advisers of known skill over many drawn callers: what they score, and what came of it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from statistics import fmean, median
from typing import TYPE_CHECKING

import numpy as np

from consult.practice.model_call import PERFECT, Skill, lead
from consult.practice.score import as_it_should_be, marks
from consult.practice.trial.by_chance import by_chance
from consult.practice.trial.outcome import Outcome, outcome

if TYPE_CHECKING:
    from consult.call.basis import Basis
    from consult.practice.log import Log
    from consult.practice.model import Persona

_BLIND = Skill(coaches=False, notices=False, hears=False)
SKILLS: Mapping[str, Skill] = {
    "perfect": PERFECT,
    "hasty": Skill(coaches=False, notices=False, hears=False, measures=False),
    "never notices": _BLIND,
    "hint before everything": Skill(hints=True),
    "measures all twice": Skill(twice=True),
    "asks all": Skill(everything=True),
    "misses one sign": Skill(misses_a_sign=True),
}
RANDOM = "random"
"""Does one thing after another that can be done, by chance."""
ADVISERS = (*SKILLS, RANDOM)
_BEGAN = datetime(2026, 1, 5, 9)
"""Which day it is decides nothing here."""


@dataclass(frozen=True, slots=True)
class Trial:
    """One call of one adviser."""

    adviser: str
    seed: int
    share: float
    """The score, 0 to 1."""
    passed: bool
    outcome: Outcome


@dataclass(frozen=True, slots=True)
class Summary:
    """How one adviser did over all callers."""

    adviser: str
    calls: int
    passed: int
    score: float
    """Mean, of 100."""
    fits: int
    """Calls in which the chair fits the true body, or none was named where none may be."""
    missed: int
    """Calls with a warning sign missed."""
    minutes: float
    """Median."""


def trials(
    basis: Basis,
    drawn: Iterable[tuple[int, Persona]],
    advisers: Sequence[str] = ADVISERS,
    tell: Callable[[int], None] = lambda _: None,
) -> Iterator[Trial]:
    """Every adviser with every caller; ``tell`` hears after each caller how many were done."""
    for done, (seed, persona) in enumerate(drawn, 1):
        best = as_it_should_be(basis, persona, seed, _BEGAN.date())
        for adviser in advisers:
            log = _led(basis, persona, seed, adviser)
            found = marks(log, persona, basis)
            result = outcome(basis, persona, log, best)
            yield Trial(adviser, seed, found.share, found.passed, result)
        tell(done)


def summaries(found: Sequence[Trial]) -> list[Summary]:
    """One row for each adviser, in their order."""
    rows = []
    for adviser in dict.fromkeys(one.adviser for one in found):
        own = [one for one in found if one.adviser == adviser]
        rows.append(
            Summary(
                adviser=adviser,
                calls=len(own),
                passed=sum(one.passed for one in own),
                score=100 * fmean(one.share for one in own),
                fits=sum(one.outcome.chair_fits for one in own),
                missed=sum(one.outcome.missed > 0 for one in own),
                minutes=median(one.outcome.minutes for one in own),
            )
        )
    return rows


def rank_correlation(found: Sequence[Trial]) -> float:
    """Of score and outcome over all calls, by ranks: 1 where both sort the calls alike.

    Calls that are worth the same share the mean of their ranks. NaN where all are worth the same.
    """
    if len({one.share for one in found}) < 2 or len({one.outcome.order for one in found}) < 2:
        return float("nan")
    scores = _ranks([(round(one.share, 3),) for one in found])
    outcomes = _ranks([one.outcome.order for one in found])
    return float(np.corrcoef(scores, outcomes)[0, 1])


def passed_with_a_sign_missed(found: Sequence[Trial]) -> int:
    """Calls that passed though a warning sign was missed."""
    return sum(one.passed and one.outcome.missed > 0 for one in found)


def _led(basis: Basis, persona: Persona, seed: int, adviser: str) -> Log:
    if adviser == RANDOM:
        return by_chance(basis, persona, seed, _BEGAN)
    return lead(basis, persona, seed, "guided", _BEGAN, SKILLS[adviser])


def _ranks(values: Sequence[tuple[float, ...]]) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """The rank of each value, from 0; of equal ones the mean."""
    places: dict[tuple[float, ...], list[int]] = {}
    for place, value in enumerate(sorted(values)):
        places.setdefault(value, []).append(place)
    return np.array([fmean(places[value]) for value in values], np.float64)
