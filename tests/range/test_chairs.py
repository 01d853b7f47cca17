"""Every chair that a range builds: bases, fixed models."""

from __future__ import annotations

from dataclasses import replace

import pytest

from consult.paths import shipped_trees
from consult.range.chairs import chairs_of
from consult.range.file import load_range
from consult.range.model import Range
from consult.range.parts import Part


@pytest.fixture(scope="module")
def demo() -> Range:
    """The shipped range."""
    found, problems = load_range(shipped_trees() / "range.yaml")
    assert found is not None, problems
    return found


def test_a_base_lifts_every_seat_and_may_be_the_weakest_part(demo: Range) -> None:
    """Its height adds to the gas lift's, its price to the chair's, and its rating limits it."""
    low = Part("base", "BASE-L", "Low base", 10, 5, rating=200, features=frozenset(["heavy_duty"]))
    high = replace(low, code="BASE-H", price=30, adds=40, rating=120, features=frozenset())
    based = replace(demo, parts={**demo.parts, "base": (low, high)})
    plain, both = chairs_of(demo), chairs_of(based)
    assert len(both.index) == 2 * len(plain.index)
    assert both.chair(0)["base"] == low
    assert "base" not in plain.chair(0)
    # The base is the last axis, so that chairs with the one and with the other take turns.
    for at in (0, 1):
        by = (low, high)[at]
        there = both.heights[both.height_of[at::2]] - plain.heights[plain.height_of]
        assert (there == by.adds).all()
        assert (both.pence[at::2] - plain.pence == by.price * 100).all()
    assert both.ratings[both.rating_of[1::2]].max() == 120
    assert based.reach().seat_height[1] == demo.reach().seat_height[1] + 40
    assert both.ratings.max() == 180


def test_a_fixed_model_is_one_more_chair_with_its_own_price(demo: Range) -> None:
    """Also of parts that go together nowhere else; what is ordered is its one code."""
    chair = chairs_of(demo).chair(7)
    back = replace(chair["back"], code="BACK-X", models_only=True)
    made = frozenset(part.code for part in {**chair, "back": back}.values())
    fixed = Part("model", "BASIC", "Basic chair", 99.5, 2, made_of=made)
    parts = {**demo.parts, "back": (*demo.parts["back"], back), "model": (fixed,)}
    range_ = replace(demo, parts=parts)
    chairs = chairs_of(range_)
    assert len(chairs.index) == len(chairs_of(demo).index) + 1
    (at,) = [n for n in range(len(chairs.index)) if chairs.chair(n)["back"] == back]
    assert (chairs.pence[at], chairs.lead_days[at]) == (9950, 2)
    whole = {**chairs.chair(at), "footrest": demo.on_sale("footrest")[0]}
    assert [part.code for part in range_.sold_as(whole)] == ["BASIC", whole["footrest"].code]
    assert range_.price_of(whole) == 99.5 + whole["footrest"].price
    assert range_.compatible(back, chair["seat"])
    others = [one for one in demo.on_sale("seat") if one != chair["seat"]]
    assert not any(range_.compatible(back, one) for one in others)
    gone = replace(range_, parts={**parts, "model": (replace(fixed, discontinued=True),)})
    assert len(chairs_of(gone).index) == len(chairs_of(demo).index)
    assert gone.price_of(chair) == demo.price_of(chair)
