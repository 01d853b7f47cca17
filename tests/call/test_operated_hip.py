"""After a hip, knee or spine operation nothing in a call lowers the seat.

The caller: a hip operation within a year, told for good not to sit low or not sure of the limits,
a seat of 46 cm today, a lower leg of 36 cm that would suit 38. Hospital leaflets on hip replacement
(Leeds Teaching Hospitals, RNOH): knees below the hips, no low seats, do not lower.
"""

from __future__ import annotations

import re

import pytest

from consult.call.state import State
from consult.summary.model import summarise
from consult.summary.render import Writer
from tests.call.calls import seating, told

HIP = {
    "caller_name": "Ada",
    "who_sits": "caller",
    "reasons": "feet_dangle, not_comfortable",
    "sex": "female",
    "consent": "yes",
    "pain_sites": "none",
    "emergency_signs": "none",
    "urgent_signs": "none",
    "special_care": "operation_before",
    "operated_on": "hip_joint",
    "operated_ago": "within_a_year",
    "operation_limits": "limits_for_good",
    "stature": "158 cm",
    "stature_origin": "measured",
    "weight": "62 kg",
    "lower_leg": "36 cm",
    "thigh_length": "46 cm",
    "elbow_height": "23 cm",
    "heel": "2 cm",
    "short_trouble": "climbs_up",
    "hours": "6",
    "tasks": "keyboard",
    "desk_kind": "adjustable",
    "desk_lowest": "58 cm",
    "desk_highest": "120 cm",
    "desk_thickness": "2.5 cm",
    "chair_trouble": "hard_seat",
    "chair_height": "46 cm",
}
LIMITS = ("limits_for_good", "limits_unsure")
JOINTS = ("hip_joint", "knee_joint", "spine")
LOWERING = re.compile(
    # Who wears varifocals lowers the screen.
    r"(?<!with varifocals, )\b(lower|bring|take|put) (it|the seat|your seat)( down)?\b(?! and )"
    r"|lower it today",
    re.I,
)


def call(**more: str) -> State:
    answers = {name: said for name, said in (HIP | more).items() if said}
    return told(seating(), **answers)


@pytest.mark.parametrize("limits", LIMITS)
@pytest.mark.parametrize("joint", JOINTS)
def test_no_number_is_below_the_seat_of_today(limits: str, joint: str) -> None:
    """Target, band, chair and steps stay at 46 cm or above, whichever joint and whichever doubt."""
    now = call(operation_limits=limits, operated_on=joint)
    assert now.stopped is None
    assert now.fit is not None
    seat = now.fit.requirements["seat_height"]
    assert 460.0 <= seat.low <= seat.target <= seat.high
    assert now.picked is not None
    assert now.picked.settings["seat_height"] >= 460.0
    summary = summarise(seating(), now)
    (step,) = [one for one in summary.setup_steps if one.topic == "seat_height"]
    assert step.do.lengths["value"] >= 460.0
    assert summary.fit["seat_height"].low >= 460.0


@pytest.mark.parametrize("limits", LIMITS)
@pytest.mark.parametrize("desk", ["adjustable", "fixed", "none"])
@pytest.mark.parametrize("paper", ["caller", "card", "file"])
def test_no_document_says_lower(limits: str, desk: str, paper: str) -> None:
    """No document for the caller or the file tells anybody to lower the seat."""
    height = "64 cm" if desk == "fixed" else ""
    now = call(operation_limits=limits, desk_kind=desk, desk_height=height)
    writer = Writer(seating(), now, reference="7K3-M2Q")
    text = " ".join(writer.write("text", paper).decode().split())  # type: ignore[arg-type]
    said = [found.group() for found in LOWERING.finditer(text)]
    allowed = re.findall(r"Do not lower (?:it|the seat)", text)
    assert len(said) == len(allowed), said
    assert "thighs lie about level" not in text
    if paper == "card":
        assert "Do not set the seat lower than 46 cm" in text


def test_seat_of_today_not_known() -> None:
    """It is asked, and until it is known the caller hears to measure it before anything is set."""
    now = call(chair_height="")
    step = now.step("chair_height")
    assert step is not None
    assert step.status == "open"
    assert now.fit is not None
    (note,) = [one for one in now.fit.notes if one.name == "seat_kept_up"]
    assert "Measure the seat you have now" in note.say.text("metric")
    assert now.fit.requirements["seat_height"].low == pytest.approx(
        now.estimate.dimensions["popliteal_height"].mean + 20
    )


def test_without_limits_the_seat_comes_down() -> None:
    """The same caller without limits is told 38 cm and to lower the seat."""
    now = call(operation_limits="limits_none", operated_on="knee_joint")
    assert now.fit is not None
    assert 370 < now.fit.requirements["seat_height"].target < 390
    assert "seat_stands_high" in [one.advice.name for one in now.advice]


def test_a_limit_taken_back_is_forgotten() -> None:
    """Amending the limits works the fit out anew."""
    now = call(operation_limits="limits_for_good")
    free = call(operation_limits="limits_none")
    assert now.fit is not None
    assert free.fit is not None
    assert now.fit.quantities["seat_kept_up"] is True
    assert free.fit.quantities["seat_kept_up"] is False


def test_employer_learns_nothing() -> None:
    """The note about not sitting low is in no document of the employer's or the order team's."""
    for paper in ("employer", "order"):
        writer = Writer(seating(), call(), reference="7K3-M2Q")
        text = " ".join(writer.write("text", paper).decode().split())
        assert "Do not set the seat lower" not in text
