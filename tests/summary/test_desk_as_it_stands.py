"""A desk that does not move is shown as high as it stands, beside what would suit the body."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from consult.call.state import State, state
from consult.summary.model import summarise
from consult.ui.words import fit_lines
from tests.call.calls import call_of, seating


@cache
def with_desk(stature: str, **desk: str) -> State:
    """A call of a body and a desk."""
    told = {"who_sits": "1", "warning_signs": "none", "stature": stature, "weight": "75 kg"}
    return state(seating(), call_of(told | desk))


def desk_row(now: State) -> str:
    """The desk's line of the panel."""
    (row,) = [line for line in str(fit_lines(now, None, 60)).splitlines() if "Desk height" in line]
    return " ".join(row.split())


@pytest.mark.parametrize(
    ("stature", "height", "too_high", "too_low"),
    [("170 cm", "78 cm", True, False), ("200 cm", "66 cm", False, True)],
)
def test_its_own_height_is_shown_and_said(
    stature: str, height: str, too_high: bool, too_low: bool
) -> None:
    """In the panel and on paper, as given; the range beside it is what suits the body."""
    now = with_desk(stature, desk_kind="fixed", desk_height=height)
    own = float(height.removesuffix(" cm"))
    assert now.fit is not None
    body = now.fit.requirements["desk_height"]
    assert round(body.target) != own * 10
    assert desk_row(now).startswith(f"Desk height {own:.0f} ")
    assert desk_row(now).endswith("±0 given")
    figure = summarise(seating(), now, reasons=False).fit["desk_height"]
    assert (figure.target, figure.sd, figure.origin) == (own * 10, 0.0, "given")
    assert figure.low < figure.high
    assert now.fit.quantities["desk_too_high"] is too_high
    assert now.fit.quantities["desk_too_low"] is too_low
    # Outside the range is a desk that has to be raised.
    assert (figure.target < figure.low) is too_low


def test_the_range_goes_by_the_seat_of_the_chair() -> None:
    """A chair that stays lower than asked moves what would suit, and not the desk."""
    now = with_desk("170 cm", desk_kind="fixed", desk_height="78 cm")
    assert now.chosen is not None
    picked = now.chosen.picked
    settings = dict(picked.settings)
    settings["seat_height"] -= 20
    lower = replace(picked, settings=settings)
    low = replace(now, chosen=replace(now.chosen, picked=lower))
    assert now.set_up is not None
    assert low.set_up is not None
    before, after = (one.set_up.requirements["desk_height"] for one in (now, low))  # type: ignore[union-attr]
    assert after.target == before.target == 780
    assert after.high == pytest.approx(before.high - 20, abs=1)


@pytest.mark.parametrize("desk", [{"desk_kind": "fixed"}, {"desk_kind": "none"}, {}])
def test_without_a_height_the_best_is_shown(desk: dict[str, str]) -> None:
    """Nothing stands there that could be named."""
    now = with_desk("170 cm", **desk)
    assert now.fit is not None
    assert now.fit_at_desk is now.fit
