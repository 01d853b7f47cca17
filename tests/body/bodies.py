"""What the body tests share: the survey and bodies drawn for property tests."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from importlib import resources
from typing import Any

from hypothesis import strategies as st

from consult.body.measured import Measured, Sex
from consult.body.population import Group, Population, load_population

SURVEY = load_population()


def without_transfer(population: Population) -> Population:
    """The same people, estimated for nobody but themselves: for tests against their own rows."""
    return _altered(population, lambda group: replace(group, transfer=0 * group.transfer))


def plain(population: Population) -> Population:
    """The normal of the file alone: one spread for light and heavy, however far out."""
    return _altered(
        population, lambda group: replace(group, transfer=0 * group.transfer, frame=None)
    )


def _altered(population: Population, change: Callable[[Group], Group]) -> Population:
    groups = {sex: change(group) for sex, group in population.groups.items()}
    return replace(population, groups=groups)


PLAIN = plain(SURVEY)
SEXES: tuple[Sex | None, ...] = ("female", "male", None)

sexes = st.sampled_from(SEXES)


@st.composite
def likely_measures(draw: st.DrawFn, min_size: int = 0) -> list[Measured]:
    """Measures within four standard deviations of the women's mean, each dimension once."""
    names = draw(st.lists(st.sampled_from(SURVEY.order), unique=True, min_size=min_size))
    group = SURVEY.groups["female"]
    made = []
    for name in names:
        at = SURVEY.index(name)
        z = draw(st.floats(-4, 4))
        value = float(group.mean[at] + z * group.covariance[at, at] ** 0.5)
        made.append(SURVEY.measure(name, value, spread=draw(st.floats(0, 20))))
    return made


any_measures = st.lists(
    st.builds(
        Measured,
        st.sampled_from(SURVEY.order),
        st.floats(allow_nan=False, allow_infinity=False),
        st.floats(min_value=0, allow_nan=False, allow_infinity=False),
        st.booleans(),
    ),
    max_size=5,
)
"""Any finite numbers at all, repeats of a dimension and errors of zero included."""


def file_content(population_id: str) -> dict[str, Any]:
    """What the file of a population says."""
    file = resources.files("consult.body") / "data" / f"{population_id}.json"
    content: dict[str, Any] = json.loads(file.read_text(encoding="utf-8"))
    return content


def marks_of(dimension: str, sex: Sex) -> tuple[str, str]:
    """How mean and spread of a British dimension came into the file."""
    marks = file_content("british_adults")["sources"][dimension][sex]
    return marks["mean"], marks["sd"]
