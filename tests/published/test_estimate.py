"""The body estimate against real people of the survey and against another nation's averages."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from consult.body.estimate import estimate
from consult.body.measured import Measured, Sex
from consult.body.population import load_population
from tests.body.bodies import without_transfer
from tests.long import every_case
from tests.published.people import rows

SURVEY = without_transfer(load_population())
SEXES: tuple[Sex, ...] = ("female", "male")


@cache
def covered(sex: Sex) -> dict[str, float]:
    """Share of real people inside the 90 % interval from their exact stature, per dimension."""
    people = rows(sex)
    stature = SURVEY.index("stature")
    inside = np.zeros(people.shape)
    for at, person in enumerate(people):
        made = estimate(SURVEY, [Measured("stature", float(person[stature]), 0.0)], sex)
        told = made.dimensions.values()
        inside[at] = [one.low <= value <= one.high for one, value in zip(told, person, strict=True)]
    return dict(zip(SURVEY.order, inside.mean(axis=0).tolist(), strict=True))


@pytest.mark.parametrize("sex", SEXES)
def test_rows_and_summary_are_the_same_survey(sex: Sex) -> None:
    """Means and covariances recomputed from the rows (Gordon et al. 2014) are the file's."""
    people = rows(sex)
    group = SURVEY.groups[sex]
    assert len(people) == group.n
    assert np.allclose(people.mean(axis=0), group.mean, atol=1e-3)
    assert np.allclose(np.cov(people.T), group.covariance, rtol=2e-4, atol=0.05)


@pytest.mark.parametrize("sex", SEXES)
@pytest.mark.parametrize("dimension", [name for name in SURVEY.order if name != "stature"])
def test_nine_real_people_in_ten_lie_in_the_interval(sex: Sex, dimension: str) -> None:
    """From stature and sex, 88 to 92 % of the survey's people are inside the 5-95 % interval."""
    assert 0.88 <= covered(sex)[dimension] <= 0.92


@every_case([name for name in SURVEY.order if name != "stature"])
def test_interval_holds_where_the_sex_is_not_stated(dimension: str) -> None:
    """From stature alone, about nine in ten of as many women as men are inside.

    Looser than for a stated sex, 86 to 94 %: some 670 people only, drawn to equal shares.
    """
    at, inside = SURVEY.index(dimension), []
    for sex in SEXES:
        for person in rows(sex)[:: {"female": 6, "male": 12}[sex]]:
            low, high = _mixture(float(person[0]))[dimension]
            inside.append(low <= person[at] <= high)
    assert 0.86 <= float(np.mean(inside)) <= 0.94


@cache
def _mixture(stature: float) -> dict[str, tuple[float, float]]:
    made = estimate(SURVEY, [Measured("stature", stature, 0.0)], None)
    return {name: (one.low, one.high) for name, one in made.dimensions.items()}


# Pheasant, Bodyspace, 2nd edition 1996: British adults' 50th percentiles, those read in pages that
# reproduce it (City University of Hong Kong, course pages on anthropometry) only.
BRITISH: list[tuple[Sex, float, dict[str, float]]] = [
    (
        "male",
        1740,
        {
            "sitting_height": 910,
            "elbow_rest_height": 245,
            "buttock_popliteal_length": 495,
            "knee_height_sitting": 545,
            "popliteal_height": 440,
        },
    ),
    (
        "female",
        1610,
        {
            "sitting_height": 850,
            "elbow_rest_height": 235,
            "buttock_popliteal_length": 480,
            "popliteal_height": 400,
        },
    ),
]


@pytest.mark.parametrize(("sex", "stature", "others"), BRITISH)
def test_british_average_follows_from_british_stature(
    sex: Sex, stature: float, others: dict[str, float]
) -> None:
    """Someone of average British stature is estimated within 20 mm of the British averages.

    20 mm, not less: Bodyspace rounds to 5 mm, scales most values by ratio, and measures the lower
    leg to another landmark.
    """
    made = estimate(SURVEY, [Measured("stature", stature, 0.0)], sex).dimensions
    for dimension, expected in others.items():
        assert made[dimension].mean == pytest.approx(expected, abs=20)
        assert made[dimension].low < expected < made[dimension].high


def test_remembered_stature_is_less_by_what_people_overstate() -> None:
    """Adults overstate their stature by about 25 mm (City University of Hong Kong, course pages on
    anthropometry, chapter 2-1, note)."""
    assert SURVEY.stature_remembered(1750.0).value == 1725.0


@pytest.mark.parametrize("sex", SEXES)
def test_percentiles_do_not_add(sex: Sex) -> None:
    """A person of 5th percentile stature is not 5th percentile everywhere (no source)."""
    told = estimate(SURVEY, [], sex).dimensions
    short = estimate(SURVEY, [Measured("stature", told["stature"].low, 0.0)], sex).dimensions
    for dimension in SURVEY.order[1:]:
        assert short[dimension].mean > told[dimension].low
