"""Own errors of measuring: found where callers measure worse, and no false one."""

from __future__ import annotations

import numpy as np
import pytest

from consult.body.population import corrected, load_population
from consult.call.chair_outcome import Again, ChairOutcome, PastCall
from consult.call.stated_odds import StatedOdds
from consult.learning.errors import compare_errors
from consult.learning.looks import look_at
from consult.learning.proposals import proposals
from tests.long import LONG

DIMENSIONS = ("popliteal_height", "buttock_popliteal_length", "elbow_rest_height")
ODDS = StatedOdds(0.95, 20)


def measured_twice(count: int, seed: int, times: float = 1.0) -> list[PastCall]:
    """A third of the calls have each measure again; the lower leg with so many times the error."""
    chance = np.random.default_rng(seed)
    past = []
    for _ in range(count):
        again = {}
        for name in DIMENSIONS:
            sd = load_population().measurement_sd(name)
            sd *= times if name == DIMENSIONS[0] else 1
            if chance.random() < 0.33:
                again[name] = Again("told", 400 + chance.normal(0, sd), 400 + chance.normal(0, sd))
        past.append(PastCall(ODDS, ChairOutcome("222-222", "adjusted", again=again)))
    return past


def proposed(past: list[PastCall], error: float | None = None) -> dict[str, float]:
    """The errors proposed at the last look."""
    look = look_at(len(past))
    assert look is not None
    people = corrected(load_population(), {}, {DIMENSIONS[0]: error} if error else {})
    found = compare_errors(people, load_population(), past[: look.calls])
    return {one.name.removeprefix("error."): one.value for one in proposals(look, found).found}


@pytest.mark.parametrize("seed", range(20 if LONG else 4))
def test_twice_the_error_is_found_by_200_calls(seed: int) -> None:
    """Of that measure alone, and not again once it is in use."""
    past = measured_twice(200, seed, 2.0)
    found = proposed(past)
    assert found.keys() == {DIMENSIONS[0]}
    usual = load_population().measurement_sd(DIMENSIONS[0])
    assert 1.4 * usual < found[DIMENSIONS[0]] < 2.3 * usual
    assert proposed(past, found[DIMENSIONS[0]]) == {}


def test_no_false_error_in_nineteen_of_twenty_histories() -> None:
    """Where callers measure as shipped, over all looks of a history together."""
    histories = 400 if LONG else 40
    false = 0
    for seed in range(histories):
        past = measured_twice(800, seed)
        false += any(proposed(past[: 50 << k]) for k in range(5))
    assert false <= 0.05 * histories


def test_what_was_estimated_has_no_error_of_measuring() -> None:
    """Only a measure that was told counts."""
    again = {DIMENSIONS[0]: Again("estimated", 400, 500)}
    past = [PastCall(ODDS, ChairOutcome("222-222", "adjusted", again=again))] * 60
    assert list(compare_errors(load_population(), load_population(), past)) == []
