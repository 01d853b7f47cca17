"""The ways out where desk and legs do not suit each other."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from consult.body.estimate import Estimate
from consult.fit.choose import choose
from consult.fit.request import FitRequest
from consult.fit.rules import RuleSource
from consult.fit.trade_offs import Option, trade_offs
from consult.fit.workplace import Desk, Workplace
from consult.range.model import Range
from consult.range.parts import CHAIR_KINDS
from tests.fit.bodies import body
from tests.fit.slow_choose import part, range_of
from tests.long import examples

bodies = st.builds(
    body,
    weight=st.floats(45, 150),
    popliteal_height=st.floats(300, 500),
    buttock_popliteal_length=st.floats(420, 560),
    elbow_rest_height=st.floats(180, 290),
    thigh_clearance=st.floats(110, 220),
    sd=st.sampled_from([3.0, 12.0]),
)
desks = st.builds(
    Desk,
    kind=st.sampled_from(["fixed", "adjustable", "none", None]),
    height=st.none() | st.floats(550, 850),
    thickness=st.none() | st.floats(15, 120),
    lowest=st.none() | st.floats(550, 750),
    highest=st.none() | st.floats(750, 1250),
)


def options(range_: Range, who: Estimate, desk: Desk) -> dict[str, Option]:
    place = Workplace(desk, heel=25.0)
    found = trade_offs(FitRequest(range_, who, place), choose(FitRequest(range_, who, place)))
    assert len({one.name for one in found}) == len(found)
    return {one.name: one for one in found}


@settings(deadline=None, max_examples=examples(30))
@given(who=bodies, desk=desks, heard=st.none() | st.floats(40, 200))
def test_what_holds_for_any_body_and_desk(
    demo: Range, who: Estimate, desk: Desk, heard: float | None
) -> None:
    """Same every time, the likeliest first, nobody's rating passed, prices that add up."""
    place = Workplace(desk)
    choice = choose(FitRequest(demo, who, place, mass=heard))
    found = trade_offs(FitRequest(demo, who, place, mass=heard), choice)
    assert found == trade_offs(FitRequest(demo, who, place, mass=heard), choice)
    if choice.best is None:
        assert found == ()
        return
    shares = [round(one.p_fits, 2) for one in found]
    assert shares == sorted(shares, reverse=True)
    for one in found:
        assert 0.05 <= one.p_fits <= 1
        assert one.source == RuleSource.COMMON
        price = sum(part.price for part in one.parts.values())
        assert one.price_difference == pytest.approx(price - choice.best.price)
        for kind in CHAIR_KINDS[:-1]:
            part = one.parts[kind]
            assert kind == "gas_lift" or part == choice.best.parts[kind]
            assert part.rating is None or part.rating >= max(
                heard or 0, who.dimensions["weight"].high
            )
        for said in (one.cost, one.reason):
            assert "<" not in said.text("metric") + said.text("imperial")
            assert all(mm > 0 for mm in said.lengths.values())
        if desk.kind != "fixed":
            assert one.name in ("footrest", "shorter_gas_lift")
        assert (one.name == "footrest") == ("footrest" in one.parts)


def test_desk_too_high(demo: Range) -> None:
    """A footrest, or the desk lowered by what it stands above the elbows; never raised."""
    desk = Desk("fixed", height=740.0, thickness=25.0)
    found = options(demo, body(sd=4.0), desk)
    assert set(found) == {"footrest", "lower_desk"}
    best = choose(FitRequest(demo, body(sd=4.0), Workplace(desk, heel=25.0))).best
    assert best is not None
    assert found["footrest"].p_fits == best.p_fits
    assert found["footrest"].price_difference == 0
    # seat for the legs (400 + 25) cos 5 degrees = 423.4, elbow 235, keyboard a little below it
    lose = found["lower_desk"].cost.lengths["amount"]
    assert found["lower_desk"].reason.lengths["height"] == pytest.approx(740 - lose)
    assert 80 < lose < 140
    assert found["lower_desk"].price_difference < 0
    assert found["lower_desk"].p_fits > 0.9


def test_the_lowered_desk_fits_when_it_is_chosen_for(demo: Range) -> None:
    """What is promised of a lower desk is what choosing at that desk gives, and no footrest."""
    who, desk = body(sd=4.0), Desk("fixed", height=740.0, thickness=25.0)
    found = options(demo, who, desk)["lower_desk"]
    height = found.reason.lengths["height"]
    again = choose(FitRequest(demo, who, Workplace(Desk("fixed", height, 25.0), heel=25.0))).best
    assert again is not None
    assert "footrest" not in again.parts
    assert found.p_fits == pytest.approx(again.p_fits, abs=0.02)


def test_short_legs(demo: Range) -> None:
    """No desk in the way: a shorter gas lift against a footrest with the ordinary one."""
    found = options(demo, body(popliteal_height=340.0, sd=4.0), Desk("none"))
    assert set(found) == {"footrest", "shorter_gas_lift"}
    shorter = found["shorter_gas_lift"]
    assert shorter.parts["gas_lift"].code == "LIFT-LOW"
    assert shorter.reason.lengths["lowest"] < (340 + 25)
    assert shorter.cost.lengths["less"] == pytest.approx(85.0)  # 540 - 455 of the range file
    assert found["footrest"].parts["gas_lift"].code == "LIFT-STD"


def test_desk_too_low(demo: Range) -> None:
    """A low desk is raised, on the feet that are sold for it where they reach."""
    found = options(demo, body(sd=4.0), Desk("fixed", height=590.0, thickness=25.0))
    assert set(found) == {"raise_desk"}
    one = found["raise_desk"]
    assert one.parts["desk_raiser"].code == "RAISE-SET"
    assert one.price_difference == pytest.approx(49.0)
    assert 20 <= one.cost.lengths["amount"] <= 100
    assert "for your arms" in one.reason.template


def test_desk_too_low_for_anything_sold(demo: Range) -> None:
    """Where no raiser reaches, that is said and nothing is charged."""
    one = options(demo, body(sd=4.0), Desk("fixed", height=480.0))["raise_desk"]
    assert "desk_raiser" not in one.parts
    assert "nothing that raises it by so much" in one.cost.template


@pytest.mark.parametrize("kind", ["none", "adjustable"])
def test_nothing_to_weigh(demo: Range, kind: str) -> None:
    """Ordinary legs at a desk that moves, or is not bought yet, leave nothing to weigh."""
    desk = Desk("none") if kind == "none" else Desk("adjustable", lowest=600.0, highest=1200.0)
    assert options(demo, body(sd=4.0), desk) == {}


def test_a_desk_that_suits_the_likeliest_body_need_not_be_lowered(demo: Range) -> None:
    """Some of the bodies this may be would hang their feet there, but nothing is to be lost."""
    found = options(demo, body(sd=12.0), Desk("fixed", height=638.0, thickness=25.0))
    assert "lower_desk" not in found


def test_no_footrest_is_sold_for_a_longer_lift() -> None:
    """The ordinary lift is too low for the one footrest on sale, the longer one too high without:
    it would make the trouble that the footrest cures."""
    ordinary = part("gas_lift", "ORDINARY", price=5.0, seat_height=(400.0, 410.0))
    longer = part("gas_lift", "LONGER", price=50.0, seat_height=(430.0, 520.0))
    range_ = range_of(ordinary, longer, part("footrest", "REST", height=(100.0, 150.0)))
    who = body(popliteal_height=340.0, sd=4.0)
    best = choose(FitRequest(range_, who, Workplace(Desk("none"), heel=25.0))).best
    assert best is not None
    assert best.parts["gas_lift"] == longer
    assert "footrest" not in options(range_, who, Desk("none"))
