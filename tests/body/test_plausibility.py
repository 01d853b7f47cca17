"""Measures that cannot all be true: which one is blamed, how it is said, and what is then used."""

from __future__ import annotations

import numpy as np
import pytest
import scipy  # type: ignore[import-untyped]
from hypothesis import example, given, settings
from hypothesis import strategies as st

from consult.body import plausibility
from consult.body.estimate import estimate
from consult.body.measured import Measured, Sex
from consult.body.plausibility import Doubt, doubts, lengths_together, read_body, trusted
from consult.units import System
from tests.body.bodies import PLAIN, SEXES, SURVEY, any_measures, sexes
from tests.long import examples


def measures(**values: float) -> list[Measured]:
    return [SURVEY.measure(name, value) for name, value in values.items()]


def test_usual_measures_are_not_doubted() -> None:
    """An ordinary body raises no question, whichever sex is stated or none."""
    ordinary = measures(stature=1690, weight=75, popliteal_height=410, elbow_rest_height=240)
    for sex in SEXES:
        assert doubts(SURVEY, ordinary, sex) == ()


def test_z_is_that_of_the_conditional_normal() -> None:
    """The score is the leg's distance from its regression on stature, errors included."""
    group = SURVEY.groups["female"]
    at, leg = SURVEY.index("stature"), SURVEY.index("popliteal_height")
    cov = group.covariance
    slope = cov[leg, at] / (cov[at, at] + 12**2)
    mean = group.mean[leg] + slope * (1550 - group.mean[at])
    sd = (cov[leg, leg] - slope * cov[leg, at] + 15**2) ** 0.5
    (found,) = doubts(PLAIN, measures(stature=1550, popliteal_height=450), "female")
    assert found.z == pytest.approx((450 - mean) / sd)
    assert (found.dimension, found.level) == ("popliteal_height", "re-measure")
    assert found.low == pytest.approx(mean - 1.644854 * sd, abs=1e-3)
    assert found.high == pytest.approx(mean + 1.644854 * sd, abs=1e-3)


def test_one_wrong_measure_is_one_doubt_said_plainly() -> None:
    """A lower leg of 52 cm at 155 cm tall is blamed alone, with what would be usual."""
    (found,) = doubts(SURVEY, measures(stature=1550, popliteal_height=520), None)
    assert (found.dimension, found.level, found.confirmed) == (
        "popliteal_height",
        "set aside",
        False,
    )
    assert found.message.startswith(
        "lower leg 52 cm is extremely long for someone 155 cm tall. "
        "Please have it measured again: about "
    )
    assert found.message.endswith("It is not used until confirmed.")


def test_message_uses_the_readers_units_and_the_stated_sex() -> None:
    """Feet and inches for those who speak them; a woman or a man where it was said."""
    (found,) = doubts(SURVEY, measures(stature=1550, popliteal_height=450), "female", "imperial")
    assert "very long for a woman" in found.message
    assert "cm" not in found.message
    (alone,) = doubts(SURVEY, measures(stature=2000), "male")
    assert "is very tall for a man. Please" in alone.message
    (anyone,) = doubts(SURVEY, measures(hip_breadth_sitting=250), None)
    assert "is very narrow for an adult. Please" in anyone.message


def test_wrong_stature_is_blamed_where_the_rest_agree() -> None:
    """A stature that no other measure supports is the one to ask about."""
    (found,) = doubts(
        SURVEY,
        measures(stature=1250, popliteal_height=430, sitting_height=910, knee_height_sitting=555),
        "male",
    )
    assert (found.dimension, found.level) == ("stature", "set aside")
    assert found.z < -5
    assert "extremely short" in found.message


def test_of_two_about_equally_odd_the_seated_measure_is_blamed() -> None:
    """Callers measure their stature better than their lower leg."""
    # Both a little over three from each other, and the stature slightly the odder of the two.
    pair = [Measured("stature", 1520.0, 12.0), Measured("popliteal_height", 426.0, 15.0)]
    scores = {}
    for one, other in (pair, pair[::-1]):
        scores[one.dimension] = abs(_score(one, other, "female"))
    assert 3 < scores["popliteal_height"] < scores["stature"] < scores["popliteal_height"] + 0.5
    assert [one.dimension for one in doubts(SURVEY, pair, "female")] == ["popliteal_height"]


def _score(one: Measured, other: Measured, sex: Sex) -> float:
    """Conditional score of one measure given another, by the textbook formula."""
    group = SURVEY.groups[sex]
    at, by = SURVEY.index(one.dimension), SURVEY.index(other.dimension)
    cov = group.covariance
    slope = cov[at, by] / (cov[by, by] + other.sd**2)
    mean = group.mean[at] + slope * (other.value - group.mean[by])
    return float((one.value - mean) / (cov[at, at] - slope * cov[at, by] + one.sd**2) ** 0.5)


def test_confirmed_measure_is_doubted_but_used() -> None:
    """What the caller stands by is still remarked on, and never set aside."""
    heard = [
        SURVEY.measure("stature", 1550.0),
        SURVEY.measure("popliteal_height", 520.0, confirmed=True),
    ]
    found = doubts(SURVEY, heard, "female")
    assert [one.confirmed for one in found] == [True]
    assert "It was confirmed, so it is used" in found[0].message
    assert "Please" not in found[0].message
    assert trusted(heard, found) == tuple(heard)


def test_trusted_leaves_out_only_what_is_set_aside() -> None:
    """A measure to take again is still used; one set aside is not."""
    heard = measures(stature=1550, popliteal_height=450, thigh_clearance=320)
    found = doubts(SURVEY, heard, "female")
    levels = {one.dimension: one.level for one in found}
    assert levels == {"thigh_clearance": "set aside", "popliteal_height": "re-measure"}
    assert [one.dimension for one in trusted(heard, found)] == ["stature", "popliteal_height"]


def test_of_two_readings_of_one_dimension_only_the_odd_one_goes() -> None:
    """A slip of the tape does not take the good reading of the same dimension with it."""
    good, slip = (SURVEY.measure("popliteal_height", value) for value in (380.0, 620.0))
    heard = [SURVEY.measure("stature", 1600.0), slip, good]
    found = doubts(SURVEY, heard, "female")
    assert [one.measured for one in found] == [slip]
    assert trusted(heard, found) == (heard[0], good)


def test_unlikely_only_as_a_whole_is_one_doubt() -> None:
    """Measures that pass one by one, but hardly occur together, are doubted together."""
    group = SURVEY.groups["male"]
    sd = np.sqrt(np.diagonal(group.covariance))
    signs = {
        "stature": 2.2,
        "elbow_rest_height": -2.2,
        "hand_breadth": -2.2,
        "thigh_clearance": 2.2,
    }
    heard = [
        SURVEY.measure(name, float(group.mean[SURVEY.index(name)] + z * sd[SURVEY.index(name)]))
        for name, z in signs.items()
    ]
    (found,) = doubts(PLAIN, heard, "male")
    assert (found.dimension, found.level, found.low, found.measured) == (
        "together",
        "re-measure",
        None,
        None,
    )
    assert 3 < found.z < 37
    assert "stature, elbow height above the seat, thigh thickness and hand breadth" in found.message
    assert trusted(heard, (found,)) == tuple(heard)


@pytest.mark.parametrize("sex", ["female", "male"])
def test_the_distance_together_agrees_with_scipy(sex: Sex) -> None:
    """Distance and tail are scipy's, with the measuring error in the spread; repeats count, and
    what the weight has in it already does not."""
    heard = measures(stature=1640, weight=90, popliteal_height=380)
    heard.append(SURVEY.measure("popliteal_height", 430.0))
    group = SURVEY.groups[sex]

    def squared(of: list[Measured]) -> float:
        at = [SURVEY.index(one.dimension) for one in of]
        spread = group.covariance[np.ix_(at, at)] + np.diag([one.sd**2 for one in of])
        off = np.array([one.value for one in of]) - group.mean[at]
        return float(off @ np.linalg.inv(spread) @ off)

    weight = [one for one in heard if one.dimension == "weight"]
    expected = squared(heard) - squared(weight)
    distance, tail = lengths_together(PLAIN, heard, sex)
    assert distance == pytest.approx(expected)
    assert tail == pytest.approx(scipy.stats.chi2.sf(expected, 3))


def test_of_an_unstated_sex_the_nearer_one_counts() -> None:
    """Not knowing the sex never makes a caller odder than either would be."""
    heard = measures(stature=1640, weight=90, popliteal_height=380)
    distances = [lengths_together(SURVEY, heard, sex)[0] for sex in ("female", "male", None)]
    assert distances[2] == min(distances[:2])
    assert lengths_together(SURVEY, heard[:2], None) == (0.0, 1.0), (
        "one length alone is not together"
    )


def test_unstated_sex_takes_either_sex_as_usual() -> None:
    """What is usual for one sex is not odd while the sex is unknown."""
    tall = measures(stature=1900)
    assert [one.dimension for one in doubts(SURVEY, tall, "female")] == ["stature"]
    assert doubts(SURVEY, tall, None) == ()


@settings(deadline=None, max_examples=examples(100))
@given(any_measures, sexes, st.sampled_from(["metric", "imperial", "both"]))
def test_any_input_gets_finite_doubts_in_words(
    heard: list[Measured], sex: Sex | None, system: System
) -> None:
    """Absurd numbers are doubted in words; nothing crashes, scores stay within 37."""
    found: tuple[Doubt, ...] = doubts(SURVEY, heard, sex, system)
    assert len(found) <= max(1, len(heard))
    for one in found:
        assert -37 <= one.z <= 37
        assert one.message.endswith((".", "usual."))
        if one.low is not None and one.high is not None:
            assert np.isfinite([one.low, one.high]).all()
            assert one.low <= one.high
    assert set(trusted(heard, found)) <= set(heard)


def test_absurd_number_is_said_briefly() -> None:
    """A slip of the keyboard does not fill the screen with digits."""
    for system in ("metric", "imperial", "both"):
        (found,) = doubts(SURVEY, measures(weight=1e308), None, system)
        assert len(found.message) < 200


_OFF = st.lists(st.floats(-1.2, 1.2), min_size=len(SURVEY.order), max_size=len(SURVEY.order))


@settings(deadline=None, max_examples=examples(50))
@given(
    _OFF,
    st.lists(st.sampled_from(SURVEY.order), min_size=2, max_size=5),
    st.floats(-6, 6),
    sexes,
)
@example([0.0] * len(SURVEY.order), ["stature", "stature"], 5.0, "male")
@example([0.0] * len(SURVEY.order), ["weight", "stature"], -6.0, "female")
@example([0.0] * len(SURVEY.order), ["weight", "hip_breadth_sitting"], 6.0, "female")
@example([0.0] * len(SURVEY.order), ["sitting_height", "stature"], 3.5, "female")
def test_who_is_passed_at_once_has_nothing_odd(
    off: list[float], told: list[str], pushed: float, sex: Sex | None
) -> None:
    """The short way says "nothing odd" only of whom the long way, measure by measure, says it."""
    group = SURVEY.groups[sex or "female"]
    root = np.linalg.cholesky(group.covariance + np.diag(group.transfer**2))
    body = dict(zip(SURVEY.order, group.mean + root @ off, strict=True))
    at = SURVEY.index(told[0])
    values = [body[told[0]] + pushed * group.covariance[at, at] ** 0.5]
    values += [body[name] for name in told[1:]]
    heard = [SURVEY.measure(name, float(one)) for name, one in zip(told, values, strict=True)]
    with pytest.MonkeyPatch.context() as patch:
        quick = plausibility._unremarkable(SURVEY, heard, sex)
        patch.setattr(plausibility, "_unremarkable", lambda *_: False)
        assert not (quick and doubts(SURVEY, heard, sex))


@pytest.mark.parametrize(
    ("sex", "off"),
    [
        ("female", {"weight": 3.4, "popliteal_height": 3.9, "thigh_clearance": -0.5}),
        (
            "male",
            {"weight": 1.9, "knee_height_sitting": -2.3, "sitting_height": -3.4, "stature": -3.6},
        ),
        ("male", {"eye_height_sitting": 1.1, "weight": -2.5}),
    ],
    ids=["a weight far out", "all together", "a weight too light"],
)
def test_what_only_the_long_way_sees_is_not_passed(sex: Sex, off: dict[str, float]) -> None:
    """Measures so many standard deviations off, none of them odd by the inverse alone."""
    group = SURVEY.groups[sex]
    sd = np.sqrt(np.diagonal(group.covariance))
    at = {name: SURVEY.index(name) for name in off}
    heard = measures(**{n: float(group.mean[at[n]] + by * sd[at[n]]) for n, by in off.items()})
    assert doubts(SURVEY, heard, sex)


def test_most_bodies_are_passed_at_once() -> None:
    """Of the survey's mean and some way off it, with or without a weight."""
    usual = measures(stature=1690, weight=75, popliteal_height=410, elbow_rest_height=240)
    assert plausibility._unremarkable(SURVEY, usual, "male")
    assert plausibility._unremarkable(SURVEY, usual[2:], "female")
    assert not plausibility._unremarkable(SURVEY, usual, None)


@settings(deadline=None, max_examples=examples(40))
@given(st.permutations(["stature", "popliteal_height", "thigh_clearance", "weight"]))
def test_order_of_measures_does_not_change_the_doubts(names: list[str]) -> None:
    """The same measures heard in another order raise the same doubts."""
    values = {"stature": 1550, "popliteal_height": 450, "thigh_clearance": 320, "weight": 60}
    heard = measures(**{name: values[name] for name in names})
    found = [(one.dimension, one.message) for one in doubts(SURVEY, heard, "female")]
    usual = [(one.dimension, one.message) for one in doubts(SURVEY, measures(**values), "female")]
    assert found == usual


@pytest.mark.parametrize("sex", ["female", "male", None])
@pytest.mark.parametrize("weight", range(90, 201, 5))
def test_nobody_is_told_that_they_are_heavy(sex: Sex | None, weight: int) -> None:
    """To 200 kg a weight is used, and asked about kindly or not at all (common practice)."""
    measures = [SURVEY.measure("stature", 1650.0), SURVEY.weight_told(float(weight))]
    found = doubts(SURVEY, measures, sex)
    assert trusted(measures, found) == tuple(measures)
    for one in found:
        assert one.dimension == "weight"
        assert "kindly" in one.message
        assert "heavy" not in one.message
        assert "high for" not in one.message
        assert f"Weight {weight} kg" in one.message


@pytest.mark.parametrize(("said", "sex"), [(180.0, "female"), (14.0, "male"), (200.0, "male")])
def test_a_slipped_unit_is_still_asked_about(said: float, sex: Sex) -> None:
    """180 lb, 14 stone and 200 lb taken for kilograms are doubted."""
    stature = SURVEY.measure("stature", {"female": 1630.0, "male": 1760.0}[sex])
    found = doubts(SURVEY, [stature, SURVEY.weight_told(said)], sex)
    assert [one.dimension for one in found] == ["weight"]


STATURE = SURVEY.measure("stature", 1550.0)


def test_what_is_set_aside_does_not_reach_the_estimate() -> None:
    """An absurd lower leg is reported, kept for the record, and leaves the body as it was."""
    leg = SURVEY.measure("popliteal_height", 520.0)
    made, found = read_body(SURVEY, [STATURE, leg], "female")
    assert made.dimensions == estimate(SURVEY, [STATURE], "female").dimensions
    assert (made.used, made.set_aside) == ((STATURE,), (leg,))
    assert [one.dimension for one in found] == ["popliteal_height"]
    assert made.dimensions["popliteal_height"].origin == "estimated from stature"


def test_confirming_brings_it_in() -> None:
    """The same lower leg, confirmed, is used."""
    leg = SURVEY.measure("popliteal_height", 520.0, confirmed=True)
    made, found = read_body(SURVEY, [STATURE, leg], "female")
    assert (made.used, made.set_aside) == ((STATURE, leg), ())
    assert made.dimensions["popliteal_height"].mean > 420
    assert [one.confirmed for one in found] == [True]


def test_a_measure_to_take_again_is_used_meanwhile() -> None:
    """Between three and five the measure is questioned but counts."""
    leg = SURVEY.measure("popliteal_height", 450.0)
    made, found = read_body(SURVEY, [STATURE, leg], "female", "imperial")
    assert (made.set_aside, found[0].level) == ((), "re-measure")
    assert made.dimensions["popliteal_height"].origin == "measured"


def test_unknown_dimension_is_refused_in_words() -> None:
    """A dimension the population lacks is named, with the nearest it has."""
    with pytest.raises(ValueError, match="Did you mean 'sitting_height'"):
        read_body(SURVEY, [Measured("siting_height", 900.0, 15.0)], None)


@settings(deadline=None, max_examples=examples(60))
@given(any_measures, sexes)
def test_every_measure_is_used_or_set_aside(heard: list[Measured], sex: Sex | None) -> None:
    """No measure is lost, and none that was confirmed is set aside."""
    made, _ = read_body(SURVEY, heard, sex)
    order = [*made.used, *made.set_aside]
    assert sorted(order, key=repr) == sorted(heard, key=repr)
    assert not any(one.confirmed for one in made.set_aside)
