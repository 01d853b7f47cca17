"""Measured, partly measured or estimated: what a figure rests on, no more and no less."""

from __future__ import annotations

from consult.call.how_known import how_known
from tests.call.calls import seating, told

ON_THE_WAY = {
    "caller_name": "Ada",
    "who_sits": "caller",
    "reasons": "first chair",
    "sex": "female",
    "consent": "no",
    "warning_signs": "none",
}


def known(**answers: str) -> dict[str, str]:
    """How each figure is known after these answers."""
    now = told(seating(), **{**ON_THE_WAY, **answers})
    assert now.fit is not None
    return {name: how_known(now.estimate, one) for name, one in now.fit.requirements.items()}


def test_nothing_measured() -> None:
    """Without a measure every figure is an estimate."""
    assert set(known().values()) == {"estimated"}


def test_a_measured_leg_makes_the_seat_height_measured() -> None:
    """The seat rests on the lower leg, the screen on leg and eye, the depth on neither."""
    found = known(stature="170 cm", lower_leg="43 cm")
    assert found["seat_height"] == "measured"
    assert found["screen_top"] == "partly"
    assert found["seat_depth"] == "estimated"


def test_a_high_desk_makes_the_seat_rest_on_the_elbow() -> None:
    """Raised to meet a fixed desk, the seat no longer rests on the leg alone."""
    found = known(
        stature="157 cm", lower_leg="37 cm", desk_kind="fixed", desk_height="76", desk_thickness="3"
    )
    assert found["seat_height"] == "estimated"
    assert found["footrest_height"] == "partly"
