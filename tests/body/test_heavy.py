"""Heavier than anybody measured: bodies go on growing, and so does the doubt.

No survey of such people is here (common practice, no source).
"""

from __future__ import annotations

from itertools import pairwise

import pytest

from consult.body.estimate import Dimension, estimate
from consult.body.measured import Measured
from tests.body.bodies import SURVEY


def told(weight: float, dimension: str) -> Dimension:
    """A dimension of a woman of 165 cm who weighs this much, kg."""
    measures = [Measured("stature", 1650.0, 12.0), Measured("weight", weight, 2.0)]
    return estimate(SURVEY, measures, "female").dimensions[dimension]


@pytest.mark.parametrize("dimension", ["hip_breadth_sitting", "thigh_clearance"])
def test_both_grow_with_weight(dimension: str) -> None:
    """From 60 to 200 kg every 20 kg more is wider, and less certain."""
    found = [told(float(weight), dimension) for weight in range(60, 201, 20)]
    assert all(a.mean < b.mean for a, b in pairwise(found))
    assert all(a.sd < b.sd for a, b in pairwise(found))


def test_no_giants() -> None:
    """At 180 kg the hips are wider than the survey's widest and narrower than a line would say."""
    group, at = SURVEY.groups["female"], SURVEY.index("hip_breadth_sitting")
    weight = SURVEY.index("weight")
    slope = group.covariance[at, weight] / group.covariance[weight, weight]
    line = group.mean[at] + slope * (180 - group.mean[weight])
    assert 520 < told(180.0, "hip_breadth_sitting").mean < line


def test_the_weight_itself_is_believed() -> None:
    """A weight of 180 kg comes out near 180, not near the heaviest soldier."""
    assert told(180.0, "weight").mean == pytest.approx(180, abs=8)


def test_the_doubt_is_more_than_growth_alone() -> None:
    """Whether bodies follow the line or its logarithm is doubted by half of what lies between.

    By hand, for women's hips at 180 kg: 18 mm given stature and weight, times 180 / 67.8 to the
    power of 0.82, is 40; with the 12 of other populations 42. The rest is that doubt.
    """
    assert 46 < told(180.0, "hip_breadth_sitting").sd < 65


def test_within_the_survey_nothing_changes_at_its_end() -> None:
    """A kilogram on either side of the heaviest measured makes no jump."""
    heaviest = SURVEY.groups["female"].heaviest
    one, other = (told(heaviest + off, "hip_breadth_sitting") for off in (-0.5, 0.5))
    assert other.mean - one.mean < 5
    assert other.sd - one.sd < 1
