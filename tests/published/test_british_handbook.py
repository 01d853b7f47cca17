"""The British population against the handbook tables it is taken from.

S. Pheasant, Bodyspace, 2nd edition 1996, British adults 19 to 65. Each value has a mark: L read on
a page that reproduces the handbook (City University of Hong Kong, course pages on anthropometry),
M from memory. What the handbook does not have is computed from the survey.
"""

from __future__ import annotations

from statistics import NormalDist
from typing import NamedTuple

import numpy as np
import pytest

from consult.body.estimate import estimate
from consult.body.measured import Sex
from consult.body.population_file import load_named
from tests.body.bodies import plain

BRITISH, SURVEY = plain(load_named("british_adults")), plain(load_named("us_army_2012"))
SEXES: tuple[Sex, ...] = ("female", "male")
MARKS = {"L": "looked up", "M": "from memory", "C": "computed"}
Z95 = NormalDist().inv_cdf(0.95)


class Row(NamedTuple):
    """One row of the handbook, mm (weight kg)."""

    dimension: str
    sex: Sex
    low: float
    middle: float
    high: float
    sd: float | None
    marks: str
    """Of the percentiles, then of the standard deviation."""


# Men and women; weight from memory, kg. Hand breadth to the nearest 5 mm and without a standard
# deviation.
ROWS = [
    Row("stature", "male", 1625, 1740, 1855, 70, "LL"),
    Row("stature", "female", 1505, 1610, 1710, 62, "LL"),
    Row("sitting_height", "male", 850, 910, 965, 36, "LL"),
    Row("sitting_height", "female", 795, 850, 910, 35, "LM"),
    Row("eye_height_sitting", "male", 735, 790, 845, 35, "MM"),
    Row("eye_height_sitting", "female", 685, 740, 795, 33, "MM"),
    Row("elbow_rest_height", "male", 195, 245, 295, 31, "LL"),
    Row("elbow_rest_height", "female", 185, 235, 280, 29, "LL"),
    Row("thigh_clearance", "male", 135, 160, 185, 15, "LL"),
    Row("thigh_clearance", "female", 125, 155, 180, 17, "MM"),
    Row("buttock_popliteal_length", "male", 440, 495, 550, 32, "LM"),
    Row("buttock_popliteal_length", "female", 435, 480, 530, 30, "LM"),
    Row("knee_height_sitting", "male", 490, 545, 595, 32, "LL"),
    Row("knee_height_sitting", "female", 455, 500, 540, 27, "MM"),
    Row("popliteal_height", "male", 395, 440, 490, 29, "LL"),
    Row("popliteal_height", "female", 355, 400, 445, 27, "LM"),
    Row("hip_breadth_sitting", "male", 310, 360, 405, 29, "LL"),
    Row("hip_breadth_sitting", "female", 310, 370, 435, 38, "LL"),
    Row("hand_breadth", "male", 80, 85, 95, None, "LC"),
    Row("hand_breadth", "female", 70, 75, 85, None, "LC"),
    Row("weight", "male", 55, 75, 94, 12, "MM"),
    Row("weight", "female", 44, 63, 81, 11, "MM"),
]
BY_NAME = {f"{row.dimension}-{row.sex}-{row.marks}": row for row in ROWS}
COMPUTED = ("acromion_radiale_length", "forearm_forearm_breadth")

rows = pytest.mark.parametrize("row", BY_NAME.values(), ids=BY_NAME.keys())


def test_every_dimension_is_checked_here() -> None:
    """Each dimension is a row of the handbook or is computed, for both sexes."""
    checked = {(row.dimension, row.sex) for row in ROWS}
    checked |= {(name, sex) for name in COMPUTED for sex in SEXES}
    assert checked == {(name, sex) for name in BRITISH.order for sex in SEXES}


@rows
def test_percentiles_are_the_handbooks(row: Row) -> None:
    """The 5th, 50th and 95th percentile estimated with nothing measured are the handbook's.

    Within 5 mm: the handbook rounds to 5 mm, and so may be up to 2.5 mm off at each of two
    values that its normal curve joins. Weight within 1 kg.
    """
    made = estimate(BRITISH, [], row.sex).dimensions[row.dimension]
    within = 1 if BRITISH.unit(row.dimension) == "kg" else 5
    assert made.mean == row.middle
    assert made.low == pytest.approx(row.low, abs=within)
    assert made.high == pytest.approx(row.high, abs=within)


@rows
def test_spread_is_the_handbooks(row: Row) -> None:
    """The standard deviation is the handbook's, or its 5th to 95th percentile over 3.29."""
    made = estimate(BRITISH, [], row.sex).dimensions[row.dimension]
    expected = (row.high - row.low) / (2 * Z95) if row.sd is None else row.sd
    assert made.sd == pytest.approx(expected, abs=0.005)


@rows
def test_marks_are_the_sheets(row: Row) -> None:
    """The file says of each number what the mark above says: looked up, from memory or computed."""
    marks = BRITISH.origins[row.dimension].marks[row.sex]
    assert marks == tuple(MARKS[mark] for mark in row.marks)


@pytest.mark.parametrize("sex", SEXES)
@pytest.mark.parametrize("dimension", COMPUTED)
def test_what_the_handbook_lacks_follows_from_stature_and_weight(dimension: str, sex: Sex) -> None:
    """Mean and spread are the survey's regression at British stature and weight.

    Computed from the survey (Gordon et al. 2014) and, for the British, the rows above.
    Whether the file is consistent, not whether it is right: nobody measured these.
    """
    survey, british, at = SURVEY.groups[sex], BRITISH.groups[sex], SURVEY.index(dimension)
    known = [SURVEY.index("stature"), SURVEY.index("weight")]
    within = np.ix_(known, known)
    slope = np.linalg.solve(survey.covariance[within], survey.covariance[known, at])
    mean = survey.mean[at] + slope @ (british.mean[known] - survey.mean[known])
    left = survey.covariance[at, at] - slope @ survey.covariance[known, at]
    sd = float(left + slope @ british.covariance[within] @ slope) ** 0.5
    made = estimate(BRITISH, [], sex).dimensions[dimension]
    assert made.mean == pytest.approx(float(mean), abs=0.051)
    assert made.sd == pytest.approx(sd, abs=0.051)
    assert BRITISH.origins[dimension].marks[sex] == ("computed", "computed")


@pytest.mark.parametrize("sex", SEXES)
def test_correlations_are_the_surveys(sex: Sex) -> None:
    """How the dimensions go together is the US Army survey's, unchanged (Gordon et al. 2014).

    Whether the file is consistent, not whether it is right: the handbook has no correlations.
    """
    british, survey = (
        group.covariance / np.sqrt(np.outer(np.diag(group.covariance), np.diag(group.covariance)))
        for group in (BRITISH.groups[sex], SURVEY.groups[sex])
    )
    assert np.allclose(british, survey, atol=1e-9)


@pytest.mark.parametrize(("sex", "gap"), [("male", 85), ("female", 80)])
def test_elbow_to_thigh_gap(sex: Sex, gap: float) -> None:
    """The average gap from elbow to thigh is 80 to 85 mm.

    Bodyspace p. 96, read; 85 for men and 80 for women, by hand from the rows above.
    """
    made = estimate(BRITISH, [], sex).dimensions
    assert made["elbow_rest_height"].mean - made["thigh_clearance"].mean == gap


def test_what_the_population_does_not_speak_for_is_said() -> None:
    """Name, source and caution admit the age, the soldiers' correlations and the estimates."""
    assert "1980s" in BRITISH.name
    assert "US Army" in BRITISH.name
    assert "Correlations: the 2012 US Army" in BRITISH.compiled
    assert "from memory" in BRITISH.compiled
    # The figures are of the 1980s, and most are ratio-scaled (Bodyspace ch. 2, as reported).
    assert "heavier" in BRITISH.caution
    assert "estimated" in BRITISH.caution
    assert "US soldiers" in BRITISH.caution
