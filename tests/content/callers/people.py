"""What the tests of simulated callers share: one-question trees, a source, and its callers."""

from __future__ import annotations

import math
from functools import cache

from consult.body.population import Population, load_population
from consult.call.state import State
from consult.content.callers.says import Person, person, says
from consult.content.callers.simulation import CallerSource, led_state
from consult.paths import trees_folder
from consult.tree.model import Question
from consult.tree.shares import NO_SHARES, QuestionShares, Shares, load_shares
from tests.call.calls import TODAY, basis_of

FILE = trees_folder() / "callers.yaml"


@cache
def survey() -> Population:
    """The population the program uses unless told otherwise."""
    return load_population()


def source(shares: Shares = NO_SHARES, seed: int = 1) -> CallerSource:
    """Callers of the test day."""
    return CallerSource(shares, survey(), seed, TODAY)


@cache
def shares() -> Shares:
    """What callers say by the shipped file."""
    found, problems = load_shares(FILE)
    assert found is not None, problems
    return found


SEED = 11
"""Of the callers that ``led`` leads."""


@cache
def led(tree: str, number: int) -> State:
    """One caller led through a shipped tree, once for all tests."""
    return led_state(basis_of(tree), source(shares(), SEED), number)


def caller(number: int, shares: Shares = NO_SHARES, seed: int = 1) -> Person:
    """One caller before anything is asked."""
    return person(survey(), shares, seed, number)


@cache
def anybody(number: int, seed: int = 1) -> Person:
    """One caller by default shares, made once."""
    return caller(number, seed=seed)


def said(
    question: Question,
    number: int,
    entry: QuestionShares | None = None,
    known_as: str = "",
    seed: int = 1,
) -> str:
    """What a caller says to one question; nobody is unsure unless the entry says so."""
    shares = Shares(unknown=0.0, questions={question.name: entry} if entry else {})
    who = anybody(number, seed)
    return says(question, who, survey(), shares, known_as or question.name)


def near(found: int, share: float, of: int) -> bool:
    """Whether a count lies within four standard errors of its share: one in 16,000 does not."""
    error = math.sqrt(share * (1 - share) / of)
    return abs(found / of - share) <= 4 * error
