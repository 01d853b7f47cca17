"""Bodies drawn from the survey within bands."""

from __future__ import annotations

import statistics

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from consult.practice.truth import Band, drawn_body, usual
from tests.practice.callers import survey


def test_a_body_lies_within_its_bands() -> None:
    """Every dimension with a band is drawn within it, whatever the seed."""
    bands = {"popliteal_height": Band(340.0, 355.0), "stature": Band(1500.0, 1540.0)}
    for seed in range(200):
        body = drawn_body(survey(), "female", bands, ("test", seed))
        assert list(body) == list(survey().order)
        for name, band in bands.items():
            assert band.low <= body[name] <= band.high


def test_one_value_is_taken_as_it_stands() -> None:
    """A band of one value gives that value."""
    body = drawn_body(survey(), "male", {"weight": Band(93.4, 93.4)}, ("test",))
    assert body["weight"] == 93.4


def test_bodies_without_bands_are_those_of_the_survey() -> None:
    """Means and correlations of many bodies are those of the population file."""
    group = survey().groups["female"]
    drawn = [drawn_body(survey(), "female", {}, ("test", seed)) for seed in range(800)]
    values = np.array([list(body.values()) for body in drawn])
    error = np.sqrt(np.diag(group.covariance) / len(drawn))
    assert (np.abs(values.mean(axis=0) - group.mean) < 4 * error).all()
    sd = np.sqrt(np.diag(group.covariance))
    correlation = group.covariance / np.outer(sd, sd)
    assert np.abs(np.corrcoef(values.T) - correlation).max() < 0.15


def test_a_short_body_has_short_legs() -> None:
    """What no band names follows from what one does."""
    short = {"stature": Band(1480.0, 1500.0)}
    legs = [
        drawn_body(survey(), "female", short, ("test", seed))["popliteal_height"]
        for seed in range(100)
    ]
    group = survey().groups["female"]
    assert statistics.mean(legs) < float(group.mean[survey().index("popliteal_height")]) - 25


@given(st.integers(0, 10_000))
def test_the_same_key_draws_the_same_body(seed: int) -> None:
    """Values are whole tenths, so that no machine differs in them."""
    one = drawn_body(survey(), "male", {}, ("test", seed))
    assert one == drawn_body(survey(), "male", {}, ("test", seed))
    assert all(value == round(value, 1) for value in one.values())


def test_what_is_known_narrows_what_is_usual() -> None:
    """A tall person's lower leg is longer, and surer, than anybody's."""
    anybody = usual(survey(), "male", "popliteal_height", {})
    tall = usual(survey(), "male", "popliteal_height", {"stature": 1950.0})
    assert tall.mean > anybody.mean + 40
    assert tall.sd < anybody.sd
