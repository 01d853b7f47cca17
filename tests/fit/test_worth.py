"""What an answer is worth, against choosing again for each, and the parts it could change."""

from __future__ import annotations

from dataclasses import replace
from statistics import NormalDist

import numpy as np
import pytest

from consult.body.estimate import Estimate, estimate
from consult.body.population import load_population
from consult.fit.choose import choose
from consult.fit.ranking import weigh
from consult.fit.replies import FACTS
from consult.fit.request import NO_ARMS_WANTED, FitRequest, components_of, draw
from consult.fit.scoring import packed
from consult.fit.workplace import FIXED_HEIGHT, Desk, Workplace
from consult.fit.worth import (
    HOME_MEASURES,
    NeedsPrice,
    could_change,
    open_facts,
    open_questions,
    unbeaten,
    worth,
)
from consult.range.model import Range
from consult.range.parts import Part
from tests.fit.bodies import body
from tests.fit.slow_choose import part, range_of

PEOPLE = load_population()
FIXED = Workplace(Desk("fixed"))


def somebody() -> Estimate:
    told = [PEOPLE.measure("stature", 1700.0), PEOPLE.measure("popliteal_height", 410.0)]
    return estimate(PEOPLE, told, "female")


def two_lifts() -> Range:
    """A low and a high gas lift: which is right hangs on the desk."""
    return range_of(
        part("gas_lift", "LOW", price=10.0, seat_height=(360.0, 440.0)),
        part("gas_lift", "HIGH", price=90.0, seat_height=(455.0, 580.0)),
        part("footrest", "REST", height=(20.0, 160.0)),
    )


def request(range_: Range, place: Workplace, who: Estimate | None = None) -> FitRequest:
    return FitRequest(range_, who or somebody(), place, open_places=True)


def heights() -> list[float]:
    """The middle of each of 24 equally likely parts of the heights of a fixed desk."""
    desk = NormalDist(*FIXED_HEIGHT)
    return [desk.inv_cdf((at + 0.5) / 24) for at in range(24)]


def test_desk_height_against_choosing_again() -> None:
    """The rise from hearing the desk's height is that of choosing anew for each height.

    Thighs and elbows leave the seat a few millimetres at a board of 60, so a desk below 735 asks
    for the low gas lift and one above it for the high one.
    """
    both = (
        part("gas_lift", "LOW", price=10.0, seat_height=(360.0, 499.0)),
        part("gas_lift", "HIGH", price=90.0, seat_height=(501.0, 600.0)),
    )
    lifts = range_of(*both, part("footrest", "REST", height=(20.0, 160.0)))
    place = Workplace(Desk("fixed", thickness=60.0))
    open_ = request(lifts, place, body(sd=2.0, popliteal_height=430.0))
    best = choose(open_).best
    assert best is not None
    then = []
    for height in heights():
        told = replace(open_, workplace=Workplace(Desk("fixed", height, 60.0)), kept={})
        again = weigh(told)
        then.append(float(again.fits.max()) / again.n)
    gain = worth(open_, PEOPLE, ["desk_height"])["desk_height"]
    # Until it is heard the chair goes out as it is, without a footrest.
    bare = range_of(*(one for one in both if one.code == best.parts["gas_lift"].code))
    now = choose(replace(open_, range=bare, kept={})).best
    assert now is not None
    assert gain.gain == pytest.approx(float(np.mean(then)) - now.p_fits, abs=0.03)
    assert float(np.mean(then)) - best.p_fits > 0.1
    assert best.p_fits - now.p_fits > 0.1


def test_a_desk_without_the_height_asked_for_may_still_get_its_footrest() -> None:
    """That a desk is not fixed does not settle whether a footrest is sold: how low an adjustable
    one goes does. So with one chair the kind of desk is worth what the two heights are together."""
    one = range_of(
        part("gas_lift", "LOW", seat_height=(360.0, 499.0)),
        part("footrest", "REST", height=(20.0, 160.0)),
    )
    open_ = request(one, Workplace(), body(sd=2.0, popliteal_height=350.0))
    kind, height, lowest = (
        worth(open_, PEOPLE, [name])[name].gain
        for name in ("desk_kind", "desk_height", "desk_lowest")
    )
    assert min(height, lowest) > 0.1
    assert height + lowest == pytest.approx(kind, abs=0.001)


def test_p_fits_before_the_desk_is_known(demo: Range) -> None:
    """P(fits) is that of the same chair, with a footrest where it helps, over all the desks."""
    open_ = request(demo, FIXED)
    best = choose(open_).best
    assert best is not None
    shares = []
    for height in heights():
        told = weigh(replace(open_, workplace=Workplace(Desk("fixed", height)), kept={}))
        codes = [one.code for kind, one in best.parts.items() if kind != "footrest"]
        rows = [
            at
            for at, row in enumerate(told.rows)
            if [p.code for p in told.chairs.chair(int(row)).values()] == codes
        ]
        assert len(rows) == 1
        shares.append(float(told.fits[told.set_of[rows[0]]]) / told.n)
    assert best.p_fits == pytest.approx(float(np.mean(shares)), abs=0.03)


@pytest.mark.parametrize("desk", [Desk(), Desk("fixed"), Desk("adjustable"), Desk("none")])
def test_no_footrest_on_a_guess(desk: Desk) -> None:
    """While the desk is not known no footrest is sold, though most desks would need one."""
    short = body(popliteal_height=330.0, sd=3.0)
    low = range_of(
        part("gas_lift", "LOW", seat_height=(300.0, 600.0)),
        part("footrest", "REST", height=(20.0, 200.0)),
    )
    best = choose(request(low, Workplace(desk), short)).best
    assert best is not None
    assert "footrest" not in best.parts
    told = choose(request(low, Workplace(Desk("fixed", 720.0)), short)).best
    assert told is not None
    assert "footrest" in told.parts


def test_a_desk_not_known_is_no_desk_that_suits(demo: Range) -> None:
    """With nothing told of the desk fewer callers are promised a fit than with a desk to suit."""
    unknown = choose(request(demo, Workplace())).best
    bought = choose(request(demo, Workplace(Desk("none")))).best
    assert unknown is not None
    assert bought is not None
    assert unknown.p_fits < bought.p_fits - 0.02


def test_a_spread_that_was_said_counts() -> None:
    """A desk of about 72 to 76 is not 74 exactly: the odds at a threshold say so."""
    who = body(sd=1.0, popliteal_height=430.0)
    chair = range_of(part("gas_lift", "LOW", seat_height=(400.0, 508.0)), part("footrest", "R"))
    sharp = Workplace(Desk("fixed", 740.0, 25.0), heel=25.0)
    wide = replace(sharp, spreads={"desk_height": 12.0})
    one, other = (choose(request(chair, place, who)).best for place in (sharp, wide))
    assert one is not None
    assert other is not None
    assert other.p_fits < one.p_fits - 0.1


def of_either_sex(female: float, male: float, share: float, sd: float = 15.0) -> Estimate:
    """A body of which the sex was not said: lower legs of two means, one more likely."""
    one, other = body(sd=sd, popliteal_height=female), body(sd=sd, popliteal_height=male)
    parts = (
        replace(one.components[0], group="female", weight=share),
        replace(other.components[0], group="male", weight=1 - share),
    )
    return replace(one, components=parts)


@pytest.mark.parametrize("n", [10, 999, 2000])
@pytest.mark.parametrize("share", [0.25, 0.5, 0.9])
def test_which_component_a_body_comes_of(share: float, n: int) -> None:
    """Of two far apart, the one that a body drawn lies near; as many of each as it weighs."""
    who = of_either_sex(300.0, 600.0, share, sd=2.0)
    legs = draw(who, ("popliteal_height",), n).values[:, 0]
    of = components_of(who, n)
    assert of.tolist() == (legs > 450).astype(int).tolist()
    assert abs((of == 0).sum() - share * n) < 1


def test_sex_against_choosing_again() -> None:
    """Hearing it is worth what choosing anew for either rises above the choice for both."""
    lifts = range_of(
        part("gas_lift", "LOW", price=10.0, seat_height=(330.0, 400.0)),
        part("gas_lift", "HIGH", price=90.0, seat_height=(470.0, 600.0)),
    )
    for share in (0.5, 0.7):
        who = of_either_sex(370.0, 460.0, share)
        open_ = request(lifts, Workplace(Desk("none")), who)
        now = choose(open_).best
        assert now is not None
        then = 0.0
        for one in who.components:
            alone = replace(who, components=(replace(one, weight=1.0),))
            best = choose(request(lifts, Workplace(Desk("none")), alone)).best
            assert best is not None
            then += one.weight * best.p_fits
        gain = worth(open_, PEOPLE, ["sex"])["sex"].gain
        assert gain == pytest.approx(then - now.p_fits, abs=0.03)
        assert gain > 0.1


def test_sex_that_was_said_or_does_not_matter() -> None:
    """One that is known is no question; where either has the same chair it is worth nothing."""
    known = request(two_lifts(), Workplace(Desk("none")), body(sd=15.0))
    assert worth(known, PEOPLE, ["sex"]) == {}
    alike = request(two_lifts(), Workplace(Desk("none")), of_either_sex(400.0, 400.0, 0.5))
    assert worth(alike, PEOPLE, ["sex"])["sex"].gain <= 0.005


def test_what_is_open() -> None:
    """A told fact is not asked; a height means a desk that stays until said otherwise."""
    of = open_facts
    place = Workplace(Desk("fixed", 720.0), heel=20.0)
    assert of(request(two_lifts(), place)) == ("desk_thickness",)
    assert "desk_kind" not in of(request(two_lifts(), Workplace(Desk(height=720.0))))
    moving = of(request(two_lifts(), Workplace(Desk("adjustable"))))
    assert moving == ("desk_lowest", "desk_thickness", "heel")
    assert of(request(two_lifts(), Workplace(Desk("none")))) == ("heel",)
    assert of(FitRequest(two_lifts(), somebody(), Workplace())) == ()
    assert "stature" not in open_questions(request(two_lifts(), place))
    assert not Desk(height=720.0).undecided
    assert Desk("adjustable").undecided
    assert not Desk("adjustable", lowest=650.0).undecided
    assert Desk("fixed", lowest=650.0).undecided, "said of another desk, before it was amended"


def test_measures_and_facts_on_one_scale(demo: Range) -> None:
    """All that is open comes in one list, the greatest first; each is worth what it is alone."""
    open_ = request(demo, Workplace())
    found = worth(open_, PEOPLE)
    assert set(found) == set(open_questions(open_))
    gains = [one.gain for one in found.values()]
    assert gains == sorted(gains, reverse=True)
    assert all(0 <= gain <= 1 for gain in gains)
    for name in found:
        alone = replace(open_, range=replace(demo), kept={})
        assert worth(alone, PEOPLE, [name]) == {name: found[name]}
    assert worth(replace(open_, kept={}), PEOPLE) == found
    assert set(found) <= {*HOME_MEASURES, *FACTS}


def test_what_cannot_matter_gains_nothing() -> None:
    """Where one chair fits everybody at any desk, hearing of the desk gains nothing by chance."""
    anything = range_of(part("gas_lift", "ALL", seat_height=(200.0, 900.0)))
    gains = worth(request(anything, Workplace(), body(sd=20.0)), PEOPLE, FACTS)
    assert all(one.gain <= 0.005 for one in gains.values())


def test_an_unknown_question() -> None:
    """A name that is neither a measure nor a fact is refused in words."""
    with pytest.raises(ValueError, match="colour"):
        worth(request(two_lifts(), FIXED), PEOPLE, ["colour"])


def test_worth_of_a_feature() -> None:
    """A feature that the best chair lacks is worth its share; one it has is worth nothing."""
    plain = part("arms", "PLAIN", price=10.0)
    slides = part("arms", "SLIDE", price=90.0, features=frozenset({"arms_slide_back"}))
    open_ = request(range_of(plain, slides), FIXED)
    best = choose(open_).best
    assert best is not None
    price = NeedsPrice(open_)
    assert price.rise([("arms_slide_back", "must", "")]) == pytest.approx(best.p_fits, abs=0.01)
    assert price.rise([("arms_slide_back", "prefer", "")]) == pytest.approx(0.02)
    assert price.rise([]) == 0.0
    having = NeedsPrice(request(range_of(slides), FIXED))
    assert having.rise([("arms_slide_back", "must", "")]) == 0.0


def test_what_is_called_for_already_is_worth_nothing(demo: Range) -> None:
    """Of chairs that cannot be told apart the cheapest is chosen, and that is no loss."""
    for stature in (1500.0, 1600.0, 1700.0, 1800.0):
        who = estimate(PEOPLE, [PEOPLE.measure("stature", stature)], "female")
        assert NeedsPrice(request(demo, FIXED, who)).rise([]) == 0.0


def test_a_need_that_is_lifted() -> None:
    """A need that kept the likelier chair away is worth what that chair fits more often."""
    good = part("arms", "GOOD", price=90.0)
    slides = part("arms", "SLIDE", height=(50.0, 215.0), features=frozenset({"arms_slide_back"}))
    free = request(range_of(good, slides, part("footrest", "REST")), FIXED)
    held = replace(free, needs=(("arms_slide_back", "must", ""),), kept={})
    apart = choose(free).best, choose(held).best
    assert apart[0] is not None
    assert apart[1] is not None
    gain = apart[0].p_fits - apart[1].p_fits
    assert gain > 0.1
    assert NeedsPrice(held).rise([]) == pytest.approx(gain, abs=0.01)
    assert NeedsPrice(held).rise(held.needs) == 0.0


def test_no_armrests_wanted() -> None:
    """Who turns out to want no armrests had better have the chair without; it fits then."""
    arms = part("arms", "ARMS", price=90.0)
    bare = part("arms", "BARE", height=None, features=frozenset({"no_arms"}))
    price = NeedsPrice(request(range_of(arms, bare, part("footrest", "REST")), FIXED))
    assert price.rise([("no_arms", "must", "")]) > 0.3
    assert price.rise([("no_arms", "prefer", "")]) == pytest.approx(0.02, abs=0.01)


def test_picking_among_many_chairs_earns_nothing(demo: Range) -> None:
    """With few draws the best of many chairs is best by chance, and that is no worth."""
    few = replace(request(demo, Workplace(Desk("fixed", 720.0, 25.0))), n=128)
    gains = [worth(replace(few, seed=seed), PEOPLE, ["heel"])["heel"].gain for seed in range(4)]
    assert np.mean(gains) <= 0.004


REST = part("footrest", "REST")
LOW = part("gas_lift", "LOW", seat_height=(360.0, 499.0))
HIGH = part("gas_lift", "HIGH", seat_height=(501.0, 600.0))


def changed(*parts: Part, desk: Desk | None = None, name: str, sd: float = 15.0) -> tuple[str, ...]:
    place = Workplace(desk or Desk("fixed", 720.0, 25.0), heel=25.0)
    made = range_of(*parts)
    return could_change(FitRequest(made, body(sd=sd), place, open_places=True), name)


def test_two_lifts() -> None:
    """A desk that is not known decides between a low lift and a high one, and on a footrest."""
    found = changed(LOW, HIGH, REST, desk=Desk("fixed", thickness=60.0), name="desk_height", sd=2.0)
    assert set(found) == {"gas_lift", "footrest"}


def test_one_chair() -> None:
    """A chair that suits everybody is never changed."""
    assert changed(name="popliteal_height") == ()
    assert changed(desk=Desk(), name="desk_kind") == ()


def test_a_footrest_once_the_desk_is_known() -> None:
    """Legs that may or may not reach the floor may add one, or do without the one chosen."""
    for height, chosen in ((610.0, False), (620.0, True)):
        desk = Desk("fixed", height, 25.0)
        place = Workplace(desk, heel=25.0)
        best = choose(FitRequest(range_of(REST), body(sd=15.0), place, open_places=True)).best
        assert best is not None
        assert ("footrest" in best.parts) == chosen
        assert changed(REST, desk=desk, name="popliteal_height") == ("footrest",)
    assert changed(desk=Desk("fixed", 620.0, 25.0), name="popliteal_height") == ()
    assert changed(REST, desk=Desk("fixed", 720.0, 25.0), name="popliteal_height") == ()


def test_seats_and_arms() -> None:
    """The thigh length decides between two seats, the elbows between two pairs of arms."""
    short = part("seat", "SHORT", depth=(300.0, 400.0))
    long = part("seat", "LONG", depth=(405.0, 600.0))
    assert changed(short, long, desk=Desk("none"), name="buttock_popliteal_length") == ("seat",)
    low = part("arms", "LOW", height=(100.0, 225.0))
    high = part("arms", "HIGH", height=(245.0, 400.0))
    assert changed(low, high, desk=Desk("none"), name="elbow_rest_height") == ("arms",)
    assert changed(low, high, desk=Desk("none"), name="hip_breadth_sitting") == ()


def test_what_it_must_carry() -> None:
    """A chair that may be too weak for somebody of unknown weight comes in when it is heard."""
    weak = part("seat", "WEAK", rating=60.0)
    assert changed(weak, part("seat", "STRONG", rating=200.0), name="weight") == ("rating",)


def test_nothing_to_say() -> None:
    """Of a dimension that no demand is made of, and where no chair may be offered."""
    assert changed(LOW, HIGH, name="stature") == ()
    assert changed(part("seat", "WEAK", rating=20.0), name="popliteal_height") == ()


def test_what_is_kept_is_for_the_same_alone(demo: Range) -> None:
    """What was worked out with a range for another body, place or need is never taken for this."""
    usual = replace(request(demo, Workplace()), n=256)
    heavy = estimate(PEOPLE, [PEOPLE.measure("weight", 128.0)], "male")
    others = [
        usual,
        replace(usual, estimate=heavy),
        replace(usual, workplace=Workplace(heel=60.0)),
        replace(usual, workplace=Workplace(Desk("fixed", 690.0), spreads={"desk_height": 40.0})),
        replace(usual, workplace=Workplace(Desk("fixed", 690.0))),
        replace(usual, workplace=Workplace(lowest_seat=500.0)),
        replace(usual, workplace=Workplace(kept_up=True)),
        replace(usual, needs=[(NO_ARMS_WANTED, "prefer", "")]),
        replace(usual, needs=[("heavy_duty", "must", "")]),
        replace(usual, mass=140.0),
        replace(usual, lowest=520.0),
        replace(usual, n=512),
        replace(usual, seed=7),
        replace(usual, open_places=False),
    ]
    names = ("weight", "elbow_rest_height", "heel", "desk_kind")
    first = [worth(replace(one, kept={}), PEOPLE, names) for one in others]
    for one, found in zip(others, first, strict=True):
        alone = replace(one, range=replace(demo), kept={})
        assert found == worth(alone, PEOPLE, names)
        assert np.array_equal(weigh(replace(one, kept={})).fits, weigh(alone).fits)
    assert worth(usual, PEOPLE, names[:1]).keys() < first[0].keys()


@pytest.mark.parametrize("seed", range(6))
def test_chairs_that_another_beats_change_no_choice(seed: int) -> None:
    """Whatever the answer, the chair chosen of a few is the one chosen of all, ties included."""
    draws = np.random.default_rng(seed)
    flags = draws.random((80, 128)) < 0.7
    # Many that are beaten by the first or the same again, and one that only a later chair beats.
    flags[3:60] = flags[0] & flags[np.newaxis, 1] & (draws.random((57, 128)) < 0.9)
    flags[5], flags[6] = flags[2], flags[70] & (draws.random(128) < 0.9)
    fits = packed(flags)
    kept = unbeaten(fits)
    assert len(kept) <= 30
    assert {6, 70} <= {*kept.tolist()}
    for parts in (1, 2, 9, 40):
        each = draws.integers(parts, size=128) == np.arange(parts)[:, None]
        often = flags.astype(int) @ each.T
        assert np.array_equal(kept[often[kept].argmax(axis=0)], often.argmax(axis=0))
