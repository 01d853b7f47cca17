"""What a measure is worth: never below nought, nothing for what is known, and as a search finds."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
import scipy  # type: ignore[import-untyped]
from hypothesis import given, settings
from hypothesis import strategies as st

from consult.body.estimate import Component, Estimate, estimate
from consult.body.population import Population, load_population
from consult.fit.choose import choose
from consult.fit.request import FitRequest
from consult.fit.workplace import Desk, Workplace
from consult.fit.worth import HOME_MEASURES, THRESHOLD, Gain, open_measures, settled, worth
from consult.range.model import Range
from tests.fit.bodies import body
from tests.fit.slow_choose import part, random_range, range_of

PLACE = Workplace(Desk("fixed", 720.0, 25.0))


def two_seats(middle: float = 420.0) -> Range:
    """Two seats of fixed depth, the one for short thighs and the other for long ones."""
    short = part("seat", "SHORT", depth=(middle - 35, middle - 30))
    return range_of(short, part("seat", "LONG", depth=(middle + 30, middle + 35)))


def measures(request: FitRequest, people: Population) -> list[Gain]:
    """All that are open, the one worth most first."""
    return list(worth(request, people, open_measures(request)).values())


def gain_of(asked: list[Gain], dimension: str) -> float:
    return next(one.gain for one in asked if one.dimension == dimension)


@settings(max_examples=15, deadline=None)
@given(
    seed=st.integers(0, 10_000),
    stature=st.floats(1450, 2000),
    sex=st.sampled_from([None, "female", "male"]),
)
def test_a_gain_is_never_below_nought(seed: int, stature: float, sex: str | None) -> None:
    """Whatever the range and the body; gains come largest first."""
    people = load_population()
    who = estimate(people, [people.measure("stature", stature)], sex)  # type: ignore[arg-type]
    asked = measures(FitRequest(random_range(seed), who, PLACE, n=64, seed=seed), people)
    gains = [one.gain for one in asked]
    assert all(0 <= gain <= 1 for gain in gains)
    assert gains == sorted(gains, reverse=True)
    assert settled(asked) == (gains[0] < THRESHOLD)


def test_a_measure_that_is_known_exactly_gains_nothing(people: Population) -> None:
    """With no spread left in the thigh length there is nothing to hear; with spread there is."""
    unsure = body(sd=25.0)
    component = unsure.components[0]
    covariance = component.covariance.copy()
    at = list(unsure.dimensions).index("buttock_popliteal_length")
    covariance[at] = covariance[:, at] = 0.0
    sure = replace(unsure, components=(Component("female", 1.0, component.mean, covariance),))
    range_, place = two_seats(), Workplace()
    thigh = "buttock_popliteal_length"
    assert gain_of(measures(FitRequest(range_, unsure, place), people), thigh) > 0.1
    assert gain_of(measures(FitRequest(range_, sure, place), people), thigh) == pytest.approx(
        0, abs=1e-6
    )


def test_what_was_measured_is_not_asked_again(demo: Range, people: Population) -> None:
    """Only measures not yet taken are ranked; where all are taken, enough is known."""
    who = estimate(people, [people.measure("stature", 1700.0)], None)
    asked = measures(FitRequest(demo, who, PLACE), people)
    assert {one.dimension for one in asked} == set(HOME_MEASURES) - {"stature"}
    mean = {name: one.mean for name, one in who.dimensions.items()}
    every = estimate(people, [people.measure(name, mean[name]) for name in HOME_MEASURES], None)
    assert measures(FitRequest(demo, every, PLACE), people) == []


def test_the_measure_that_decides_is_the_one_to_ask(people: Population) -> None:
    """Two seats that differ in depth: the thigh; two pairs of arms: the elbow."""
    who = estimate(people, [people.measure("stature", 1680.0)], "female")
    thigh, elbow = (
        who.dimensions[name].mean for name in ("buttock_popliteal_length", "elbow_rest_height")
    )
    arms = range_of(
        part("arms", "LOW", height=(elbow - 40, elbow - 30)),
        part("arms", "HIGH", height=(elbow + 30, elbow + 40)),
    )
    asked = measures(FitRequest(two_seats(thigh - 60.0), who, Workplace()), people)
    assert asked[0].dimension == "buttock_popliteal_length"
    asked = measures(FitRequest(arms, who, Workplace()), people)
    assert asked[0].dimension == "elbow_rest_height"
    assert not settled(asked)


@pytest.mark.parametrize("apart", [0.0, 90.0])
def test_the_gain_of_one_measure_is_the_exact_integral(apart: float, people: Population) -> None:
    """Two seats, thighs alone in doubt: scipy's normal integrated over readings, 0.02 allowed.

    With ``apart`` the body is a mixture of two groups whose thighs differ by so much.
    """
    spread, error = 30.0, people.measurement_sd("buttock_popliteal_length")
    known = body(sd=0.01, buttock_popliteal_length=480.0)
    at = list(known.dimensions).index("buttock_popliteal_length")
    components = []
    for share, middle in ((0.6, 480 - apart / 2), (0.4, 480 + apart / 2)):
        mean, covariance = (
            known.components[0].mean.copy(),
            known.components[0].covariance.copy(),
        )
        mean[at], covariance[at, at] = middle, spread**2
        components.append(Component("female", share, mean, covariance))
    who = replace(known, components=tuple(components))
    # Fingers of 60 mm: a seat of 385 to 390 suits thighs of 425 to 470 mm, one of 450 to 455
    # those of 490 to 535 mm (0.80 and 0.95 of the length do not bind here).
    suits = [(425.0, 470.0), (490.0, 535.0)]
    means, shares = np.array([c.mean[at] for c in components]), np.array([0.6, 0.4])

    def best(means_: Any, sd: float, weights: Any) -> float:
        return max(
            float(
                weights
                @ (scipy.stats.norm.cdf(b, means_, sd) - scipy.stats.norm.cdf(a, means_, sd))
            )
            for a, b in suits
        )

    both, kept = np.hypot(spread, error), spread * error / np.hypot(spread, error)
    expected, step = -best(means, spread, shares), 1.0
    for reading in np.arange(250.0, 750.0, step):
        density = shares * scipy.stats.norm.pdf(reading, means, both)
        after = means + (spread / both) ** 2 * (reading - means)
        expected += step * density.sum() * best(after, kept, density / density.sum())
    asked = measures(FitRequest(two_seats(), who, Workplace(), n=4096), people)
    assert gain_of(asked, "buttock_popliteal_length") == pytest.approx(expected, abs=0.02)
    assert expected > 0.15


@pytest.mark.parametrize("sex", ["female", None])
def test_the_gain_is_what_hearing_readings_really_adds(
    sex: str | None, demo: Range, people: Population
) -> None:
    """Readings drawn, the body estimated anew after each and a chair chosen: the same mean.

    The estimate after each reading is the body module's own; nothing of the shifting is used.
    """
    place = Workplace()
    before = [people.measure("stature", 1750.0)]
    who = estimate(people, before, sex)  # type: ignore[arg-type]
    name = "buttock_popliteal_length"
    dice = np.random.default_rng(7)
    at = list(who.dimensions).index(name)
    values = []
    for _ in range(150):
        one = who.components[dice.choice(len(who.components), p=[c.weight for c in who.components])]
        error = people.measurement_sd(name)
        said = dice.normal(one.mean[at], np.sqrt(one.covariance[at, at] + error**2))
        after = estimate(people, [*before, people.measure(name, said)], sex)  # type: ignore[arg-type]
        best = choose(FitRequest(demo, after, place, n=400)).best
        assert best is not None
        values.append(best.p_fits)
    now = choose(FitRequest(demo, who, place)).best
    assert now is not None
    gain = next(g for g in measures(FitRequest(demo, who, place), people) if g.dimension == name)
    scatter = np.hypot(np.std(values) / np.sqrt(len(values)), now.se)
    assert gain.gain == pytest.approx(
        np.mean(values) - now.p_fits, abs=3 * np.hypot(scatter, gain.se)
    )


def test_the_mass_opens_or_closes_chairs(people: Population) -> None:
    """Where only the careful end of the mass bars the fitting chairs, weighing is worth asking."""
    who = estimate(people, [people.measure("stature", 1700.0)], "male")
    limit = who.dimensions["weight"].high
    range_ = range_of(part("seat", "SEAT", rating=limit - 10))
    assert choose(FitRequest(range_, who, Workplace())).best is None
    asked = measures(FitRequest(range_, who, Workplace()), people)
    assert asked[0].dimension == "weight"
    assert asked[0].gain > 0.5
    none = measures(FitRequest(range_, who, Workplace(), mass=limit), people)
    assert settled(none)


def test_the_same_inputs_give_the_same_gains(demo: Range, people: Population) -> None:
    """Twice the same, whatever was asked in between."""
    who: Estimate = estimate(people, [], None)
    first = measures(FitRequest(demo, who, PLACE), people)
    measures(FitRequest(demo, who, Workplace(), n=64, seed=3), people)
    assert measures(FitRequest(demo, who, PLACE), people) == first


def test_no_chair_with_what_is_needed_leaves_nothing_to_ask(people: Population) -> None:
    """A feature no chair has is not mended by any measure."""
    asked = measures(
        FitRequest(two_seats(), body(), PLACE, [("arms_swing_away", "must", "")]), people
    )
    assert asked == []


@pytest.mark.parametrize(("rating", "share"), [(106.9, 0.5), (104.7, 0.4)])
def test_a_weight_is_heard_with_its_error(rating: float, share: float, people: Population) -> None:
    """A chair for 106.9 kg, and 100 kg give or take 5: at five of the ten readings (89 to 99 kg)
    the most that was said by that is below; at 101 kg it is 107.7, so half is won. Readings lie
    further apart than weights do: at 97.5 kg it is 104.4, at 99 kg 106.1."""
    range_ = range_of(part("seat", "WEAK", rating=rating))
    asked = FitRequest(range_, body(weight=100.0, sd=5.0), Workplace())
    found = {one.dimension: one.gain for one in measures(asked, people)}
    assert found["weight"] == pytest.approx(share, abs=0.05)


def test_a_chair_that_carries_more_is_beaten_by_none(people: Population) -> None:
    """Of heavy callers with long thighs, one chair may be offered before they are weighed; that
    many that carry less fit whomever it fits, and more, takes it out of no comparison."""
    who = body(weight=100.0, sd=10.0)
    covariance = who.components[0].covariance.copy()
    at, beside = (list(who.dimensions).index(n) for n in ("weight", "buttock_popliteal_length"))
    covariance[at, beside] = covariance[beside, at] = 99.9
    who = replace(who, components=(replace(who.components[0], covariance=covariance),))
    strong = part("seat", "STRONG", depth=(370.0, 390.0))
    weak = [part("seat", f"W-{n}", depth=(300.0 + n, 600.0 + n), rating=112.0) for n in range(30)]
    few, many = (
        worth(FitRequest(range_of(strong, *weak[:some]), who, Workplace()), people, ["weight"])
        for some in (1, 30)
    )
    assert many["weight"].gain == pytest.approx(few["weight"].gain, abs=0.01)
    assert few["weight"].gain < 0.6
