"""One chair for several people."""

from __future__ import annotations

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from consult.body.estimate import Estimate
from consult.fit.choose import choose
from consult.fit.request import FitRequest
from consult.fit.sharing import Sharer, handed_over, settings_for, share
from consult.fit.workplace import Desk, Workplace
from consult.range.model import Range
from consult.range.parts import CHAIR_KINDS, arms_above_loaded_seat, loaded_seat_height
from tests.fit.bodies import body
from tests.fit.slow_choose import part, range_of

PLACES = [
    Workplace(),
    Workplace(Desk("fixed", height=740.0, thickness=30.0)),
    Workplace(Desk("adjustable", lowest=620.0, highest=1200.0, thickness=30.0)),
]
bodies = st.builds(
    body,
    weight=st.floats(45, 170),
    popliteal_height=st.floats(320, 480),
    buttock_popliteal_length=st.floats(400, 580),
    elbow_rest_height=st.floats(160, 300),
    hip_breadth_sitting=st.floats(320, 520),
    sd=st.sampled_from([3.0, 12.0]),
)


@settings(deadline=None, max_examples=15)
@given(who=bodies, place=st.sampled_from(PLACES), heard=st.none() | st.floats(40, 190))
@example(  # hardly any chair fits: the mm missed decide
    who=body(weight=45.0, popliteal_height=320.0, buttock_popliteal_length=400.0, sd=3.0),
    place=PLACES[1],
    heard=None,
)
def test_one_sitter_gets_the_chair_of_one(
    demo: Range, who: Estimate, place: Workplace, heard: float | None
) -> None:
    """With one sitter, sharing is choosing: the same chair, chance, price and compromises."""
    needs = [("arms_slide_back", "prefer", "")]
    asked = FitRequest(demo, who, place, needs, mass=heard, open_places=True)  # type: ignore[arg-type]
    alone = choose(asked)
    shared = share(demo, [Sharer("Ann", who, place, heard)], needs)  # type: ignore[arg-type]
    if alone.best is None:
        assert not shared.parts
        assert shared.none_because == alone.none_because
        return
    parts = dict(shared.parts) | {rest.kind: rest for rest in shared.footrests}
    assert parts == dict(alone.best.parts)
    assert shared.p_fits == pytest.approx(alone.best.p_fits)
    assert shared.se == pytest.approx(alone.best.se)
    assert (shared.price, shared.lead_days) == (alone.best.price, alone.best.lead_days)
    assert shared.compromises == alone.best.compromises


@settings(deadline=None, max_examples=12)
@given(who=st.lists(bodies, min_size=2, max_size=3), place=st.sampled_from(PLACES))
def test_what_holds_for_any_people(demo: Range, who: list[Estimate], place: Workplace) -> None:
    """Everyone is carried, the chance of all is the product, settings are within reach."""
    sitters = [Sharer(f"[{at}]", one, place) for at, one in enumerate(who)]
    shared = share(demo, sitters, ())
    assert shared == share(demo, sitters, ())
    if not shared.parts:
        assert shared.none_because is not None
        return
    assert set(shared.parts) == set(CHAIR_KINDS[:-1])
    for one_part in shared.parts.values():
        assert one_part.rating is None or all(
            one_part.rating >= FitRequest(demo, one, PLACES[0]).mass_limit for one in who
        )
    product = 1.0
    seat, arms = shared.parts["seat"], shared.parts["arms"]
    reach = {
        "seat_height": loaded_seat_height(seat, shared.parts["gas_lift"], shared.parts["castors"]),
        "seat_depth": seat.depth,
        "armrest_height": arms_above_loaded_seat(seat, arms),
    }
    for person in shared.people:
        product *= person.p_fits
        assert (person.fails is not None) == (person.p_fits < 0.5)
        assert person.footrest is None or person.footrest in shared.footrests
        rest = person.footrest.height if person.footrest else None
        for name, mm in person.settings.items():
            span = rest if name == "footrest_height" else reach[name]
            assert span is not None
            assert span[0] <= mm <= span[1]
    assert shared.p_fits == pytest.approx(product)
    # No dearer compromise is hidden: each alone does at least as well, but for a tie.
    for one, person in zip(who, shared.people, strict=True):
        best = choose(FitRequest(demo, one, place, open_places=True)).best
        assert best is not None
        assert best.p_fits >= person.p_fits - 0.06


def test_desks_that_nobody_told_of() -> None:
    """They are drawn for each: a chair too high for the legs is none for both, and whose desk is
    not known is sold no footrest before it is."""
    lifts = range_of(
        part("gas_lift", "LOW", price=90.0, seat_height=(360.0, 440.0)),
        part("gas_lift", "HIGH", price=10.0, seat_height=(455.0, 580.0)),
        part("footrest", "REST", height=(10.0, 200.0)),
    )
    untold, high = Workplace(Desk("adjustable"), heel=25.0), Workplace(Desk("fixed", 730.0, 25.0))
    both = [Sharer(name, body(sd=1.0), untold) for name in ("Ann", "Ben")]
    shared = share(lifts, both, ())
    assert shared.parts["gas_lift"].code == "LOW"
    assert shared.footrests == ()
    assert 0.2 < shared.p_fits < 0.8
    for order in (1, -1):
        mixed = [Sharer("Ann", body(sd=1.0), untold), Sharer("Cy", body(sd=1.0), high)][::order]
        shared = share(lifts, mixed, ())
        assert shared.parts["gas_lift"].code == "HIGH"
        rests = {one.name: one.footrest for one in shared.people}
        assert rests["Ann"] is None
        assert rests["Cy"] is not None
        assert [one.code for one in shared.footrests] == ["REST"]


@pytest.mark.parametrize(("legs", "lift"), [(462.0, "TALL"), (450.0, "SHORT")])
def test_a_chair_that_fits_all_who_fit_the_cheaper(legs: float, lift: str) -> None:
    """A lift that serves the same bodies and a few in a hundred more is no tie, however few are
    drawn; one that serves hardly any more is, and the cheaper is taken."""
    lifts = range_of(
        part("gas_lift", "SHORT", price=10.0, seat_height=(300.0, 440.0)),
        part("gas_lift", "TALL", price=90.0, seat_height=(300.0, 470.0)),
    )
    place = Workplace(Desk("none"), heel=25.0)
    people = [Sharer(name, body(popliteal_height=legs), place) for name in ("Ann", "Ben")]
    for sitters in (people[:1], people):
        assert share(lifts, sitters, ()).parts["gas_lift"].code == lift


def test_whom_it_fails_and_why(demo: Range) -> None:
    """A long and a very short thigh share no seat: the one it fails hears by how much."""
    short = Sharer("Short", body(buttock_popliteal_length=400.0, sd=2.0), PLACES[0])
    tall = Sharer("Tall", body(buttock_popliteal_length=560.0, sd=2.0), PLACES[0])
    shared = share(demo, [short, tall], ())
    assert shared.p_fits < 0.05
    fails = [person.fails for person in shared.people if person.fails is not None]
    assert fails
    assert all(one.requirement == "seat_depth" and one.mm >= 1 for one in fails)


def test_the_heaviest_heard_decides_the_rating(demo: Range) -> None:
    """A mass said by one of them rules out every lighter rating, for all."""
    sitters = [Sharer("A", body(), PLACES[0]), Sharer("B", body(), PLACES[0], 150.0)]
    shared = share(demo, sitters, ())
    assert all(part.rating is None or part.rating >= 150.0 for part in shared.parts.values())
    nobody = share(demo, [*sitters, Sharer("C", body(), PLACES[0], 400.0)], ())
    assert nobody.parts == {}
    assert nobody.people == ()
    assert nobody.none_because is not None
    assert "rated" in nobody.none_because.text("metric")


def test_only_what_differs_is_changed(demo: Range) -> None:
    """The same body again changes nothing; longer legs only raise the seat."""
    low = body(elbow_rest_height=280.0, sd=2.0)
    high = body(elbow_rest_height=280.0, popliteal_height=440.0, sd=2.0)
    sitters = [Sharer(name, one, PLACES[2]) for name, one in (("A", low), ("B", low), ("C", high))]
    first, second, third = share(demo, sitters, ()).people
    assert [said.text("metric").split(" to ")[0] for said in first.changes] == [
        "Set the seat",
        "Set the seat",
        "Set the armrests",
    ]
    assert second.changes == ()
    (said,) = third.changes
    assert said.template.startswith("Raise the seat to <amount>")
    assert said.lengths == {"amount": third.settings["seat_height"]}


def test_small_steps_do_not_add_up() -> None:
    """What counts is how the chair stands: two steps of 3 mm are 6 mm off, and are told."""
    told = handed_over([{"seat_height": mm} for mm in (400.0, 403.0, 406.0)], [None] * 3)
    assert [len(said) for said in told] == [1, 0, 1]


def test_the_footrest_comes_and_goes(demo: Range) -> None:
    """At a desk too high for one of two, the footrest is put down and taken away."""
    desk = Workplace(Desk("fixed", height=720.0, thickness=30.0), heel=25.0)
    short = Sharer("Short", body(popliteal_height=380.0, sd=2.0), desk)
    tall = Sharer("Tall", body(popliteal_height=470.0, sd=2.0), desk)
    shared = share(demo, [short, tall, short], ())
    last = [[said.text("metric") for said in person.changes][-1] for person in shared.people]
    assert last[0].startswith("Put the footrest under the feet")
    assert last[1] == "Take the footrest away."
    assert last[2] == last[0]


def test_without_a_footrest_the_feet_stay_down(demo: Range) -> None:
    """A desk too high does not lift the seat of someone who has no footrest."""
    who = body(sd=2.0)
    parts = share(demo, [Sharer("A", who, Workplace(Desk("none")))], ()).parts
    high = Workplace(Desk("fixed", height=760.0))
    legs = settings_for(who, Workplace(Desk("none")), parts, None)["seat_height"]
    assert settings_for(who, high, parts, None)["seat_height"] == legs


def test_nobody_to_share(demo: Range) -> None:
    """Without a sitter there is nothing to choose by, and the error says so."""
    with pytest.raises(ValueError, match="Nobody was named"):
        share(demo, [], ())


def test_two_people_are_drawn_apart() -> None:
    """Even of the same measures: a chair that the draws of one suit by chance must not seem to
    suit both."""
    range_ = range_of(part("seat", "NARROW", width=400.0))
    found = share(range_, [Sharer(name, body(), Workplace()) for name in ("Ann", "Bea")], ())
    one, other = (each.p_fits for each in found.people)
    assert one != other
    assert one == pytest.approx(other, abs=0.05)
