"""A chosen chair made ready: its settings, what goes beside it, and what it cannot do."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from consult.fit.request import NeedLine
from consult.fit.requirements import Fit, Requirement
from consult.fit.settings import NO_ARMS, Picked, made_ready
from consult.range.file import load_range
from consult.range.model import Range
from consult.range.parts import CHAIR_KINDS, FEATURES, Kind, Part, chair_has
from tests.long import examples

DEMO = Path(__file__).parents[2] / "trees" / "range.yaml"
ORDINARY = ("SEAT-M", "LIFT-STD", "BACK-MID", "LUM-FIXED", "ARMS-FIXED", "CAST-HARD")
HEAVY = ("SEAT-L", "LIFT-HD", "BACK-HIGH", "LUM-FIXED", "ARMS-ADJ", "CAST-HARD-HD")
HIGH = ("SEAT-S", "LIFT-HIGH", "BACK-MID", "LUM-FIXED", "ARMS-ADJ", "CAST-HARD")


@cache
def demo() -> Range:
    loaded, _ = load_range(DEMO)
    assert loaded is not None
    return loaded


def chair(*codes: str) -> dict[Kind, Part]:
    """The parts with these codes."""
    every = [part for parts in demo().parts.values() for part in parts]
    named = {part.code: part for part in every}
    return {named[code].kind: named[code] for code in codes}


def ready(
    fit: Fit, *codes: str, needs: tuple[NeedLine, ...] = (), range_: Range | None = None
) -> Picked:
    """The chair of these codes, the ordinary one if none, made ready."""
    return made_ready(range_ or demo(), fit, chair(*(codes or ORDINARY)), needs)


def fit_of(
    seat_height: float = 440.0,
    seat_depth: float = 425.0,
    armrest_height: float = 230.0,
    seat_width: float = 420.0,
    **quantities: float | bool,
) -> Fit:
    """A fit with the four requirements a chair answers to, bands as wide as usual."""
    bands = {
        "seat_height": (seat_height, seat_height - 40, seat_height),
        "seat_depth": (seat_depth, seat_depth - 18, seat_depth + 18),
        "armrest_height": (armrest_height, armrest_height - 20, armrest_height + 20),
        "seat_width": (seat_width, seat_width, seat_width + 500),
    }
    wanted = {
        name: Requirement(name, target, low, high, 0.0, "floor", "", ())
        for name, (target, low, high) in bands.items()
    }
    return Fit(wanted, (), {}, quantities)


def said(picked: Picked) -> list[str]:
    return [short.say.template for short in picked.shortfalls]


def test_no_seat_is_too_wide_for_the_hips() -> None:
    """Nor is the room between the arms: above the best width nothing is missed."""
    wanted = fit_of(seat_width=300.0)
    narrow = replace(wanted.requirements["seat_width"], high=390.0)
    fit = replace(wanted, requirements={**wanted.requirements, "seat_width": narrow})
    assert said(ready(fit)) == []


def test_a_chair_that_reaches_is_set_to_the_fit() -> None:
    """Everything in reach: no shortfall, the prices add up, the slowest part sets the time."""
    picked = ready(fit_of())
    assert picked.shortfalls == ()
    assert picked.price == 172 + 28 + 96 + 0 + 46 + 12
    assert picked.lead_days == 5
    # Fixed arms: 215 above the unloaded seat, 240 above foam that sank 25.
    assert picked.settings == {"seat_height": 440.0, "seat_depth": 425.0, "armrest_height": 240.0}


def test_a_chair_out_of_reach_is_set_as_near_as_it_goes() -> None:
    """What cannot be reached is set to the nearest end and told in the order of the parts."""
    picked = ready(fit_of(seat_height=400.0, seat_depth=400.0), *HEAVY)
    assert said(picked) == [
        "The seat is <amount> too high at its lowest.",
        "The seat is <amount> too deep at its shortest.",
    ]
    # Lift 415 loaded on heavy-duty castors adding 10; depth from 430 against 382 to 418.
    assert [short.mm for short in picked.shortfalls] == [25.0, 12.0]
    assert picked.settings["seat_height"] == 425.0
    assert picked.settings["seat_depth"] == 430.0


def test_a_seat_short_of_its_target_is_told_though_it_would_do() -> None:
    """Somebody sets it: the target counts, not the acceptable range around it."""
    highest = ready(fit_of(seat_height=900.0)).settings["seat_height"]
    picked = ready(fit_of(seat_height=highest + 20))
    assert fit_of(seat_height=highest + 20).requirements["seat_height"].low <= highest
    assert said(picked) == ["The seat is <amount> too low at its highest."]
    assert picked.shortfalls[0].mm == 20


@pytest.mark.parametrize("waits", [True, False])
def test_a_seat_too_high_while_the_footrest_waits_for_the_desk(waits: bool) -> None:
    """Then it needs a footrest, unless the feet still reach the floor; a seat too low is too low
    with any."""
    for target, way in ((350.0, "high"), (385.0, "high"), (700.0, "low")):
        fit = fit_of(seat_height=target)
        if waits:
            fit = replace(fit, missing={"footrest_height": "The desk is not known."})
        end = "its lowest" if way == "high" else "its highest"
        message = f"The seat is <amount> too {way} at {end}."
        if waits and target == 350.0:
            message = "This chair needs a footrest at least <amount> high. It is ordered once the "
            message += "desk is known."
        assert said(ready(fit)) == [message]


def test_needs_are_met_or_not_in_the_order_asked() -> None:
    """What the chair has and what it lacks, one nobody sells included, as the caller gave them."""
    needs: tuple[NeedLine, ...] = (
        ("tilts_forward", "prefer", "phone work"),
        ("seat_slide", "must", "depth"),
        ("[made of gold] 🪑", "must", ""),
        ("hard_castors", "prefer", "carpet"),
    )
    picked = ready(fit_of(), needs=needs)
    assert picked.met_needs == (needs[1], needs[3])


def test_heavy_duty_means_every_part_with_a_rating() -> None:
    """One strong part does not make a heavy-duty chair; nor do parts without a rating."""
    assert chair_has(chair(*HEAVY).values(), "heavy_duty")
    assert not chair_has(chair(*HEAVY[:5], "CAST-SOFT").values(), "heavy_duty")
    assert not chair_has(chair("LUM-FIXED").values(), "heavy_duty")


def test_no_arms_are_told() -> None:
    """A chair without arms says so, and has none to set."""
    picked = ready(fit_of(), *ORDINARY[:4], "ARMS-NONE", "CAST-HARD")
    assert said(picked) == ["The chair has no armrests, so the elbows have no support."]
    assert "armrest_height" not in picked.settings


def test_who_wants_no_arms_misses_none() -> None:
    """A chair chosen without armrests is no worse for it; any other shortfall stays."""
    parts = (*ORDINARY[:4], "ARMS-NONE", "CAST-HARD")
    assert said(ready(fit_of(), *parts, needs=(("no_arms", "prefer", ""),))) == []
    assert said(ready(fit_of(), *parts, needs=(("arms_height", "prefer", ""),))) != []


def test_without_a_footrest_need_none_is_sold() -> None:
    """A height alone does not add one; nor does a need without a height."""
    for quantities in ({"footrest_height": 80.0}, {"footrest_needed": True}):
        assert "footrest" not in ready(fit_of(**quantities)).parts


@pytest.mark.parametrize(
    ("height", "code", "setting", "short"),
    [
        (80.0, "REST-LOW", 80.0, []),
        (130.0, "REST-HIGH", 130.0, []),
        (230.0, "REST-HIGH", 190.0, [("The footrest is <amount> too low at its highest.", 40.0)]),
        (15.0, "REST-LOW", 40.0, [("The footrest is <amount> too high at its lowest.", 25.0)]),
    ],
)
def test_the_smallest_footrest_that_reaches(
    height: float, code: str, setting: float, short: list[tuple[str, float]]
) -> None:
    """Low where low will do; the nearest, with the shortfall said, where none reaches."""
    picked = ready(fit_of(footrest_needed=True, footrest_height=height))
    assert picked.parts["footrest"].code == code
    assert picked.settings["footrest_height"] == setting
    assert [(each.say.template, each.mm) for each in picked.shortfalls] == short
    assert picked.price == 354 + picked.parts["footrest"].price


def test_a_footrest_chosen_with_the_chair_is_the_one_sold() -> None:
    """The chosen footrest stands, even where a smaller one would reach."""
    fit = fit_of(footrest_needed=True, footrest_height=110.0)
    assert ready(fit).parts["footrest"].code == "REST-LOW"
    picked = ready(fit, *ORDINARY, "REST-HIGH")
    assert picked.parts["footrest"].code == "REST-HIGH"
    assert picked.settings["footrest_height"] == 110.0


def test_the_footrest_follows_a_seat_that_cannot_go_where_it_should() -> None:
    """A seat 70 mm below the target needs 70 mm less under the feet, and none when that is all."""
    # The high lift at 630 less 20 of foam is 610.
    high = fit_of(seat_height=680.0, footrest_needed=True, footrest_height=160.0)
    assert ready(high, *HIGH).settings["footrest_height"] == 90.0
    high = fit_of(seat_height=680.0, footrest_needed=True, footrest_height=70.0)
    assert "footrest" not in ready(high, *HIGH).parts


def test_a_desk_raiser_only_for_a_desk_too_low() -> None:
    """Set to the amount the desk lacks, as far as it goes."""
    assert "desk_raiser" not in ready(fit_of(desk_raise=50.0)).parts
    picked = ready(fit_of(desk_too_low=True, desk_raise=50.0))
    assert picked.settings["desk_raise"] == 50.0
    picked = ready(fit_of(desk_too_low=True, desk_raise=130.0))
    assert said(picked) == ["The desk raiser lifts the desk <amount> too little at its highest."]


def test_a_range_without_footrests_says_what_is_lacking() -> None:
    """Nothing is made up; the height is told."""
    bare = replace(demo(), parts={**demo().parts, "footrest": ()})
    picked = ready(fit_of(footrest_needed=True, footrest_height=90.0), range_=bare)
    assert "footrest" not in picked.parts
    assert picked.shortfalls[0].mm == 90.0
    assert "this range has none" in said(picked)[0]


def test_an_empty_fit_asks_nothing_of_a_chair() -> None:
    """Nothing asked, nothing to set and nothing to miss."""
    picked = ready(Fit({}, (), {}, {}))
    assert picked.settings == {}
    assert picked.shortfalls == ()
    assert set(picked.parts) == set(CHAIR_KINDS[:-1])


# --- chairs at random ----------------------------------------------------------------------------

_CHAIRS = st.fixed_dictionaries(
    {kind: st.sampled_from(demo().on_sale(kind)) for kind in CHAIR_KINDS[:-1]}
)
_FITS = st.builds(
    fit_of,
    seat_height=st.integers(340, 640).map(float),
    seat_depth=st.integers(330, 520).map(float),
    armrest_height=st.integers(130, 330).map(float),
    seat_width=st.integers(380, 580).map(float),
)
_NEEDS = st.lists(
    st.tuples(st.sampled_from(sorted(FEATURES)), st.sampled_from(["must", "prefer"]), st.just("")),
    max_size=4,
)


def _gap(span: tuple[float, float], low: float, high: float) -> float:
    return round(max(0.0, span[0] - high, low - span[1]))


def _miss(parts: Mapping[Kind, Part], fit: Fit) -> float:
    """Millimetres a chair misses, written out without the program's own functions."""
    wanted = fit.requirements
    seat, lift, arms, castors = (parts[k] for k in ("seat", "gas_lift", "arms", "castors"))
    assert lift.seat_height is not None
    assert seat.depth is not None
    assert seat.width is not None
    shift = castors.adds - (seat.compression if lift.stated == "unloaded" else 0)
    target = wanted["seat_height"].target
    total = _gap((lift.seat_height[0] + shift, lift.seat_height[1] + shift), target, target)
    total += _gap(seat.depth, wanted["seat_depth"].low, wanted["seat_depth"].high)
    total += round(max(0.0, wanted["seat_width"].low - seat.width))
    if arms.between is not None:
        total += round(max(0.0, wanted["seat_width"].low - arms.between[1]))
    if arms.height is None:
        return total + NO_ARMS
    up = seat.compression if arms.stated == "unloaded" else 0
    armrest = wanted["armrest_height"]
    return total + _gap((arms.height[0] + up, arms.height[1] + up), armrest.low, armrest.high)


@settings(max_examples=examples(120), deadline=None)
@given(parts=_CHAIRS, fit=_FITS, needs=_NEEDS)
def test_shortfalls_are_what_the_chair_misses(
    parts: dict[Kind, Part], fit: Fit, needs: list[NeedLine]
) -> None:
    """The shortfalls add up to a reckoning of its own, and the needs met are those it has."""
    picked = made_ready(demo(), fit, parts, needs)
    assert picked.parts == parts
    unmissed = parts["arms"].height is None and any(name == "no_arms" for name, *_ in needs)
    expected = _miss(parts, fit) - (NO_ARMS if unmissed else 0)
    assert sum(short.mm for short in picked.shortfalls) == expected
    met = [need for need in needs if chair_has(parts.values(), need[0])]
    assert sorted(picked.met_needs) == sorted(met)


@settings(max_examples=examples(100), deadline=None)
@given(parts=_CHAIRS, fit=_FITS, wider=st.integers(1, 60), at=st.integers(0, 2))
def test_wider_adjustment_never_adds_to_the_shortfall(
    parts: dict[Kind, Part], fit: Fit, wider: int, at: int
) -> None:
    """A part that adjusts further can only help."""
    kinds: tuple[tuple[Kind, str], ...] = (
        ("seat", "depth"), ("gas_lift", "seat_height"), ("arms", "height")
    )  # fmt: skip
    kind, field = kinds[at]
    span = getattr(parts[kind], field)
    if span is None:
        return
    change: dict[str, Any] = {field: (span[0] - wider, span[1] + wider)}
    widened = {**parts, kind: replace(parts[kind], **change)}
    before, after = (made_ready(demo(), fit, each, ()) for each in (parts, widened))
    assert sum(s.mm for s in after.shortfalls) <= sum(s.mm for s in before.shortfalls)
