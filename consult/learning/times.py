"""How long questions take, by the maker's own calls.

Times are close to log-normal, so their mean follows from mean and spread of their logarithms, which
stand up to the few that are very long.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from consult.call.worth import seconds_of, usual_seconds
from consult.learning.intervals import t_beyond
from consult.learning.proposals import Comparison, shrunk

if TYPE_CHECKING:
    from consult.tree.model import Tree

A_SECOND = 4
"""Times are counted in quarters of a second."""
SHORTEST, LONGEST = 0.5, 600.0
"""Seconds; what is shorter was typed ahead, what is longer was a pause."""
LEAST_TIMED = 20
"""Answers timed, below which a question is not looked at."""
MATTERS = 0.1
"""Part of the time in use that a difference must be, and a second at least."""
_LEAST_SPREAD = 0.05
"""Of the logarithm; clocks and typing vary by more."""

Timed = Mapping[int, int]
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


def log_times(timed: Timed) -> LogTimes:
    """Times in logarithms; ``timed`` holds two or more."""
    logs = {quarter: math.log(max(quarter, 1) / A_SECOND) for quarter in timed}
    count = sum(timed.values())
    mean = sum(timed[one] * log for one, log in logs.items()) / count
    squares = sum(timed[one] * (log - mean) ** 2 for one, log in logs.items())
    return LogTimes(count, mean, max(_LEAST_SPREAD, math.sqrt(squares / (count - 1))))


def compare_times(tree: Tree, timed: Mapping[str, Timed]) -> Iterator[Comparison]:
    """The time of every question that was timed often enough."""
    for name, question in tree.questions.items():
        own = timed.get(name, {})
        if sum(own.values()) < LEAST_TIMED:
            continue
        now, shipped = seconds_of(question), usual_seconds(question)
        found = log_times(own)
        value = math.exp(shrunk(math.log(shipped), found.log_seconds, found.count))
        by = abs(value - now)
        matters = by >= max(1.0, MATTERS * now)
        chance = found.chance(now)
        yield Comparison(
            f"time.{name}", chance, shipped, now, round(value, 1), found.count, matters
        )
