"""What would change the choice: shifts that do, checked by choosing again at them."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from consult.body.estimate import Estimate, estimate
from consult.body.measured import Measured
from consult.body.population import Population, load_shipped
from consult.fit.as_if import NEARLY_EXACT, as_if
from consult.fit.bodies import SEED
from consult.fit.choose import choose
from consult.fit.range_load import load_range
from consult.fit.range_model import Range
from consult.fit.request import FitRequest
from consult.fit.sensitivity import (
    BODIES,
    FURTHEST,
    STEP,
    Turn,
    sensitivity,
)
from consult.fit.weigh import weigh
from consult.fit.workplace import Desk, Workplace
from tests.fit.bodies import body

DEMO = Path(__file__).parents[2] / "trees" / "range.yaml"
LABELS = {"popliteal_height": "lower leg", "buttock_popliteal_length": "thigh length"}
PLACES = [
    Workplace(),
    Workplace(Desk("fixed", height=720.0, thickness=25.0), heel=10.0),
    Workplace(Desk("adjustable", lowest=620.0, highest=1200.0, thickness=30.0)),
    Workplace(Desk("none")),
]
bodies = st.builds(
    body,
    popliteal_height=st.floats(330, 480),
    buttock_popliteal_length=st.floats(420, 560),
    elbow_rest_height=st.floats(180, 290),
    hip_breadth_sitting=st.floats(320, 500),
    sd=st.sampled_from([8.0, 15.0]),
)


@pytest.fixture(scope="module")
def demo() -> Range:
    loaded, _ = load_range(DEMO)
    assert loaded is not None
    return loaded


@pytest.fixture(scope="module")
def people() -> Population:
    return load_shipped("us_army_2012.json")


def turns(range_: Range, who: Estimate, place: Workplace) -> tuple[Turn, ...]:
    return sensitivity(
        FitRequest(range_, who, place), choose(FitRequest(range_, who, place)), labels=LABELS
    )


def level_parts(range_: Range, who: Estimate, place: Workplace, kind: str) -> set[str]:
    """Codes of one kind among the best chairs, told apart no finer than by the search itself."""
    weighed = weigh(FitRequest(range_, who, place, n=BODIES, seed=SEED))
    ranked, tied = weighed.ranking()
    chairs = [weighed.chairs.chair(int(weighed.rows[at])) for at in (ranked[0], *tied)]
    return {part.code for chair in chairs for of_kind, part in chair.items() if of_kind == kind}


@settings(deadline=None, max_examples=25)
@given(who=bodies, place=st.sampled_from(PLACES))
def test_choosing_again_at_the_shift_gives_the_part(
    demo: Range, who: Estimate, place: Workplace
) -> None:
    """At the shift told, and its sign, the part told is among the best and the old chair loses."""
    best = choose(FitRequest(demo, who, place)).best
    assert best is not None
    for turn in turns(demo, who, place):
        there = as_if(who, turn.dimension, who.dimensions[turn.dimension].mean + turn.shift_mm)
        assert turn.part.code in level_parts(demo, there, place, turn.kind)
        assert turn.part.code != best.parts[turn.kind].code
        again = choose(FitRequest(demo, there, place, n=BODIES))
        assert again.best is not None
        assert again.best.parts != best.parts


@settings(deadline=None, max_examples=25)
@given(who=bodies, place=st.sampled_from(PLACES))
def test_shifts_stay_on_the_grid(demo: Range, who: Estimate, place: Workplace) -> None:
    """One turn a dimension, smallest first, in steps, and no further than is likely."""
    found = turns(demo, who, place)
    assert found == turns(demo, who, place)
    assert len({turn.dimension for turn in found}) == len(found)
    shifts = [abs(turn.shift_mm) for turn in found]
    assert shifts == sorted(shifts)
    for turn in found:
        assert turn.shift_mm % STEP == 0
        most = min(FURTHEST, 2 * who.dimensions[turn.dimension].sd)
        assert 0 < abs(turn.shift_mm) <= most
        assert turn.say.lengths == {"amount": abs(turn.shift_mm)}


def test_an_upper_leg_longer_than_thought_needs_a_deeper_seat(demo: Range) -> None:
    """The medium seat is 450 mm deep at most, enough for a thigh length of 530 mm and no longer."""
    who = body(buttock_popliteal_length=500.0, sd=15.0)
    best = choose(FitRequest(demo, who, PLACES[3])).best
    assert best is not None
    assert best.parts["seat"].code == "SEAT-M"
    found = {turn.dimension: turn for turn in turns(demo, who, PLACES[3])}
    turn = found["buttock_popliteal_length"]
    assert turn.part.code == "SEAT-L"
    assert turn.shift_mm > 0
    cm = f"{turn.shift_mm / 10:g} cm"
    assert (
        turn.say.text("metric")
        == f"If the thigh length is really {cm} longer, Large seat is right."
    )


def test_a_body_known_exactly_turns_nothing(demo: Range) -> None:
    """Where nothing is left to doubt, no shift is worth telling."""
    assert turns(demo, body(sd=1.0), PLACES[0]) == ()


def test_no_chair_no_turns(demo: Range) -> None:
    """A caller no chair may carry is told of no part."""
    who = body(weight=300.0)
    choice = choose(FitRequest(demo, who, PLACES[0]))
    assert choice.best is None
    assert sensitivity(FitRequest(demo, who, PLACES[0]), choice, labels=LABELS) == ()


def test_no_turn_to_a_part_rated_below_the_mass(demo: Range) -> None:
    """However the body turns out, what is told carries the mass that was heard."""
    who, place = body(buttock_popliteal_length=515.0, sd=20.0), PLACES[3]
    choice = choose(FitRequest(demo, who, place, mass=150.0))
    for turn in sensitivity(FitRequest(demo, who, place, mass=150.0), choice, labels=LABELS):
        assert turn.part.rating is None or turn.part.rating >= 150.0


@pytest.mark.parametrize("dimension", ["popliteal_height", "hip_breadth_sitting"])
@pytest.mark.parametrize("sex", [None, "female"])
def test_as_if_is_the_estimate_with_one_more_measure(
    people: Population, dimension: str, sex: None
) -> None:
    """Against the estimate itself, told the same nearly exact measure along with the others."""
    heard = [Measured("stature", 1700.0, 12.0), Measured("popliteal_height", 420.0, 9.0)]
    more = Measured(dimension, 435.0, NEARLY_EXACT)
    found = as_if(estimate(people, heard, sex), dimension, 435.0)
    expected = estimate(people, [*heard, more], sex)
    for one, other in zip(found.components, expected.components, strict=True):
        assert one.weight == pytest.approx(other.weight)
        np.testing.assert_allclose(one.mean, other.mean, rtol=1e-6)
        np.testing.assert_allclose(one.covariance, other.covariance, rtol=1e-5, atol=1e-4)
    for name, dim in found.dimensions.items():
        other_dim = expected.dimensions[name]
        assert (dim.mean, dim.sd, dim.low, dim.high) == pytest.approx(
            (other_dim.mean, other_dim.sd, other_dim.low, other_dim.high), rel=1e-5
        )


def test_as_if_asks_for_a_dimension_it_knows() -> None:
    """A dimension that is not in the estimate is named in the error."""
    with pytest.raises(ValueError, match="no body dimension called 'wingspan'"):
        as_if(body(), "wingspan", 1.0)
