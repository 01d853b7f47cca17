"""How measured and estimated dimensions are told."""

from __future__ import annotations

from consult.summary.known import FIT_USES
from consult.units import format_length
from tests.summary.calls import GOOD, state_of, summary_of


def test_measured_in_words() -> None:
    """A measure is told as the caller gave it, with what was noted beside it."""
    lines = summary_of(GOOD, notes={"lower_leg": "twice"}).measured
    told = {line.dimension: line for line in lines}
    assert told["popliteal_height"].say.text("metric") == "lower leg 37 cm, measured"
    assert told["popliteal_height"].say.text("imperial") == "lower leg 14½ in, measured"
    said = told["weight"].say.text("both")
    assert said == "weight 59 kg (9 st 4 lb), as told, counted as 60.4 kg (9 st 7 lb)"
    assert told["popliteal_height"].note == "twice"


def test_remembered_stature() -> None:
    """A stature from memory is told as said and as counted."""
    summary = summary_of({**GOOD, "height_origin": "remembered"})
    said = summary.measured[0].say.text("metric")
    used = next(one for one in state_of({**GOOD, "height_origin": "?"}).estimate.used)
    counted = format_length(used.value, "metric")
    assert said == f"stature 157.5 cm, from memory, counted as {counted}"


def test_estimated_in_words() -> None:
    """An estimate is told with its interval and what it comes from."""
    line = next(x for x in summary_of(GOOD).estimated if x.dimension == "hip_breadth_sitting")
    found = state_of(GOOD).estimate.dimensions["hip_breadth_sitting"]
    mean, low, high = (format_length(one, "metric") for one in (found.mean, found.low, found.high))
    assert line.say.text("metric") == (
        f"hip breadth about {mean} ({low} to {high}), estimated from these"
    )


def test_only_what_the_fit_uses() -> None:
    """Dimensions no figure rests on are not told, and no dimension twice."""
    summary = summary_of(GOOD)
    estimated = [line.dimension for line in summary.estimated]
    assert set(estimated) <= set(FIT_USES)
    assert not set(estimated) & {line.dimension for line in summary.measured}


def test_set_aside() -> None:
    """A measure too odd to use is told as not used, and the dimension is estimated."""
    summary = summary_of({**GOOD, "lower_leg": "51"})
    told = {line.dimension: line.say.text("metric") for line in summary.measured}
    assert told["popliteal_height"] == "lower leg 51 cm, not used until it is confirmed"
    assert "popliteal_height" in {line.dimension for line in summary.estimated}
    assert summary.plausibility[0].dimension == "popliteal_height"


def test_note_that_looks_like_a_blank() -> None:
    """A note is never filled in."""
    summary = summary_of(GOOD, notes={"lower_leg": "<said>"})
    assert "<said>" in [line.note for line in summary.measured]
