"""The chair recommended fits as many real people as it is said to, at desks known and not known.

Statistics are from one half of the survey (Gordon et al. 2014, NATICK/TR-15/007), people from the
other; and with the statistics as they ship, the men of the US Air Force survey of 1967, who are
other people of another time. Stature and weight are told with the error of callers. Whether a chair
fits is judged by the fit test in plain Python of ``slow_choose``, which shares no rule with the
program. Desks are drawn from the stated prior.

In a call everybody is asked their weight. With stature alone told, the chair of the heaviest tenth
is oversold by 9 points at a known desk and by 4 at one not known: that somebody is heavy cannot be
known before it is said, and all people together are stated right (0.6 and 0.4 more than holds).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
import pytest
from numpy.typing import NDArray

from consult.body.estimate import estimate
from consult.body.measured import Measured, Sex
from consult.body.population import Population, load_population
from consult.fit.choose import choose
from consult.fit.request import FitRequest
from consult.fit.workplace import Desk, Workplace, places
from consult.range.parts import CHAIR_KINDS, Part
from tests.fit.slow_choose import Body, fits_one
from tests.long import LONG, in_a_long_run
from tests.published.people import SEXES, demo_range
from tests.published.test_coverage import UNUSUAL, air_force, groups, halves

PEOPLE = 700 if LONG else 110
"""Of each sex: nine in ten of both together are known to two points, in a long run to one."""
ALLOWED = 0.03 if LONG else 0.045
OF_A_GROUP = 0.04
"""Of the people of a group; chance alone is one to two points."""
OVERSOLD = 0.03
NEEDED = (
    "weight",
    "popliteal_height",
    "buttock_popliteal_length",
    "elbow_rest_height",
    "thigh_clearance",
    "hip_breadth_sitting",
)
desks = pytest.mark.parametrize("known", [True, False], ids=["desk known", "desk not known"])


@dataclass(frozen=True, slots=True)
class Sold:
    """What was stated of the chair recommended to each person, and whether it fits."""

    stated: NDArray[np.float64]
    real: NDArray[np.float64]

    def over(self, only: NDArray[np.bool_] | slice = slice(None)) -> float:
        """By how much more is stated than holds."""
        return float(self.stated[only].mean() - self.real[only].mean())


def sold(people: Iterable[Body], population: Population, sex: Sex, *, known: bool) -> Sold:
    """Recommend a chair to each, who tell stature and weight, and try it on their true bodies."""
    rests = [part for part in demo_range().on_sale("footrest") if part.height is not None]
    drawn = places(Workplace(), 4096, 5)
    at_one = np.flatnonzero(drawn.kind < 2)
    noise = np.random.Generator(np.random.PCG64(21)).standard_normal((5000, 2))
    found = []
    for number, body in enumerate(people):
        told = body["weight"] / (1 + population.understated)
        told += population.told_sd("weight", body["weight"]) * noise[number, 1]
        stature = Measured("stature", body["stature"] + 12 * noise[number, 0], 12.0)
        made = estimate(population, [stature, population.weight_told(told)], sex)
        at = int(at_one[7 * number % len(at_one)])
        low, high = float(drawn.lowest[at]), float(drawn.highest[at])
        thick = float(drawn.thickness[at])
        fixed = drawn.kind[at] == 0
        desk = Desk("fixed", low, thick) if fixed else Desk("adjustable", None, thick, low, high)
        place = Workplace(desk, heel=float(drawn.heel[at]))
        seen = place if known else Workplace()
        best = choose(FitRequest(demo_range(), made, seen, open_places=True, n=600)).best
        assert best is not None
        chair = tuple(best.parts[kind] for kind in CHAIR_KINDS[:-1])
        true = {name: body[name] for name in NEEDED}
        under = [best.parts.get("footrest")]
        if not known and not fits_one(any_lift(chair), None, true, place):
            # One that the desk calls for, or legs too short for every chair, is added later.
            under += rests
        found.append((best.p_fits, any(fits_one(chair, rest, true, place) for rest in under)))
    stated, real = np.array(found, np.float64).T
    return Sold(stated, real)


def any_lift(chair: tuple[Part, ...]) -> tuple[Part, ...]:
    """The chair with a gas lift from the lowest seat of the range up to any desk."""
    seat, lift, back, lumbar, arms, castors = chair
    reach = (demo_range().reach().seat_height[0], 1000.0)
    lift = replace(lift, seat_height=reach, stated="loaded")
    return seat, lift, back, lumbar, arms, replace(castors, adds=0.0)


def of_the_survey(sex: Sex, known: bool, seed: int = 11, group: str = "") -> Sold:
    """People of one half with the statistics of the other; all of them, or those of a group."""
    population, people = halves(sex, seed)
    who = people[groups(sex, seed)[group]] if group else people[:PEOPLE]
    bodies = [dict(zip(population.order, one.tolist(), strict=True)) for one in who]
    return sold(bodies, population, sex, known=known)


def over(parts: Sequence[Sold]) -> float:
    """By how much more is stated than holds of all of them together."""
    stated, real = (np.concatenate([getattr(one, w) for one in parts]) for w in ("stated", "real"))
    return Sold(stated, real).over()


@desks
def test_the_chair_recommended_fits_as_stated(known: bool) -> None:
    """Stated and real lie within what the number of people can tell of three points."""
    each = [of_the_survey(sex, known) for sex in SEXES]
    assert over(each) == pytest.approx(0.0, abs=ALLOWED)
    for one in each:
        assert 0.8 < one.real.mean() < 0.995
        assert one.over() == pytest.approx(0.0, abs=1.5 * ALLOWED)


@in_a_long_run
@desks
@pytest.mark.parametrize("group", UNUSUAL)
def test_in_every_group(group: str, known: bool) -> None:
    """The unusual by weight and stature: within four points, in four halvings of the survey.

    Measured, a desk known and not known: the heaviest 0.8 and 0.2 less, the lightest 0.9 more and
    2.2 less, the shortest 1.1 more and 1.9 less, the tallest 0.5 less and 0.6 more.
    """
    halvings = [(sex, seed) for sex in SEXES for seed in (11, 31, 51, 71)]
    each = [of_the_survey(sex, known, seed, group) for sex, seed in halvings]
    assert over(each) == pytest.approx(0.0, abs=OF_A_GROUP)


@desks
def test_men_of_1967_are_never_oversold(known: bool) -> None:
    """Of people no statistics were taken from, at most three points more are promised than fit.

    Measured of all 1,210: 0.4 more at a known desk, 0.9 less at one not known. In no tenth by
    weight or stature more than 3.1, of which chance alone is 2. No women were measured.
    """
    men = air_force()[:: 1 if LONG else 6]
    found = sold(men, load_population(), "male", known=known)
    assert found.over() <= OVERSOLD
    assert found.real.mean() > 0.9
    if LONG:
        for dimension in ("weight", "stature"):
            values = np.array([man[dimension] for man in men])
            for low, high in ((0.0, 0.1), (0.9, 1.0)):
                ends = np.quantile(values, [low, high])
                only = (ends[0] <= values) & (values <= ends[1])
                assert found.over(only) <= OF_A_GROUP, dimension
