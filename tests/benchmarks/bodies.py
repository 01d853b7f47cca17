"""An estimate of a body, and very long answers."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from consult.body.estimate import estimate
from consult.body.measured import Sex
from consult.body.population import load_population
from consult.call.understand import understand
from consult.units import Unclear
from tests.benchmarks.measure import Family, Size, Work
from tests.call.calls import TODAY, seating

if TYPE_CHECKING:
    from consult.tree.model import Question

TOLD = {"stature": 1650.0, "weight": 62.0, "popliteal_height": 400.0}


def bodies(size: Size) -> Family:
    """An estimate beside the conditional normal in NumPy alone."""
    family = Family("bodies", size)
    people = load_population()
    heard = [people.measure(name, value) for name, value in TOLD.items()]
    places = [people.index(one.dimension) for one in heard]
    values, errors = (np.array(list(TOLD.values())), np.array([one.sd**2 for one in heard]))

    def normal(*sexes: Sex) -> Callable[[], object]:
        groups = [people.groups[sex] for sex in sexes]

        def work() -> None:
            for group in groups:
                cross = group.covariance[:, places]
                spread = cross[places] + np.diag(errors)
                gain = np.linalg.solve(spread, cross.T).T
                _ = group.mean + gain @ (values - group.mean[places])
                _ = group.covariance - gain @ cross.T

        return work

    cases: dict[str, tuple[Sex | None, tuple[Sex, ...]]] = {
        "an estimate, one sex": ("female", ("female",)),
        "an estimate, sex not said": (None, ("female", "male")),
    }
    for name, (sex, sexes) in cases.items():
        works: dict[str, Work] = {name: partial(estimate, people, heard, sex)}
        family.against("a normal in NumPy", normal(*sexes), works)
    asked = {one.answer: one for one in seating().tree.questions.values()}
    for kind, question in sorted(asked.items()):
        short, long = (_answer(question, "8" + " " * n + "x") for n in (1_000, 10_000))
        longer = {f"10,000 characters to a {kind}": long}
        family.against("1,000 characters", short, longer, rounds=size.few)
    return family


def _answer(question: Question, said: str) -> Callable[[], object]:
    def work() -> None:
        with suppress(Unclear):
            understand(question, said, TODAY)

    return work
