"""The measures of a call read as one body."""

from __future__ import annotations

import pytest
from hypothesis import given, settings

from consult.body.estimate import estimate
from consult.body.measured import Measured, Sex
from consult.body.reading import read_body
from tests.body.bodies import SURVEY, any_measures, sexes

STATURE = SURVEY.measure("stature", 1550.0)


def test_what_is_set_aside_does_not_reach_the_estimate() -> None:
    """An absurd lower leg is reported, kept for the record, and leaves the body as it was."""
    leg = SURVEY.measure("popliteal_height", 520.0)
    made, found = read_body(SURVEY, [STATURE, leg], "female")
    assert made.dimensions == estimate(SURVEY, [STATURE], "female").dimensions
    assert (made.used, made.set_aside) == ((STATURE,), (leg,))
    assert [one.dimension for one in found] == ["popliteal_height"]
    assert made.dimensions["popliteal_height"].origin == "estimated from stature"


def test_confirming_brings_it_in() -> None:
    """The same lower leg, confirmed, is used."""
    leg = SURVEY.measure("popliteal_height", 520.0, confirmed=True)
    made, found = read_body(SURVEY, [STATURE, leg], "female")
    assert (made.used, made.set_aside) == ((STATURE, leg), ())
    assert made.dimensions["popliteal_height"].mean > 420
    assert [one.confirmed for one in found] == [True]


def test_a_measure_to_take_again_is_used_meanwhile() -> None:
    """Between three and five the measure is questioned but counts."""
    leg = SURVEY.measure("popliteal_height", 450.0)
    made, found = read_body(SURVEY, [STATURE, leg], "female", "imperial")
    assert (made.set_aside, found[0].level) == ((), "re-measure")
    assert made.dimensions["popliteal_height"].origin == "measured"


def test_unknown_dimension_is_refused_in_words() -> None:
    """A dimension the population lacks is named, with the nearest it has."""
    with pytest.raises(ValueError, match="Did you mean 'sitting_height'"):
        read_body(SURVEY, [Measured("siting_height", 900.0, 15.0)], None)


@settings(deadline=None, max_examples=60)
@given(any_measures, sexes)
def test_every_measure_is_used_or_set_aside(heard: list[Measured], sex: Sex | None) -> None:
    """No measure is lost, and none that was confirmed is set aside."""
    made, _ = read_body(SURVEY, heard, sex)
    order = [*made.used, *made.set_aside]
    assert sorted(order, key=repr) == sorted(heard, key=repr)
    assert not any(one.confirmed for one in made.set_aside)
