"""Own means of body dimensions: found where callers are built otherwise, refused where few told."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from functools import cache

import numpy as np
import pytest

from consult.body.measured import Sex
from consult.body.population import Population, corrected, load_population
from consult.call.basis import load_basis
from consult.learning.comparison import look_at, proposals
from consult.learning.estimates import (
    LEAST_CALLERS,
    ToldBody,
    body_questions,
    compare_means,
    told_body,
)
from consult.paths import default_tree
from consult.tree.learned import AcceptedValue, Learned
from tests.call.calls import seating
from tests.long import LONG

LEG = "popliteal_height"
TOLD = (LEG, "buttock_popliteal_length", "elbow_rest_height", "hip_breadth_sitting")


@cache
def people(leg: float = 0.0) -> Population:
    """The survey, its legs longer by so many mm."""
    return corrected(load_population(), {LEG: leg}, {})


def callers(count: int, seed: int, leg: float = 0.0, told: float = 0.5) -> list[ToldBody]:
    """Callers who consented, each telling every measure with a chance, with the usual errors."""
    chance = np.random.default_rng(seed)
    true = people(leg)
    roots = {sex: np.linalg.cholesky(group.covariance) for sex, group in true.groups.items()}
    found = []
    for _ in range(count):
        sex: Sex = "female" if chance.random() < 0.5 else "male"
        apart = roots[sex] @ chance.standard_normal(len(true.order))
        body = dict(zip(true.order, true.groups[sex].mean + apart, strict=True))
        said = {
            name: value + chance.normal(0, true.measurement_sd(name))
            for name, value in body.items()
        }
        frame = (
            true.measure("stature", said["stature"]),
            true.measure("weight", said["weight"]),
        )
        others = {name: said[name] for name in TOLD if chance.random() < told}
        found.append(ToldBody(frame, sex, others))
    return found


def proposed(
    bodies: list[ToldBody], calls: int, by: Mapping[str, float] | None = None
) -> dict[str, float]:
    """The corrections proposed at a look."""
    look = look_at(calls)
    assert look is not None
    using = by or {}
    found = compare_means(corrected(load_population(), using, {}), bodies, using)
    return {one.name.removeprefix("mean."): one.value for one in proposals(look, found).found}


@pytest.mark.parametrize("seed", range(20 if LONG else 3))
def test_legs_that_are_shorter_are_found_by_200_calls(seed: int) -> None:
    """170 of 200 callers consented and half of them told the lower leg; nothing else is moved."""
    bodies = callers(170, seed, leg=-15)
    found = proposed(bodies, 200)
    assert found.keys() == {LEG}
    assert found[LEG] == pytest.approx(-15, abs=7)
    assert proposed(bodies, 200, found) == {}


def test_no_false_correction_in_nineteen_of_twenty_histories() -> None:
    """Where callers are built like the survey, over all looks of a history together."""
    histories, looks = (200, (100, 200, 400, 800)) if LONG else (20, (100, 200))
    false = 0
    for seed in range(histories):
        bodies = callers(looks[-1], seed)
        false += any(proposed(bodies[:calls], calls) for calls in looks)
    assert false <= 0.05 * histories


def test_tall_callers_are_no_other_people() -> None:
    """Long legs that go with a great stature are what the survey lets expect."""
    tall = [one for one in callers(1500, 1) if one.frame[0].value > 1800]
    assert len(tall) > LEAST_CALLERS
    legs = [one.others[LEG] for one in tall if LEG in one.others]
    assert np.mean(legs) > 440
    assert proposed(tall, 200) == {}


def test_refused_below_a_hundred_callers() -> None:
    """However clear it is."""
    bodies = callers(LEAST_CALLERS, 2, leg=-60, told=1.0)
    assert LEG in proposed(bodies, 200)
    assert list(compare_means(people(), bodies[:-1], {})) == []


def test_a_population_is_corrected_from_its_file() -> None:
    """Not from what it was corrected to before, and its version says by what."""
    once = corrected(load_population(), {LEG: -15}, {LEG: 9})
    at = once.index(LEG)
    for sex, group in load_population().groups.items():
        assert once.groups[sex].mean[at] == group.mean[at] - 15
        assert np.delete(once.groups[sex].mean, at).tolist() == np.delete(group.mean, at).tolist()
    assert once.measurement_sd(LEG) == 9
    assert "popliteal_height -15 mm" in once.version
    assert corrected(once, {LEG: -15}, {LEG: 9}) is once
    assert corrected(once, {}, {}) is load_population()
    assert corrected(once, {"nobody_has_this": 3}, {}) is load_population()


def test_calls_begin_with_the_corrected_population() -> None:
    """Also where they are given one that was corrected before."""
    learned = Learned((AcceptedValue(f"mean.{LEG}", -15.0, 0.0, 200, "2026-11-29"),))
    basis, _ = load_basis(default_tree(), learned=learned)
    assert basis is not None
    assert basis.population is people(-15)
    again, _ = load_basis(default_tree(), basis.population, learned=Learned())
    assert again is not None
    assert again.population is load_population()


def test_what_a_caller_told() -> None:
    """Units and what is from memory are read as in the call; without a weight there is no body."""
    said = {"stature": "5 ft 6", "weight": "70", "lower_leg": "41", "sex": "female", "name": "x"}
    found = told_body(seating(), said, date(2026, 11, 25))
    assert found is not None
    assert found.sex == "female"
    assert found.others == {LEG: 410}
    assert {one.dimension for one in found.frame} == {"stature", "weight"}
    # Remembered, so what people overstate is off.
    stature = next(one.value for one in found.frame if one.dimension == "stature")
    assert stature == pytest.approx(66 * 25.4 - (load_population().remembered_bias or 0))
    assert told_body(seating(), said | {"weight": "?"}, date(2026, 11, 25)) is None
    assert set(said) - {"name"} <= set(body_questions(seating()))
