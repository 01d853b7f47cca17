"""Choosing: against a slow search, against the exact normal, what may never happen, memory."""

from __future__ import annotations

import tracemalloc
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import scipy  # type: ignore[import-untyped]
from hypothesis import given, settings
from hypothesis import strategies as st

from consult.body.estimate import Estimate, estimate
from consult.body.population import Population, load_population
from consult.fit.choose import ChairChoice, choose
from consult.fit.ranking import FOOTREST_WORTH, Weighed, bits_of, weigh
from consult.fit.request import FitRequest, draw
from consult.fit.rules import dimensions_for
from consult.fit.workplace import Desk, Workplace
from consult.fit.worth import worth
from consult.paths import trees_folder
from consult.range.file import load_range
from consult.range.model import Range
from consult.range.parts import CHAIR_KINDS
from tests.benchmarks.chairs import large_range
from tests.fit.bodies import body
from tests.fit.slow_choose import part, random_range, range_of, slow_best, slow_table
from tests.long import examples

DEMO = Path(__file__).parents[2] / "trees" / "range.yaml"
PLACES = [
    Workplace(),
    Workplace(Desk("fixed", height=720.0, thickness=25.0), heel=10.0),
    Workplace(Desk("fixed", height=760.0)),
    Workplace(Desk("adjustable", lowest=700.0, highest=820.0, thickness=60.0)),
    Workplace(Desk("none")),
]


def of(people: Population, **measures: float) -> Estimate:
    return estimate(people, [people.measure(name, v) for name, v in measures.items()], None)


def all_weighed(range_: Range, who: Estimate, place: Workplace, n: int, seed: int) -> Weighed:
    return weigh(FitRequest(range_, who, place, n=n, seed=seed))


def codes(choice: ChairChoice) -> set[str]:
    assert choice.best is not None
    return {one.code for one in choice.best.parts.values()}


def test_a_chair_told_by_its_codes_fits_as_often_as_chosen(demo: Range) -> None:
    """With its footrest at a high desk; without it less often; what is not built, never."""
    asked = FitRequest(demo, body(), Workplace(Desk("fixed", 760.0)))
    choice, weighed = choose(asked), weigh(asked)
    assert choice.best is not None
    assert choice.best.p_fits == weighed.p_fits(codes(choice))
    rest = choice.best.parts["footrest"].code
    assert weighed.p_fits(codes(choice) - {rest}) < choice.best.p_fits - FOOTREST_WORTH
    assert weighed.p_fits({rest}) == 0.0


@pytest.mark.parametrize("seed", range(25))
def test_every_chair_fits_the_bodies_a_slow_search_says(seed: int, people: Population) -> None:
    """Chair by chair and footrest by footrest, the same number of bodies; and the same best."""
    range_, place = random_range(seed), PLACES[seed % len(PLACES)]
    measured = {"stature": 1650.0 + 10 * (seed % 7)} | ({"hand_breadth": 80.0} if seed % 2 else {})
    who, n = of(people, **measured), 90
    order = dimensions_for(who)
    drawn = draw(who, order, n, seed)
    table = slow_table(
        range_, [dict(zip(order, row, strict=True)) for row in drawn.values.tolist()], place
    )

    weighed = all_weighed(range_, who, place, n, seed)
    assert len(weighed.rows) == len(table)
    counts = np.bitwise_count(bits_of(weighed.masks, weighed.chairs, weighed.rows)).sum(axis=2)
    for row, found in zip(weighed.rows, counts.tolist(), strict=True):
        chair = tuple(one.code for one in weighed.chairs.chair(int(row)).values())
        assert found == [sum(slow.fits) for slow in table[chair]]

    choice = choose(FitRequest(range_, who, place, n=n, seed=seed))
    assert choice.best is not None
    if weighed.miss is None:
        best = slow_best(table, FOOTREST_WORTH)
        assert choice.best.p_fits == pytest.approx(best.share)
        rest = {best.rest.code} if best.rest else set()
        assert codes(choice) == {one.code for one in best.chair} | rest
        assert choice.best.price == pytest.approx(best.pence / 100)


def test_the_slow_search_sees_fits_and_misses(people: Population) -> None:
    """The random ranges are worth comparing: shares between nought and one, footrests needed."""
    shares = [
        choose(
            FitRequest(random_range(seed), of(people, stature=1700.0), PLACES[seed % 5], n=90)
        ).best
        for seed in range(25)
    ]
    found = [one.p_fits for one in shares if one is not None]
    assert sum(0.05 < p < 0.95 for p in found) > 10
    assert any("footrest" in one.parts for one in shares if one is not None)


def test_a_box_has_the_probability_of_the_normal(people: Population) -> None:
    """Elbows and hips in a box: scipy's multivariate normal within three standard errors."""
    who = estimate(people, [people.measure("stature", 1700)], "female")
    component, names = who.components[0], list(who.dimensions)
    at = [names.index("elbow_rest_height"), names.index("hip_breadth_sitting")]
    middle = component.mean[at]
    arms = part("arms", "ARMS", height=(middle[0] + 10, middle[0] + 15))
    seat = part("seat", "SEAT", width=middle[1] + 30.0)
    exact = scipy.stats.multivariate_normal(middle, component.covariance[np.ix_(at, at)]).cdf(
        [middle[0] + 35, middle[1] + 10], lower_limit=[middle[0] - 10, -1e4]
    )
    choice = choose(FitRequest(range_of(arms, seat), who, Workplace(), n=4000))
    assert choice.best is not None
    assert 0.2 < exact < 0.8
    assert abs(choice.best.p_fits - exact) < 3 * choice.best.se


@settings(max_examples=20, deadline=None)
@given(
    seed=st.integers(0, 10_000),
    more=st.floats(0, 80),
    what=st.sampled_from(["seat", "gas_lift", "arms"]),
    place=st.sampled_from(PLACES),
)
def test_more_adjustment_never_lowers_how_often_a_chair_fits(
    seed: int, more: float, what: str, place: Workplace
) -> None:
    """Each chair with each footrest fits as many bodies or more when one kind reaches further."""
    name = {"seat": "depth", "gas_lift": "seat_height", "arms": "height"}[what]
    range_ = random_range(seed)
    who = body(sd=25.0)

    def wider(span: tuple[float, float] | None) -> tuple[float, float] | None:
        return span and (span[0] - more, span[1] + more)

    stretched = replace(
        range_,
        parts={
            kind: tuple(
                replace(one, **{name: wider(getattr(one, name))}) if kind == what else one  # type: ignore[arg-type]
                for one in of_kind
            )
            for kind, of_kind in range_.parts.items()
        },
    )
    counts = []
    for each in (range_, stretched):
        weighed = all_weighed(each, who, place, 200, 1)
        bits = bits_of(weighed.masks, weighed.chairs, weighed.rows)
        counts.append(np.bitwise_count(bits).sum(axis=2))
    assert (counts[1] >= counts[0]).all()


@settings(max_examples=examples(25), deadline=None)
@given(heard=st.floats(40, 260), mean=st.floats(50, 200))
def test_a_rating_below_the_mass_is_never_offered(heard: float, mean: float) -> None:
    """Neither below what was said nor below the careful end of the estimate; then none at all."""
    demo, _ = load_range(DEMO)
    assert demo is not None
    who = body(weight=mean)
    choice = choose(FitRequest(demo, who, Workplace(), mass=heard, n=128))
    least = max(heard, who.dimensions["weight"].high)
    offered = [*choice.ranked, *choice.tied, *choice.alternatives.values()]
    assert all(
        one.rating is None or one.rating >= least for each in offered for one in each.parts.values()
    )
    assert (choice.best is None) == (least > 180)
    assert (choice.best is None) == (choice.eligible == 0) == (choice.none_because is not None)


def test_the_same_inputs_give_the_same_choice(demo: Range, people: Population) -> None:
    """Twice the same, whatever was drawn in between; another seed may differ."""
    who, place = of(people, stature=1700.0), PLACES[1]
    first = choose(FitRequest(demo, who, place))
    choose(FitRequest(demo, who, place, n=333, seed=5))
    assert choose(FitRequest(demo, who, place)) == first
    assert first.n == 2000


def test_chairs_that_fit_alike_are_called_tied(people: Population) -> None:
    """Two arms that differ in name and price alone: the cheaper is best, the other is tied."""
    range_ = range_of(part("arms", "DEAR", price=50.0), part("arms", "CHEAP", price=20.0))
    choice = choose(FitRequest(range_, of(people), Workplace()))
    assert "CHEAP" in codes(choice)
    assert [one.parts["arms"].code for one in choice.tied] == ["DEAR"]
    assert choice.tied_count == 1
    assert choice.ranked == (choice.best, *choice.tied)


def test_a_chair_that_fits_more_often_is_no_tie(people: Population) -> None:
    """A dearer lift that reaches where the cheap one does not is best, and nothing is tied."""
    low = part("gas_lift", "SHORT", price=10.0, seat_height=(430.0, 435.0))
    choice = choose(
        FitRequest(range_of(low, part("gas_lift", "LONG", price=90.0)), of(people), Workplace())
    )
    assert "LONG" in codes(choice)
    assert choice.tied == ()
    assert [one.parts["gas_lift"].code for one in choice.ranked] == ["LONG", "SHORT"]


def test_a_must_is_not_traded(demo: Range, people: Population) -> None:
    """What must be there is on every chair offered; where no chair has it, none is."""
    choice = choose(FitRequest(demo, of(people), Workplace(), [("arms_swing_away", "must", "")]))
    assert {one.parts["arms"].code for one in choice.ranked} == {"ARMS-SWING"}
    bare = range_of(part("arms", "ARMS"))
    none = choose(FitRequest(bare, of(people), Workplace(), [("arms_swing_away", "must", "")]))
    assert none.best is None
    assert none.none_because is not None
    assert "arms swing away" in none.none_because.template


def test_a_preferred_feature_decides_between_chairs_that_fit_alike(
    demo: Range, people: Population
) -> None:
    """A preferred back is chosen at a price; without the wish the cheap one is."""
    who = of(people, stature=1700.0)
    wished = choose(FitRequest(demo, who, PLACES[1], [("tilts_forward", "prefer", "")]))
    assert "BACK-FOLLOW" in codes(wished)
    assert "BACK-MID" in codes(choose(FitRequest(demo, who, PLACES[1])))


def test_a_footrest_is_added_only_where_it_is_needed() -> None:
    """A lift too high for the legs needs the footrest, a compromise; one low enough does not."""
    high = part("gas_lift", "HIGH", seat_height=(480.0, 600.0))
    rest = part("footrest", "REST", price=30.0)
    who = body(sd=5.0)
    needed = choose(FitRequest(range_of(high, rest), who, Workplace()))
    assert needed.best is not None
    assert needed.best.p_fits > 0.95
    assert needed.best.compromises == ("footrest",)
    assert needed.best.price == 90.0
    both = choose(
        FitRequest(range_of(high, rest, part("gas_lift", "LOW", price=30.0)), who, Workplace())
    )
    assert both.best is not None
    assert both.best.compromises == ()
    assert "LOW" in codes(both)


@pytest.mark.parametrize(("share", "added"), [(0.01, False), (0.04, True)])
def test_a_footrest_few_bodies_need_is_left_out(share: float, added: bool) -> None:
    """One body in a hundred does not sell a footrest; one in twenty-five does (threshold 2 %)."""
    who, spread = body(sd=5.0), 5.0 * np.cos(np.radians(5))
    lowest = 425 * np.cos(np.radians(5)) + scipy.stats.norm.ppf(share) * spread
    lift = part("gas_lift", "LIFT", seat_height=(float(lowest), 600.0))
    best = choose(FitRequest(range_of(lift, part("footrest", "REST")), who, Workplace())).best
    assert best is not None
    assert ("footrest" in best.parts) == added


def lifts(share: float, price: float) -> Range:
    """A lift too high for this share of the bodies below, and a dearer one that suits them all."""
    lowest = (425 + scipy.stats.norm.ppf(share) * 5) * np.cos(np.radians(5))
    cheap = part("gas_lift", "CHEAP", price=10.0, seat_height=(float(lowest), 600.0))
    return range_of(cheap, part("gas_lift", "DEAR", price=price), part("footrest", "REST"))


@pytest.mark.parametrize(("share", "chosen"), [(0.003, "CHEAP"), (0.015, "DEAR")])
def test_half_in_a_hundred_is_no_reason_to_pay_more(share: float, chosen: str) -> None:
    """A gain that the draws tell apart, but nobody would notice, is a tie (threshold 0.5 %)."""
    assert chosen in codes(choose(FitRequest(lifts(share, 90.0), body(sd=5.0), Workplace())))


def test_another_part_differs_in_nothing_else() -> None:
    """The other arms are told of on the same lift, though on the dearer one they fit a little more
    often."""
    found = lifts(0.003, 90.0)
    arms = (part("arms", "ONE", price=20.0), part("arms", "TWO", price=50.0))
    choice = choose(
        FitRequest(replace(found, parts={**found.parts, "arms": arms}), body(sd=5.0), Workplace())
    )
    other = choice.alternatives["arms"]
    assert (other.parts["arms"].code, other.parts["gas_lift"].code) == ("TWO", "CHEAP")


@pytest.mark.parametrize(("share", "chosen"), [(0.4, "CHEAP"), (0.6, "DEAR")])
def test_a_footrest_for_most_is_worse_than_one_for_some(share: float, chosen: str) -> None:
    """Of two chairs sold with a footrest, the one on which most feet reach the floor comes first,
    a little dearer or not."""
    range_ = lifts(share, 12.0)
    some = (425 + scipy.stats.norm.ppf(0.1) * 5) * np.cos(np.radians(5))
    dear = replace(range_.parts["gas_lift"][1], seat_height=(float(some), 600.0))
    cheap = range_.parts["gas_lift"][0]
    both = replace(range_, parts={**range_.parts, "gas_lift": (cheap, dear)})
    choice = choose(FitRequest(both, body(sd=5.0), Workplace()))
    assert choice.best is not None
    assert "footrest" in choice.best.parts
    assert chosen in codes(choice)


def test_where_nothing_fits_the_nearest_is_chosen() -> None:
    """Two seats, both far too deep: the one that is less so, not the cheaper one."""
    far = part("seat", "FAR", price=1.0, depth=(600.0, 700.0))
    near = part("seat", "NEAR", price=99.0, depth=(560.0, 700.0))
    choice = choose(FitRequest(range_of(far, near), body(sd=5.0), Workplace()))
    assert choice.best is not None
    assert choice.best.p_fits == 0
    assert "NEAR" in codes(choice)


@pytest.mark.parametrize(
    ("place", "left_out"),
    [
        (Workplace(), {"keyboard_height", "thigh_room"}),
        (Workplace(Desk("fixed")), {"keyboard_height", "thigh_room"}),
        (Workplace(Desk("none")), {"keyboard_height", "thigh_room"}),
        (Workplace(Desk("adjustable", highest=900.0)), {"keyboard_height", "thigh_room"}),
        (Workplace(Desk("fixed", 720.0)), {"thigh_room"}),
        (Workplace(Desk("fixed", 720.0, 25.0)), set()),
    ],
)
def test_what_cannot_be_tested_is_listed(
    place: Workplace, left_out: set[str], demo: Range, people: Population
) -> None:
    """Each requirement the workplace is too little known for, with a reason; the rest is tested."""
    choice = choose(FitRequest(demo, of(people), place))
    assert set(choice.left_out) == left_out
    assert all(choice.left_out.values())
    assert choice.best is not None
    assert ("keyboard_height" in choice.best.per_requirement) == ("keyboard_height" not in left_out)


def test_everything_fits_no_more_often_than_each_requirement(
    demo: Range, people: Population
) -> None:
    """P(fits) is at most the least of its parts and at least what the union bound leaves."""
    for place in PLACES:
        for one in choose(FitRequest(demo, of(people), place)).ranked:
            parts = [share for share, _ in one.per_requirement.values()]
            assert one.p_fits <= min(parts) + 1e-9
            assert one.p_fits >= 1 - sum(1 - share for share in parts) - 1e-9
            assert set(CHAIR_KINDS[:-1]) <= set(one.parts)


def test_no_arms_count_as_fitting_only_where_none_are_wanted() -> None:
    """A caller who never rests the arms may get a chair without them; nobody else does."""
    found, problems = load_range(trees_folder() / "range.yaml")
    assert found is not None, problems
    body = estimate(load_population(), [], "female")
    wanted = choose(
        FitRequest(found, body, Workplace(), [("no_arms", "prefer", "never rests the arms")])
    )
    assert wanted.best is not None
    assert wanted.best.parts["arms"].code == "ARMS-NONE"
    assert wanted.best.p_fits > 0.3
    usual = choose(FitRequest(found, body, Workplace()))
    assert usual.best is not None
    assert usual.best.parts["arms"].code != "ARMS-NONE"


def test_standard_error_is_that_of_a_share(people: Population) -> None:
    """The root of p times what is left of it, over the bodies drawn."""
    best = choose(FitRequest(random_range(3), of(people, stature=1700.0), PLACES[0], n=400)).best
    assert best is not None
    assert 0.02 < best.p_fits < 0.98
    assert best.se == pytest.approx((best.p_fits * (1 - best.p_fits) / 400) ** 0.5)


def test_a_rating_covers_what_the_caller_may_well_weigh(people: Population) -> None:
    """Nineteen in twenty who say 165 kg weigh less than this, by the figures of the file."""
    who = estimate(people, [people.weight_told(165.0)], "male")
    limit = FitRequest(random_range(1), who, PLACES[0]).mass_limit
    assert limit == pytest.approx(165 * 1.024 + 1.645 * (2**2 + (0.037 * 165) ** 2) ** 0.5)


def test_twenty_thousand_chairs_take_less_than_300_mb() -> None:
    """Peak memory of choosing and of what to ask next, every chair with numbers of its own."""
    people, range_ = load_population(), large_range()
    who = estimate(people, [people.measure("stature", 1700.0)], None)
    place = Workplace(Desk("fixed", 720.0, 25.0))
    tracemalloc.start()
    try:
        choice = choose(FitRequest(range_, who, place))
        worth(FitRequest(range_, who, place), people)
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert choice.eligible >= 20_000
    assert choice.best is not None
    assert np.isfinite(choice.best.p_fits)
    assert peak < 300e6
