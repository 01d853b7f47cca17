"""What the tests of the fit share: the shipped range and the survey, anew for each file."""

from __future__ import annotations

import pytest

from consult.body.population import Population, load_population
from consult.paths import shipped_trees
from consult.range.file import load_range
from consult.range.model import Range


@pytest.fixture(scope="module")
def demo() -> Range:
    """The shipped range."""
    found, problems = load_range(shipped_trees() / "range.yaml")
    assert found is not None, problems
    return found


@pytest.fixture(scope="module")
def people() -> Population:
    """The population the program uses unless told otherwise."""
    return load_population()
