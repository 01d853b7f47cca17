"""The survey that ships, against the published facts about the people in it.

Gordon et al. 2014, NATICK/TR-15/007, computed from the public data files of that survey; Pheasant,
Bodyspace, 2nd edition 1996.
"""

from __future__ import annotations

import json
from importlib import resources
from statistics import NormalDist
from typing import Any

import numpy as np
import pytest

from consult.body.measured import Sex
from consult.body.population import load_population
from tests.long import every_case

SURVEY = load_population()
SEXES: tuple[Sex, ...] = ("female", "male")
CONTENT: dict[str, Any] = json.loads(
    (resources.files("consult.body") / "data" / "us_army_2012.json").read_text(encoding="utf-8")
)

# Computed from the public data files of Gordon et al. 2014: mean, SD, 5th, 50th and 95th
# percentile; mm, weight in kg.
LINES: dict[tuple[str, Sex], tuple[float, float, float, float, float]] = {
    ("stature", "male"): (1756.2, 68.6, 1648, 1755, 1870),
    ("stature", "female"): (1628.5, 64.2, 1525, 1626, 1740),
    ("weight", "male"): (85.5, 14.2, 64, 85, 111),
    ("weight", "female"): (67.8, 11.0, 51, 67, 87),
    ("popliteal_height", "male"): (429.8, 24.8, 390, 430, 471),
    ("popliteal_height", "female"): (388.2, 23.6, 350, 387, 428),
    ("buttock_popliteal_length", "male"): (502.9, 27.4, 459, 502, 548),
    ("buttock_popliteal_length", "female"): (485.1, 28.7, 441, 483, 535),
    ("elbow_rest_height", "male"): (245.0, 28.7, 197, 246, 291),
    ("elbow_rest_height", "female"): (232.4, 26.3, 189, 233, 276),
    ("thigh_clearance", "male"): (180.5, 15.6, 157, 180, 207),
    ("thigh_clearance", "female"): (167.9, 14.1, 145, 167, 191),
    ("hip_breadth_sitting", "male"): (379.3, 30.2, 333, 378, 431),
    ("hip_breadth_sitting", "female"): (399.0, 32.7, 348, 397, 456),
    ("eye_height_sitting", "male"): (804.5, 33.2, 750, 804, 860),
    ("eye_height_sitting", "female"): (747.7, 30.4, 698, 748, 799),
    ("knee_height_sitting", "male"): (554.2, 27.9, 509, 553, 602),
    ("knee_height_sitting", "female"): (511.3, 27.1, 469, 510, 557),
    ("sitting_height", "male"): (918.3, 35.7, 860, 918, 977),
    ("sitting_height", "female"): (856.6, 33.1, 803, 857, 912),
    ("forearm_forearm_breadth", "male"): (579.9, 50.9, 497, 579, 667),
    ("forearm_forearm_breadth", "female"): (494.8, 41.0, 432, 492, 564),
    ("hand_breadth", "male"): (88.3, 4.4, 81, 88, 96),
    ("hand_breadth", "female"): (78.2, 3.8, 72, 78, 85),
}


def of(dimension: str, sex: Sex) -> tuple[float, float]:
    """Mean and SD that the program estimates from."""
    group, at = SURVEY.groups[sex], SURVEY.index(dimension)
    return float(group.mean[at]), float(group.covariance[at, at] ** 0.5)


@pytest.mark.parametrize("sex", SEXES)
def test_number_of_people(sex: Sex) -> None:
    """1986 women and 4082 men were measured (Gordon et al. 2014)."""
    assert SURVEY.groups[sex].n == {"female": 1986, "male": 4082}[sex]


@every_case(LINES)
def test_mean_and_sd_are_the_published_line(dimension: str, sex: Sex) -> None:
    """Mean and SD agree with the lines above to their last digit."""
    mean, sd = of(dimension, sex)
    assert mean == pytest.approx(LINES[dimension, sex][0], abs=0.051)
    assert sd == pytest.approx(LINES[dimension, sex][1], abs=0.06)


@every_case(LINES)
def test_percentiles_in_the_file_are_the_published_line(dimension: str, sex: Sex) -> None:
    """The percentiles kept in the file are those of the lines above, rounded to whole units."""
    printed = LINES[dimension, sex][2:]
    at = SURVEY.index(dimension)
    table = CONTENT["groups"][sex]["percentiles"]
    for expected, name in zip(printed, ("5", "50", "95"), strict=True):
        assert table[name][at] == pytest.approx(expected, abs=0.51)


@every_case(LINES)
def test_a_normal_is_a_fair_model_of_each_line(dimension: str, sex: Sex) -> None:
    """Normal 5/50/95 from mean and SD lie within 0.12 SD of the published percentiles.

    Weight is the exception: it is skewed to the heavy side, so 0.25 SD is allowed there.
    """
    mean, sd = of(dimension, sex)
    allowed = (0.25 if dimension == "weight" else 0.12) * sd + 0.5  # half a printed unit
    for chance, expected in zip((0.05, 0.5, 0.95), LINES[dimension, sex][2:], strict=True):
        assert NormalDist(mean, sd).inv_cdf(chance) == pytest.approx(expected, abs=allowed)


@pytest.mark.parametrize(
    ("sex", "elbow", "thigh", "gap"), [("male", 245, 160, 85), ("female", 235, 155, 80)]
)
def test_british_elbow_thigh_gap_is_usual_here_too(
    sex: Sex, elbow: float, thigh: float, gap: float
) -> None:
    """P4: Bodyspace p.96 states an elbow to thigh gap of 80 to 85 on average, often much less.

    A check of sense across nations and decades: the British average gap must be an ordinary gap
    here, and the average gap here smaller, since these thighs are thicker.
    """
    assert elbow - thigh == gap
    group = SURVEY.groups[sex]
    pick = np.zeros(len(SURVEY.order))
    pick[SURVEY.index("elbow_rest_height")] = 1
    pick[SURVEY.index("thigh_clearance")] = -1
    here = NormalDist(float(pick @ group.mean), float(pick @ group.covariance @ pick) ** 0.5)
    assert here.inv_cdf(0.05) < gap < here.inv_cdf(0.95)
    assert 50 < here.mean < gap


@pytest.mark.parametrize("sex", SEXES)
def test_parts_add_up_as_they_do_in_bodies(sex: Sex) -> None:
    """Eyes below the crown, hollow of the knee below the knee top (common practice, no source)."""
    mean = dict(zip(SURVEY.order, SURVEY.groups[sex].mean.tolist(), strict=True))
    assert 90 < mean["sitting_height"] - mean["eye_height_sitting"] < 130
    assert 100 < mean["knee_height_sitting"] - mean["popliteal_height"] < 140
    assert 0.5 < mean["sitting_height"] / mean["stature"] < 0.55


@pytest.mark.parametrize(
    ("mean", "less", "source"),
    [
        (71.0, 2.1, "women, England 2011 to 2016, medRxiv 2022.01.28.22270014; mean from memory"),
        (84.0, 1.5, "men, the same"),
        (75.0, 0.56, "US, McAdams et al. 2007, Obesity 15:188; mean from memory"),
    ],
)
def test_told_weight_is_understated_as_surveys_find(mean: float, less: float, source: str) -> None:
    """What people weigh over what they say lies within one kilogram of each survey's finding."""
    assert source
    told = SURVEY.weight_told(mean - less)
    assert told.value == pytest.approx(mean, abs=1.3)
    # Hardly anybody who is asked is out by more than three standard deviations.
    assert 2.0 < told.sd < 4.5
