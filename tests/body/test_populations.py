"""The populations that come with the program: found by id, alike in form, fit to estimate from."""

from __future__ import annotations

import json
import math
import subprocess
import sys
from importlib import resources
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from consult.body.estimate import estimate
from consult.body.measured import Measured, Sex
from consult.body.population import load_population, population_of
from consult.body.population_file import DEFAULT_ID, PopulationError, available, load_named
from tests.body.bodies import SURVEY, any_measures, sexes
from tests.long import examples

IDS = tuple(available())


def file_content(population_id: str) -> dict[str, Any]:
    file = resources.files("consult.body") / "data" / f"{population_id}.json"
    content: dict[str, Any] = json.loads(file.read_text(encoding="utf-8"))
    return content


def test_both_are_offered_by_name_and_the_default_comes_first() -> None:
    """The choices are ids with the names that a person reads."""
    assert dict(available()) == {
        "us_army_2012": "US Army personnel, 2012",
        "british_adults": (
            "British adults, 1980s handbook means and SDs, "
            "with the correlations of the US Army survey"
        ),
    }
    assert IDS[0] == DEFAULT_ID == "us_army_2012"


def test_the_default_is_still_the_survey() -> None:
    """Without a choice everyone is estimated from the one that always was, loaded once."""
    assert load_named() is load_named("us_army_2012") is load_population() is SURVEY
    assert SURVEY.origins == {}


@pytest.mark.parametrize("population_id", IDS)
def test_an_id_is_what_its_file_says(population_id: str) -> None:
    """The id given, the id in the file and the name offered belong together."""
    loaded = load_named(population_id)
    assert (loaded.id, loaded.name) == (population_id, available()[population_id])
    assert load_named(population_id) is loaded


@pytest.mark.parametrize("population_id", IDS)
def test_all_populations_have_the_same_form(population_id: str) -> None:
    """Same dimensions in the same order, same words, same errors of measuring, equal shares."""
    loaded = load_named(population_id)
    assert loaded.order == SURVEY.order
    assert loaded.traits == SURVEY.traits
    assert loaded.share == {"female": 0.5, "male": 0.5}
    assert (loaded.remembered_bias, loaded.remembered_sd) == (25, 25)


@pytest.mark.parametrize("population_id", IDS)
def test_covariances_are_those_of_possible_bodies(population_id: str) -> None:
    """Every covariance is exactly symmetric, and positive definite."""
    for group in load_named(population_id).groups.values():
        assert np.array_equal(group.covariance, group.covariance.T)
        sd = np.sqrt(np.diag(group.covariance))
        assert np.linalg.eigvalsh(group.covariance / np.outer(sd, sd)).min() > 1e-4


@settings(deadline=None, max_examples=examples(60))
@given(st.sampled_from(IDS), any_measures, sexes)
def test_every_estimate_is_finite_and_in_order(
    population_id: str, measures: list[Measured], sex: Sex | None
) -> None:
    """Whatever is heard, every number of every dimension is finite and low is below high."""
    made = estimate(load_named(population_id), measures, sex)
    assert made.population == available()[population_id]
    assert tuple(made.dimensions) == SURVEY.order
    for one in made.dimensions.values():
        assert all(math.isfinite(number) for number in (one.mean, one.sd, one.low, one.high))
        assert one.low <= one.high


@pytest.mark.parametrize("sex", ["female", "male"])
def test_the_choice_changes_what_is_estimated(sex: Sex) -> None:
    """The same stature gives thinner thighs among the British of the handbook than in the army."""
    measures = [SURVEY.measure("stature", 1700.0)]
    army, british = (estimate(load_named(one), measures, sex).dimensions for one in IDS)
    assert british["thigh_clearance"].mean < army["thigh_clearance"].mean - 5


@pytest.mark.parametrize(
    ("asked", "expected"),
    [
        ("british_adult", "Did you mean 'british_adults'?"),
        ("US_army_2012", "Did you mean 'us_army_2012'?"),
        ("", "Choose us_army_2012 or british_adults."),
        ("../../pyproject", "Choose us_army_2012 or british_adults."),
        ("[b]\N{HEBREW LETTER ALEF}'" * 3000, "Choose us_army_2012 or british_adults."),
    ],
)
def test_an_unknown_id_gets_the_nearest_or_the_choices(asked: str, expected: str) -> None:
    """An id that is none of them is refused in words that say what to type instead."""
    with pytest.raises(ValueError, match="There is no population called") as caught:
        load_named(asked)
    assert str(caught.value).endswith(expected)


def test_british_values_say_where_each_comes_from() -> None:
    """Every dimension names its source and how mean and spread of each sex came into the file."""
    british = load_named("british_adults")
    assert tuple(british.origins) == british.order
    assert british.origins["stature"].marks["male"] == ("looked up", "looked up")
    assert british.origins["popliteal_height"].marks["female"] == ("looked up", "from memory")
    assert british.origins["weight"].marks["male"] == ("from memory", "from memory")
    assert british.origins["acromion_radiale_length"].marks["male"] == ("computed", "computed")
    for name in british.order:
        assert british.origins[name].source
    assert british.groups["male"].n is None


WRONG: list[tuple[tuple[str, ...], Any, str]] = [
    (("sources",), [], "'sources' must be"),
    (("sources", "nose"), {}, "same dimensions as 'order'"),
    (("sources", "weight", "from"), " ", "'from' in the source of 'weight' must be a text"),
    (("sources", "weight", "male"), None, "'male' in the source of 'weight'"),
    (("sources", "weight", "male", "sd"), "guessed", "looked up, from memory or computed"),
    (("sources", "weight", "male", "mean"), ["computed"], "of 'mean' and of 'sd'"),
    (("groups", "male", "n"), 0, "number of people"),
]


@pytest.mark.parametrize(("place", "value", "expected"), WRONG)
def test_a_wrong_source_is_named(place: tuple[str, ...], value: object, expected: str) -> None:
    """One wrong entry among the sources is refused with a sentence that says which."""
    content = file_content("british_adults")
    at = content
    for step in place[:-1]:
        at = at[step]
    at[place[-1]] = value
    with pytest.raises(PopulationError) as caught:
        population_of(json.dumps(content), "people.json")
    assert expected in str(caught.value)


def test_naming_the_choices_needs_no_numpy() -> None:
    """A list of choices, as a command's help shows, does not load numpy."""
    code = "import sys; from consult.body.population_file import available; available(); "
    code += "print('numpy' in sys.modules)"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "False"
