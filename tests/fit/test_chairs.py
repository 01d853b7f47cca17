"""The limits of a range: what its strongest whole chair carries, and whom it may be offered to."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from consult.body.population import load_population
from consult.fit.chairs import heaviest_caller, limits_of
from consult.fit.range_file import load_range
from consult.fit.range_model import Range
from consult.fit.request import RATED_FOR
from consult.paths import shipped_trees


@pytest.fixture(scope="module")
def demo() -> Range:
    """The shipped range."""
    found, problems = load_range(shipped_trees() / "range.yaml")
    assert found is not None, problems
    return found


def test_highest_rating_of_a_whole_chair(demo: Range) -> None:
    """The weakest part of the strongest chair counts: castors of 200 kg make no chair of 200."""
    found = limits_of(demo, load_population())
    assert found["range.highest_rating"] == 180
    # By hand: 165 kg said means 168.96 +- 6.42 kg, and 168.96 + 1.645 x 6.42 is 179.5.
    assert 165 < found["range.heaviest_caller"] < 166
    assert found["range.heavy_duty"] is True


def test_parts_that_do_not_go_together_carry_nobody(demo: Range) -> None:
    """A strong gas lift that no strong seat goes with raises no limit."""
    lifts = tuple(
        replace(one, fits_with=frozenset(["SEAT-S"]), not_with=frozenset())
        if one.code == "LIFT-HD"
        else one
        for one in demo.parts["gas_lift"]
    )
    weaker = replace(demo, parts={**demo.parts, "gas_lift": lifts})
    found = limits_of(weaker, load_population())
    assert found["range.highest_rating"] == 130
    assert found["range.heavy_duty"] is False


def test_no_range_no_limits() -> None:
    """Without a range nothing is known of it."""
    assert limits_of(None, load_population()) == {}


@given(st.floats(60, 300))
def test_heaviest_caller_is_just_covered(rating: float) -> None:
    """The rating covers 95 in 100 who say that weight, and of those who say more it does not."""
    people = load_population()
    most = heaviest_caller(rating, people)
    for said, covered in ((most, True), (most + 0.01, False)):
        told = people.weight_told(said)
        assert (told.value + RATED_FOR * told.sd <= rating) is covered
