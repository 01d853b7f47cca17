"""What a request takes of a range: what the strongest chair carries, and prices for so many."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from consult.body.population import load_population
from consult.fit.choose import choose
from consult.fit.request import RATED_FOR, FitRequest, heaviest_caller, limits_of
from consult.fit.workplace import Workplace
from consult.range.model import Range
from consult.range.parts import CHAIR_KINDS
from tests.fit.bodies import body
from tests.fit.slow_choose import part, range_of


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


def test_prices_for_so_many() -> None:
    """Of equals the cheapest at that number comes first; parts, fixed models and footrests count,
    and the range stays itself where nothing costs less."""
    range_ = range_of(
        part("arms", "PLAIN-ARMS", price=10.0),
        part("arms", "TEAM-ARMS", price=12.0, quantity_prices=((5, 6.0), (20, 5.0))),
    )
    assert range_.priced_for(4) is range_
    assert range_.priced_for(5) is range_.priced_for(19)
    for pieces, arms, apart in (
        (1, "PLAIN-ARMS", 2.0),
        (5, "TEAM-ARMS", 4.0),
        (20, "TEAM-ARMS", 5.0),
    ):
        choice = choose(FitRequest(range_.priced_for(pieces), body(), Workplace()))
        assert choice.best is not None
        assert choice.best.parts["arms"].code == arms
        assert choice.alternatives["arms"].price - choice.best.price == apart
        assert choice.alternatives["cheapest"].price == choice.best.price
        assert choice.best.price == range_.price_of(choice.best.parts, pieces)


def test_a_fixed_model_for_so_many() -> None:
    """It has one price for all its parts, which may be less for many."""
    whole = range_of(part("arms", "A", price=50.0), part("arms", "B", price=40.0))
    codes = {one.code for kind in CHAIR_KINDS[:-1] for one in whole.on_sale(kind)} - {"B"}
    model = part("model", "SET", price=95.0, quantity_prices=((3, 60.0),), made_of=frozenset(codes))
    range_ = replace(whole, parts={**whole.parts, "model": (model,)})
    for pieces, arms in ((1, "B"), (3, "A")):
        best = choose(FitRequest(range_.priced_for(pieces), body(), Workplace())).best
        assert best is not None
        assert best.parts["arms"].code == arms
        assert best.price == (90.0 if arms == "B" else 60.0)
