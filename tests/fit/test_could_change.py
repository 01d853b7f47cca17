"""Which parts an answer could change, on ranges where it is plain to see."""

from __future__ import annotations

from consult.fit.choose import choose
from consult.fit.could_change import could_change
from consult.fit.range_model import Part
from consult.fit.request import FitRequest
from consult.fit.workplace import Desk, Workplace
from tests.fit.bodies import body
from tests.fit.slow_choose import part, range_of

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
