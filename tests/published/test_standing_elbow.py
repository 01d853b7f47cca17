"""The standing elbow height that is made of sitting dimensions, against measured ones."""

from __future__ import annotations

import pytest

from consult.body.derived import with_derived
from consult.body.measured import Sex
from consult.body.population import load_population

BONE = 15.0
"""mm that the bony landmark is above the underside of the bent elbow (``city_u_anthropometry``,
chapter 2, page 4)."""


@pytest.mark.parametrize(
    ("sex", "stature", "elbow", "sd"),
    [
        # British adults of 19 to 65, medians and SD of the bony landmark: Pheasant, Bodyspace; the
        # statures from the page on stature beside it, the elbow heights from memory.
        ("male", 1740.0, 1090.0, 52.0),
        ("female", 1610.0, 1005.0, 46.0),
    ],
)
def test_it_is_near_what_was_measured(sex: Sex, stature: float, elbow: float, sd: float) -> None:
    """At the same stature within 25 mm of the median, and as widely spread within a fifth."""
    people = with_derived(load_population(), ("elbow_height_standing",))
    group = people.groups[sex]
    tall, at = people.index("stature"), people.index("elbow_height_standing")
    slope = group.covariance[at, tall] / group.covariance[tall, tall]
    made = group.mean[at] + slope * (stature - group.mean[tall])
    assert made + BONE == pytest.approx(elbow, abs=25)
    assert group.covariance[at, at] ** 0.5 == pytest.approx(sd, rel=0.2)
