"""The estimate of the whole body, against other formulas and its own properties.

Heavier than anybody measured, bodies go on growing, and so does the doubt: no survey of such people
is here (common practice, no source).
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import pytest
import scipy  # type: ignore[import-untyped]
from hypothesis import given, settings
from hypothesis import strategies as st

from consult.body.estimate import NEARLY_EXACT, Dimension, as_if, estimate
from consult.body.measured import Measured, Sex
from tests.body.bodies import PLAIN as SURVEY
from tests.body.bodies import SEXES, any_measures, likely_measures, sexes
from tests.body.bodies import SURVEY as GROWING
from tests.long import examples

STATURE_AND_WEIGHT = (SURVEY.measure("stature", 1550.0), SURVEY.measure("weight", 60.0))
ONE_SEX: tuple[Sex, ...] = ("female", "male")


def by_precision(measures: Sequence[Measured], sex: Sex) -> tuple[np.ndarray, np.ndarray]:
    """The posterior by the information form: precisions add, one measure at a time."""
    group = SURVEY.groups[sex]
    precision = np.linalg.inv(group.covariance)
    pull = precision @ group.mean
    for one in measures:
        at = SURVEY.index(one.dimension)
        precision[at, at] += one.sd**-2
        pull[at] += one.value / one.sd**2
    covariance = np.linalg.inv(precision)
    return covariance @ pull, covariance


@settings(deadline=None, max_examples=examples(60))
@given(likely_measures(), st.sampled_from(ONE_SEX))
def test_agrees_with_the_information_form(measures: list[Measured], sex: Sex) -> None:
    """Gain form and information form are the same posterior, repeats included."""
    measures = measures + measures[:2]
    made = estimate(SURVEY, measures, sex).components[0]
    mean, covariance = by_precision(measures, sex)
    assert np.allclose(made.mean, mean, atol=1e-5)
    assert np.allclose(made.covariance, covariance, atol=1e-5)


def test_agrees_with_regression_on_drawn_people() -> None:
    """Least squares on 200,000 drawn people with noisy readings finds the same line and spread."""
    rng = np.random.default_rng(7)
    group = SURVEY.groups["male"]
    people = rng.multivariate_normal(group.mean, group.covariance, 200_000)
    readings = people[:, :2] + rng.normal(0, [12.0, 2.0], (200_000, 2))
    leg = people[:, SURVEY.index("popliteal_height")]
    table = np.column_stack([np.ones(len(people)), readings])
    line, *_ = np.linalg.lstsq(table, leg, rcond=None)
    residual_sd = float(np.std(leg - table @ line))
    made = estimate(
        SURVEY, [SURVEY.measure("stature", 1820.0), SURVEY.measure("weight", 95.0)], "male"
    ).dimensions["popliteal_height"]
    assert made.mean == pytest.approx(float(line @ [1, 1820, 95]), abs=0.5)
    assert made.sd == pytest.approx(residual_sd, rel=0.01)


@pytest.mark.parametrize(("stature", "weight"), [(1550.0, 55.0), (1690.0, 75.0), (1900.0, 95.0)])
def test_sexes_are_weighed_by_likelihood(stature: float, weight: float) -> None:
    """Mixture weights are share times scipy's normal density of the readings."""
    measures = [SURVEY.measure("stature", stature), SURVEY.measure("weight", weight)]
    density = {}
    for sex in ONE_SEX:
        group = SURVEY.groups[sex]
        spread = group.covariance[:2, :2] + np.diag([12.0**2, 2.0**2])
        density[sex] = scipy.stats.multivariate_normal(group.mean[:2], spread).logpdf(
            [stature, weight]
        )
    odds = np.exp(density["female"] - density["male"])
    made = {one.group: one.weight for one in estimate(SURVEY, measures, None).components}
    assert made["female"] == pytest.approx(odds / (1 + odds), rel=1e-9)
    assert sum(made.values()) == pytest.approx(1)


def test_mixture_moments_and_interval_hold_for_drawn_bodies() -> None:
    """Bodies drawn from the components have the mean, spread and interval that are reported."""
    made = estimate(SURVEY, [SURVEY.measure("stature", 1690.0)], None)
    rng = np.random.default_rng(3)
    drawn = np.concatenate(
        [
            rng.multivariate_normal(one.mean, one.covariance, round(one.weight * 200_000))
            for one in made.components
        ]
    )
    for at, name in enumerate(SURVEY.order):
        told = made.dimensions[name]
        assert told.mean == pytest.approx(float(drawn[:, at].mean()), rel=0.005)
        assert told.sd == pytest.approx(float(drawn[:, at].std()), rel=0.02)
        assert np.mean(drawn[:, at] < told.low) == pytest.approx(0.05, abs=0.004)
        assert np.mean(drawn[:, at] > told.high) == pytest.approx(0.05, abs=0.004)


@pytest.mark.parametrize("sex", ONE_SEX)
def test_mixture_of_one_sex_is_that_sex(sex: Sex) -> None:
    """Where the measures leave no doubt of the sex, not stating it changes nothing."""
    at = {"female": (1450.0, 45.0), "male": (2000.0, 100.0)}[sex]
    measures = [SURVEY.measure("stature", at[0]), SURVEY.measure("weight", at[1])]
    # Hands differ most between the sexes and settle it.
    measures.append(Measured("hand_breadth", 66.0 if sex == "female" else 105.0, 0.5))
    stated, unstated = estimate(SURVEY, measures, sex), estimate(SURVEY, measures, None)
    for name in SURVEY.order:
        assert unstated.dimensions[name].mean == pytest.approx(
            stated.dimensions[name].mean, abs=0.2
        )
        assert unstated.dimensions[name].low == pytest.approx(stated.dimensions[name].low, abs=0.2)


@settings(deadline=None, max_examples=examples(60))
@given(likely_measures(min_size=1), st.sampled_from(ONE_SEX))
def test_one_more_measure_never_makes_less_sure(measures: list[Measured], sex: Sex) -> None:
    """For a stated sex, no dimension's spread grows when a measure is added."""
    before = estimate(SURVEY, measures[:-1], sex)
    after = estimate(SURVEY, measures, sex)
    for name in SURVEY.order:
        assert after.dimensions[name].sd <= before.dimensions[name].sd + 1e-9


@settings(deadline=None, max_examples=examples(60))
@given(st.sampled_from(SURVEY.order), st.floats(0.8, 1.2), sexes, st.sampled_from([0.0, 0.01]))
def test_an_exact_measure_pins_its_dimension(
    name: str, factor: float, sex: Sex | None, sd: float
) -> None:
    """A measure without error is believed, whatever the population says."""
    value = factor * float(SURVEY.groups["female"].mean[SURVEY.index(name)])
    told = estimate(SURVEY, [Measured(name, value, sd)], sex).dimensions[name]
    assert told.mean == pytest.approx(value, abs=0.01)
    assert told.sd < 0.011


@settings(deadline=None, max_examples=examples(40))
@given(likely_measures(), sexes, st.randoms(use_true_random=False))
def test_order_of_measures_does_not_matter(
    measures: list[Measured], sex: Sex | None, random: object
) -> None:
    """The same measures heard in another order give the same numbers to the last digit."""
    measures = measures + measures[:1]
    shuffled = list(measures)
    random.shuffle(shuffled)  # type: ignore[attr-defined]
    assert estimate(SURVEY, measures, sex).dimensions == estimate(SURVEY, shuffled, sex).dimensions


@settings(deadline=None, max_examples=examples(150))
@given(any_measures, sexes)
def test_every_number_is_finite_for_any_input(measures: list[Measured], sex: Sex | None) -> None:
    """Absurd values, repeats and errors of zero still give finite, ordered, possible numbers."""
    made = estimate(SURVEY, measures, sex)
    for told in made.dimensions.values():
        assert np.isfinite([told.mean, told.sd, told.low, told.high]).all()
        assert told.low <= told.high
        assert told.sd > 0
    for one in made.components:
        assert 0 <= one.weight <= 1
        assert np.array_equal(one.covariance, one.covariance.T)
        assert np.linalg.eigvalsh(one.covariance).min() > -1e-8


def test_repeats_of_a_dimension_are_averaged_by_their_precision() -> None:
    """Two readings count as one at their mean with the error of a mean."""
    twice = [Measured("popliteal_height", 400.0, 15.0), Measured("popliteal_height", 420.0, 15.0)]
    once = [Measured("popliteal_height", 410.0, 15.0 / 2**0.5)]
    for sex in SEXES:
        first, second = (estimate(SURVEY, some, sex).dimensions for some in (twice, once))
        for name in SURVEY.order:
            assert first[name].mean == pytest.approx(second[name].mean)
            assert first[name].high == pytest.approx(second[name].high)


def test_a_vague_measure_moves_less_than_a_sure_one() -> None:
    """Measurement error draws the estimate back towards the population."""
    sure = estimate(SURVEY, [Measured("popliteal_height", 450.0, 1.0)], "female")
    vague = estimate(SURVEY, [Measured("popliteal_height", 450.0, 30.0)], "female")
    assert 388.2 < vague.dimensions["popliteal_height"].mean < 420
    assert sure.dimensions["popliteal_height"].mean > 449


def test_nothing_measured_is_the_population() -> None:
    """Before any measure the estimate is the survey itself, and says so."""
    told = estimate(SURVEY, [], "female").dimensions["stature"]
    assert told.mean == pytest.approx(1628.473)
    assert told.sd == pytest.approx(64.2)
    assert told.low == pytest.approx(1628.473 - 1.644854 * 64.2, abs=0.01)
    assert told.origin == "estimated from the population alone"


def test_origin_says_what_it_was_estimated_from() -> None:
    """Each dimension says 'measured' or names the measures behind it in plain words."""
    made = estimate(SURVEY, STATURE_AND_WEIGHT[::-1], None)
    assert made.population == "US Army personnel, 2012"
    assert made.dimensions["stature"].origin == "measured"
    assert made.dimensions["popliteal_height"].origin == "estimated from stature and weight"
    knee = SURVEY.measure("knee_height_sitting", 480.0)
    three = estimate(SURVEY, [*STATURE_AND_WEIGHT, knee], None)
    expected = "estimated from stature, weight and knee height"
    assert three.dimensions["popliteal_height"].origin == expected
    assert (three.used[:2], three.set_aside) == (STATURE_AND_WEIGHT, ())


@pytest.mark.parametrize(
    ("measured", "expected"),
    [
        (Measured("stature", float("nan"), 12.0), "not a measure"),
        (Measured("stature", float("inf"), 12.0), "not a measure"),
        (Measured("stature", 1700.0, float("nan")), "measurement error"),
        (Measured("stature", 1700.0, -1.0), "measurement error"),
        (Measured("statur", 1700.0, 12.0), "Did you mean 'stature'"),
    ],
)
def test_what_cannot_be_read_is_refused_in_words(measured: Measured, expected: str) -> None:
    """No number, a negative error and an unknown dimension are refused in plain English."""
    with pytest.raises(ValueError, match=expected):
        estimate(SURVEY, [measured], None)


def test_repeats_in_any_order() -> None:
    """The order in which a measure was told again cannot change the last digit."""
    told = [Measured("popliteal_height", 400 + 10 / 3**at, 7.0 + at / 3) for at in range(5)]
    found = {
        tuple(one.mean for one in estimate(SURVEY, order, "female").dimensions.values())
        for order in itertools.permutations(told)
    }
    assert len(found) == 1


def told(weight: float, dimension: str) -> Dimension:
    """A dimension of a woman of 165 cm who weighs this much, kg."""
    measures = [Measured("stature", 1650.0, 12.0), Measured("weight", weight, 2.0)]
    return estimate(GROWING, measures, "female").dimensions[dimension]


@pytest.mark.parametrize("dimension", ["hip_breadth_sitting", "thigh_clearance"])
def test_both_grow_with_weight(dimension: str) -> None:
    """From 60 to 200 kg every 20 kg more is wider, and less certain."""
    found = [told(float(weight), dimension) for weight in range(60, 201, 20)]
    assert all(a.mean < b.mean for a, b in pairwise(found))
    assert all(a.sd < b.sd for a, b in pairwise(found))


def test_no_giants() -> None:
    """At 180 kg the hips are wider than the survey's widest and narrower than a line would say."""
    group, at = GROWING.groups["female"], GROWING.index("hip_breadth_sitting")
    weight = GROWING.index("weight")
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
    heaviest = GROWING.groups["female"].heaviest
    one, other = (told(heaviest + off, "hip_breadth_sitting") for off in (-0.5, 0.5))
    assert other.mean - one.mean < 5
    assert other.sd - one.sd < 1


@pytest.mark.parametrize("dimension", ["popliteal_height", "hip_breadth_sitting"])
@pytest.mark.parametrize("sex", [None, "female"])
def test_as_if_is_the_estimate_with_one_more_measure(dimension: str, sex: Sex | None) -> None:
    """Against the estimate itself, told the same nearly exact measure along with the others."""
    heard = [Measured("stature", 1700.0, 12.0), Measured("popliteal_height", 420.0, 9.0)]
    more = Measured(dimension, 435.0, NEARLY_EXACT)
    found = as_if(estimate(SURVEY, heard, sex), dimension, 435.0)
    expected = estimate(SURVEY, [*heard, more], sex)
    for one, other in zip(found.components, expected.components, strict=True):
        assert one.weight == pytest.approx(other.weight)
        np.testing.assert_allclose(one.mean, other.mean, rtol=1e-6)
        np.testing.assert_allclose(one.covariance, other.covariance, rtol=1e-5, atol=1e-4)
    for name, dim in found.dimensions.items():
        other_dim = expected.dimensions[name]
        assert (dim.mean, dim.sd, dim.low, dim.high) == pytest.approx(
            (other_dim.mean, other_dim.sd, other_dim.low, other_dim.high), rel=1e-5
        )
