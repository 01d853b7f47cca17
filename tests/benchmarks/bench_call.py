"""How long an estimate and a very long answer take: ``python -m tests.benchmarks.bench_call``.

Ratios rather than milliseconds are what can be compared between machines: the estimate to the one
linear solve it cannot do without, a long answer to one a tenth as long (10x is linear).
"""

from __future__ import annotations

import time
from collections.abc import Callable
from contextlib import suppress

import numpy as np

from consult.body.estimate import estimate
from consult.body.measured import Sex
from consult.body.population import load_population
from consult.call.understand import understand
from consult.units import Unclear
from tests.call.calls import seating
from tests.ui.desk import NOON

_SEXES: tuple[Sex | None, ...] = ("female", None)


def best(work: Callable[[], object]) -> float:
    """Seconds of the quickest of thirty runs."""
    found = []
    for _ in range(30):
        start = time.perf_counter()
        work()
        found.append(time.perf_counter() - start)
    return min(found)


def main() -> None:
    """Print the ratios."""
    people = load_population()
    heard = [people.measure("stature", 1650.0), people.measure("weight", 62.0)]
    covariance = people.groups["female"].covariance
    bound = best(lambda: np.linalg.solve(covariance[:2, :2], covariance[:2]))
    for sex in _SEXES:
        took = best(lambda sex=sex: estimate(people, heard, sex))  # type: ignore[misc]
        print(
            f"estimate, {sex or 'sex not said':<14}{1000 * took:7.2f}ms {took / bound:8.1f}x solve"
        )
    asked = {one.answer: one for one in seating().tree.questions.values()}
    for kind, question in sorted(asked.items()):

        def answer(length: int, question: object = question) -> None:
            with suppress(Unclear):
                understand(question, "8" + " " * length + "x", NOON.date())  # type: ignore[arg-type]

        short, long = best(lambda: answer(1_000)), best(lambda: answer(10_000))
        print(f"long answer, {kind:<11}{1000 * long:7.2f}ms {long / short:8.1f}x a tenth of it")


if __name__ == "__main__":
    main()
