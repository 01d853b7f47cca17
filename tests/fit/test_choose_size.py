"""A very large range: bounded memory, whatever the number of chairs."""

from __future__ import annotations

import tracemalloc

import numpy as np

from consult.body.estimate import estimate
from consult.body.population import load_population
from consult.fit.ask_next import ask_next
from consult.fit.choose import choose
from consult.fit.request import FitRequest
from consult.fit.workplace import Desk, Workplace
from tests.benchmarks.bench_choose import large_range


def test_twenty_thousand_chairs_take_less_than_300_mb() -> None:
    """Peak memory of choosing and of what to ask next, every chair with numbers of its own."""
    people, range_ = load_population(), large_range()
    who = estimate(people, [people.measure("stature", 1700.0)], None)
    place = Workplace(Desk("fixed", 720.0, 25.0))
    tracemalloc.start()
    try:
        choice = choose(FitRequest(range_, who, place))
        ask_next(FitRequest(range_, who, place), people)
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert choice.eligible >= 20_000
    assert choice.best is not None
    assert np.isfinite(choice.best.p_fits)
    assert peak < 300e6
