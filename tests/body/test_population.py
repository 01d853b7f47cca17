"""The population file: read, checked, and what it says of measuring."""

from __future__ import annotations

import json
import math
import subprocess
import sys
from importlib import resources
from typing import Any

import numpy as np
import pytest

from consult.body.population import load_population, population_of
from consult.body.population_file import PopulationError
from tests.body.bodies import SURVEY


def file_content() -> dict[str, Any]:
    file = resources.files("consult.body") / "data" / "us_army_2012.json"
    content: dict[str, Any] = json.loads(file.read_text(encoding="utf-8"))
    return content


def loading(content: object) -> str:
    """The message that refuses this content."""
    text = content if isinstance(content, str) else json.dumps(content)
    with pytest.raises(PopulationError) as caught:
        population_of(text, "people.json")
    assert str(caught.value).startswith("people.json: ")
    return str(caught.value)


def test_default_is_read_once() -> None:
    """The population that comes with the program is loaded once and shared."""
    assert load_population() is SURVEY
    assert SURVEY.name == "US Army personnel, 2012"
    assert "not the caller's own nation" in SURVEY.caution


def test_a_file_of_the_same_form_gives_the_same_population() -> None:
    """Another file of the same form is loaded as the one that ships is."""
    loaded = population_of(json.dumps(file_content()), "people.json")
    assert loaded.traits == SURVEY.traits
    assert np.array_equal(loaded.groups["male"].covariance, SURVEY.groups["male"].covariance)


def test_covariance_is_sd_times_correlation() -> None:
    """Covariances are rebuilt from the printed deviations and correlations, in mm and kg."""
    female = SURVEY.groups["female"]
    assert female.n == 1986
    stature, leg = SURVEY.index("stature"), SURVEY.index("popliteal_height")
    assert female.covariance[stature, leg] == pytest.approx(64.2 * 23.587 * 0.80609)
    assert not female.covariance.flags.writeable


def test_every_dimension_has_words_and_an_error_with_its_source() -> None:
    """Each dimension says its label, its unit, and its measuring error with the source."""
    assert SURVEY.label("popliteal_height") == "lower leg"
    assert (SURVEY.unit("weight"), SURVEY.unit("stature")) == ("kg", "mm")
    assert (SURVEY.measurement_sd("stature"), SURVEY.measurement_sd("weight")) == (12, 2)
    for name in SURVEY.order:
        assert SURVEY.trait(name).measurement_sd_source
    assert len({SURVEY.label(name) for name in SURVEY.order}) == len(SURVEY.order) == 13


def test_measure_adds_the_callers_spread_to_the_error_of_measuring() -> None:
    """Independent errors add as squares."""
    assert SURVEY.measure("popliteal_height", 420.0).sd == 15
    measured = SURVEY.measure("popliteal_height", 420.0, spread=20, confirmed=True)
    assert (measured.value, measured.sd, measured.confirmed) == (420.0, 25.0, True)


def test_remembered_stature_is_taken_down_by_what_people_overstate() -> None:
    """A remembered stature loses 25 mm and is less certain than a measured one."""
    remembered = SURVEY.stature_remembered(1750.0)
    assert (remembered.dimension, remembered.value, remembered.sd) == ("stature", 1725.0, 25.0)
    assert SURVEY.stature_remembered(1750.0, spread=25).sd == pytest.approx(math.hypot(25, 25))


def test_unknown_dimension_is_refused_in_words() -> None:
    """A misspelt dimension gets the nearest name, not a KeyError."""
    with pytest.raises(ValueError, match="Did you mean 'hip_breadth_sitting'"):
        SURVEY.measure("hip_breadth_siting", 400.0)


@pytest.mark.parametrize(
    ("text", "expected"),
    [("{", "not valid JSON"), ("[1]", "the file must be a list of names"), ("[" * 100_000, "")],
)
def test_a_file_that_is_no_population_is_refused(text: str, expected: str) -> None:
    """Broken or foreign JSON is refused in words, naming the file."""
    assert expected in loading(text)


CHANGES: list[tuple[tuple[str | int, ...], Any, str]] = [
    (("name",), "", "'name' must be a text"),
    (("order",), ["stature", "stature"], "each once"),
    (("order", 0), 5, "'order' must list"),
    (("units", "weight"), "lb", "the unit of 'weight' must be mm or kg"),
    (("dimensions", "weight"), None, "dimension 'weight'"),
    (("dimensions", "weight", "someone"), "heavy", "<value>"),
    (("dimensions", "weight", "measurement_sd"), 0, "more than zero"),
    (("dimensions", "nose"), {}, "'nose'"),
    (("remembered_stature", "sd"), "25", "must be a number"),
    (("groups",), {}, "female or male"),
    (("groups", "child"), {}, "female or male"),
    (("group_share",), {"female": 1.0}, "same groups"),
    (("group_share", "female"), 0.6, "add up to 1"),
    (("groups", "male", "n"), 1, "number of people"),
    (("groups", "male", "mean"), [1.0], "13 numbers"),
    (("groups", "male", "mean", 3), float("nan"), "must be a number"),
    (("groups", "male", "mean", 3), 10**400, "must be a number"),
    (("groups", "male", "sd", 3), -1.0, "more than zero"),
    (("groups", "male", "correlation"), [], "13 rows"),
    (("groups", "male", "correlation", 2, 2), 0.9, "diagonal"),
    (("groups", "male", "correlation", 2, 1), 0.9, "not symmetric"),
]


@pytest.mark.parametrize(("place", "value", "expected"), CHANGES)
def test_a_wrong_entry_is_named(place: tuple[str | int, ...], value: object, expected: str) -> None:
    """One wrong entry is refused with a sentence that says which."""
    content: Any = file_content()
    at = content
    for step in place[:-1]:
        at = at[step]
    at[place[-1]] = value
    assert expected in loading(content)


def test_impossible_correlations_are_refused() -> None:
    """Symmetric numbers that no set of bodies could have are refused."""
    content = file_content()
    table = content["groups"]["male"]["correlation"]
    table[0][1] = table[1][0] = -0.95
    assert "not positive definite" in loading(content)


def test_a_population_of_one_group_knows_only_that() -> None:
    """A survey of women alone answers for women and says it has no men."""
    content = file_content()
    del content["groups"]["male"]
    content["group_share"] = {"female": 1.0}
    del content["remembered_stature"]
    women = population_of(json.dumps(content), "women.json")
    assert list(women.groups_of(None)) == ["female"]
    with pytest.raises(ValueError, match="no group called 'male'"):
        women.groups_of("male")
    with pytest.raises(ValueError, match="remembered statures"):
        women.stature_remembered(1700.0)


def test_the_package_itself_needs_no_numpy() -> None:
    """Importing consult.body, as quick commands do, does not load numpy."""
    code = "import sys, consult.body, consult.body.measured; print('numpy' in sys.modules)"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "False"
