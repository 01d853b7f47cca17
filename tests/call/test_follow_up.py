"""Two calls side by side: the numbers, the complaints, and whose they are to see."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest
from hypothesis import given, settings

from consult.call.basis import Basis, load_basis
from consult.call.follow_up import ThenAndNow, again, begin, compare
from consult.call.state import State
from consult.call.stops import WITHHELD
from consult.fit.requirements import Fit, Requirement
from consult.paths import trees_folder
from tests.call.calls import TODAY, call_of, seating, told, whole_call
from tests.long import every_case, examples

FIRST = {
    "caller_name": "Niamh Corrigan-Vale",
    "who_sits": "caller",
    "reasons": "not_comfortable",
    "sex": "female",
    "consent": "yes",
    "pain_sites": "lower_back, neck, hips",
    "warning_signs": "none",
    "pain_signs": "none",
    "special_care": "none",
    "stature": "168 cm",
    "stature_origin": "measured",
    "lower_leg": "40 cm",
    "thigh_length": "49 cm",
    "heel": "2 cm",
    "desk_kind": "adjustable",
    "desk_lowest": "62 cm",
    "desk_highest": "127 cm",
    "agreed": "recommended",
}
SECOND = {
    "first_reference": "7K3-M2Q",
    "caller_name": "Niamh Corrigan-Vale",
    "who_answers": "sitter",
    "chair_came": "came",
    "card_set": "not_yet_set",
    "consent": "yes",
    "pain_sites": "lower_back, neck, knees",
    "warning_signs": "none",
    "pain_signs": "none",
    "special_care": "none",
    "worse_now": "neck",
    "better_now": "lower_back",
    "still_disturbs": "arms_wrong",
    "seat_now": "46 cm",
    "arms_now": "27 cm",
}
HEALTH_WORDS = ("back", "neck", "hips", "knees", "Lower back", "Neck", "Hips", "gone", "worse")
SIGN = "sign_said"
SICK = {"warning_signs": "saddle_numb"}


@cache
def follow_up() -> Basis:
    """The shipped tree of a second call."""
    basis, problems = load_basis(trees_folder() / "follow_up.yaml")
    assert basis is not None, problems
    return basis


def first(**more: str) -> State:
    """The first call, with these answers otherwise; '' takes one out."""
    return told(seating(), **{name: said for name, said in (FIRST | more).items() if said})


def second(**more: str) -> State:
    """The second call, likewise."""
    return told(follow_up(), **{name: said for name, said in (SECOND | more).items() if said})


def by_topic(lines: tuple[ThenAndNow, ...]) -> dict[str, ThenAndNow]:
    """The lines by what they are about."""
    found = {line.topic: line for line in lines}
    assert len(found) == len(lines)
    return found


def text(lines: tuple[ThenAndNow, ...]) -> str:
    """All that is said."""
    return "\n".join(" ".join((x.topic, x.then, x.good, x.now, x.do, x.because)) for x in lines)


def one_figure(now: State, name: str) -> State:
    """A first call that advised 41 cm, acceptable from 37 to 43, of what is given."""
    figure = Requirement(name, 410, 370, 430, 0, "floor", "So.", ("common_practice",))
    return replace(now, fit=Fit({name: figure}, (), {}, {}))


# -- numbers ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("stands", "do"),
    [
        ("46 cm", "Lower the seat by 5 cm."),
        ("43.2 cm", "Lower the seat by 2 cm."),
        ("43 cm", "It is within the acceptable range. Change it only if it is uncomfortable."),
        ("41.5 cm", "It is set correctly. Leave it."),
        ("41 cm", "It is set correctly. Leave it."),
        ("40.4 cm", "It is within the acceptable range. Change it only if it is uncomfortable."),
        ("36.8 cm", "Raise the seat by 4 cm."),
    ],
)
def test_what_to_do_about_the_seat(stands: str, do: str) -> None:
    """By hand: advised 41, acceptable from 37 to 43; what to do goes to 41, in half centimetres."""
    line = by_topic(compare(one_figure(first(), "seat_height"), second(seat_now=stands), "metric"))
    seat = line["Seat height"]
    assert (seat.then, seat.good) == ("41 cm", "37 to 43 cm")
    assert (seat.now, seat.do, seat.because) == (stands, do, "")


@pytest.mark.parametrize(
    ("figure", "question", "topic", "do"),
    [
        ("seat_depth", "depth_now", "Seat depth", "Make the seat shorter by 4 cm."),
        ("desk_height", "desk_now", "Desk height", "Lower the desk by 26 cm."),
    ],
)
def test_every_number_has_its_words(figure: str, question: str, topic: str, do: str) -> None:
    """Depth and desk are told as what they are."""
    stands = {"depth_now": "45 cm", "desk_now": "67 cm"}[question]
    lines = compare(one_figure(first(), figure), second(**{question: stands}), "metric")
    assert by_topic(lines)[topic].do == do


def test_armrests_in_inches() -> None:
    """In the reader's units: advised 9 in, standing at 11, is 2 in too high."""
    figure = Requirement(
        "armrest_height", 228.6, 208, 249, 0, "loaded seat", "So.", ("common_practice",)
    )
    then = replace(first(), fit=Fit({"armrest_height": figure}, (), {}, {}))
    line = by_topic(compare(then, second(arms_now="11 in"), "imperial"))["Armrests above the seat"]
    assert (line.then, line.now) == ("9 in", "11 in")
    assert line.do == "Lower the armrests by 2 in."


def test_a_number_not_measured() -> None:
    """It is said that nobody measured it, and nothing is to be done about it."""
    line = by_topic(compare(first(), second(seat_now="?"), "metric"))["Seat height"]
    assert (line.now, line.do) == ("not measured", "")


def test_a_desk_that_does_not_move() -> None:
    """It has a line only where it was measured again; then the figures go by its new height."""
    fixed = {"desk_kind": "fixed", "desk_lowest": "", "desk_highest": "", "desk_height": "76 cm"}
    then = first(**fixed)
    assert "Desk height" not in by_topic(compare(then, second(), "metric"))
    now = second(desk_now="64 cm")
    lines = by_topic(compare(then, now, "metric", again(seating(), then, now)))
    assert lines["Desk height"].now == "64 cm"
    # The seat was raised to the high desk; at the low one the legs decide, (40 + 2) cos 5 degrees.
    assert lines["Seat height"].because.startswith("For the desk as it is now, it is 41.")


# -- was it the estimate? ---------------------------------------------------------------------


def test_an_estimate_that_was_the_cause() -> None:
    """The elbow was estimated, the armrests set to it; measured now it lies higher: that is why."""
    then = first()
    assert then.fit is not None
    advised = then.fit.requirements["armrest_height"].target
    now = second(arms_now=f"{advised:.0f} mm", elbow_height="27 cm")
    newer = again(seating(), then, now)
    line = by_topic(compare(then, now, "metric", newer))["Armrests above the seat"]
    assert line.because.startswith("The first figure was estimated. As measured now it is 26.")
    assert line.because.endswith("It was set as advised, so the estimate was wrong.")
    assert line.do.startswith("Raise the armrests by ")


def test_an_estimate_that_was_not_the_cause() -> None:
    """Armrests set otherwise than advised are not blamed on the estimate."""
    then, now = first(), second(arms_now="32 cm", elbow_height="27 cm")
    line = by_topic(compare(then, now, "metric", again(seating(), then, now)))
    assert "cause" not in line["Armrests above the seat"].because


def test_an_estimate_borne_out() -> None:
    """A measure that says the same says so."""
    then = first()
    assert then.fit is not None
    same = then.fit.requirements["armrest_height"].target
    now = second(elbow_height=f"{same:.0f} mm")
    line = by_topic(compare(then, now, "metric", again(seating(), then, now)))
    assert line["Armrests above the seat"].because.endswith("Today's measurement confirms it.")


def test_an_estimate_nobody_measured() -> None:
    """It is said how far it may be out, and what to measure."""
    line = by_topic(compare(first(), second(), "metric"))
    assert "Measure elbow rest height before" in line["Armrests above the seat"].because
    assert line["Seat height"].because == ""


def test_the_first_call_is_not_changed() -> None:
    """What is measured since stands beside it."""
    then = first()
    before = then.call
    newer = again(seating(), then, second(lower_leg="42 cm"))
    assert then.call is before
    assert newer.call.answers[: len(before.answers)] == before.answers
    assert newer.call.answers[len(before.answers) :][0].question == "lower_leg"
    assert again(seating(), then, second()) is then


# -- done or not ------------------------------------------------------------------------------


def test_what_was_done() -> None:
    """The chair agreed on and whether it came; whether it is set as the card says."""
    lines = by_topic(compare(first(), second(), "metric"))
    assert (lines["The chair"].then, lines["The chair"].now) == ("Yes, as suggested", "Yes")
    assert lines["Set as the card says"].now == "Not yet"
    assert lines["Set as the card says"].do


def test_the_footrest() -> None:
    """Advised and the feet still hang: it is said again, with its height."""
    high = {"desk_kind": "fixed", "desk_lowest": "", "desk_highest": "", "desk_height": "80 cm"}
    hang = by_topic(compare(first(**high), second(still_disturbs="feet_hang"), "metric"))
    assert hang["Footrest"].do == f"Put a footrest of about {hang['Footrest'].then} under the feet."
    rest = by_topic(compare(first(**high), second(), "metric"))["Footrest"]
    assert (rest.now, rest.do) == ("feet rest", "Leave it.")


# -- complaints -------------------------------------------------------------------------------


def test_complaints_place_by_place() -> None:
    """Gone, new, better, worse or the same, for the places named in either call."""
    lines = by_topic(compare(first(), second(), "metric"))
    assert lines["Hips or sit bones"].now == "gone"
    assert lines["Knees"].now == "new"
    assert lines["Lower back"].now == "better"
    assert lines["Neck"].now == "worse"
    assert "Wrists" not in lines
    same = by_topic(compare(first(), second(better_now="none"), "metric"))
    assert same["Lower back"].now == "the same"


@pytest.mark.parametrize("which", ["first", "second", "both"])
def test_no_complaint_without_consent_in_both(which: str) -> None:
    """Where either call has no consent, nothing about health is in the comparison."""
    no = {"consent": "no"}
    then = first(**no) if which in ("first", "both") else first()
    now = second(**no) if which in ("second", "both") else second()
    lines = compare(then, now, "metric", again(seating(), then, now))
    assert "Seat height" in by_topic(lines)
    assert not any(word in text(lines) for word in HEALTH_WORDS)


@given(whole_call(seating()), whole_call(follow_up()))
@settings(max_examples=examples(40), deadline=None)
def test_whatever_was_said(then: dict[str, str], now: dict[str, str]) -> None:
    """Nothing said makes it fail, and without consent no place of the body is named."""
    one, two = told(seating(), **then), told(follow_up(), **now)
    lines = compare(one, two, "both", again(seating(), one, two))
    places = set(follow_up().tree.questions["pain_sites"].choices.values())
    if not (one.consent and two.consent):
        assert not places & {line.topic for line in lines}


# -- stops ------------------------------------------------------------------------------------


def test_a_stop_now() -> None:
    """The caution is all there is."""
    (line,) = compare(first(), second(**SICK), "metric")
    assert line.topic == "This call is stopped"
    assert "call 999" in line.do
    assert (line.then, line.good, line.now, line.because) == ("", "", "", "")


def test_a_stop_then() -> None:
    """With consent in both calls its words; no figure, no complaint."""
    (line,) = compare(first(**SICK), second(), "metric")
    assert line.topic == "The first call was stopped"
    assert "urgent medical attention" in line.do


@pytest.mark.parametrize("which", ["first", "second"])
def test_a_stop_then_without_consent(which: str) -> None:
    """Why it was stopped is not told, only that it was."""
    then = first(**SICK, **({"consent": "no"} if which == "first" else {}))
    assert then.stopped is not None
    (line,) = compare(then, second(**({"consent": "no"} if which == "second" else {})), "metric")
    assert line.do == WITHHELD.say


def test_a_stop_that_tells_of_no_health() -> None:
    """That a young person was to sit there may be said."""
    (line,) = compare(first(who_sits="young_person", consent=""), second(consent="no"), "metric")
    assert "for adults" in line.do


# -- beginning --------------------------------------------------------------------------------


def test_a_second_call_begins_with_what_is_known() -> None:
    """Reference and name are answered, units and country as they were; nothing else of it."""
    before = replace(call_of(FIRST, "IE"), system="imperial")
    call = begin(follow_up().tree, before, "Niamh", "7K3-M2Q", TODAY)
    assert [(a.question, a.said) for a in call.answers] == [
        ("first_reference", "7K3-M2Q"),
        ("caller_name", "Niamh"),
    ]
    assert (call.system, call.country, call.today) == ("imperial", "IE", TODAY)
    # The questions of a tree decide: one that asks neither is told neither.
    assert begin(seating().tree, before, " ", "7K3-M2Q", TODAY).answers == ()


def test_an_ordinary_second_call_is_short() -> None:
    """All well: twelve questions at most besides the two that are answered already."""
    well = second(
        card_set="as_card",
        pain_sites="none",
        still_disturbs="none",
        seat_now="41.5 cm",
        arms_now="",
        next_step="closed",
    )
    assert well.finished
    assert 8 <= len(well.steps) - 2 <= 12


def test_a_warning_sign_stops_it_too() -> None:
    """The second call asks the same signs and stops at the same answers."""
    now = second(**SICK)
    assert now.stopped is not None
    assert now.current is not None
    assert now.current.name == "with_somebody"
    assert now.advice == ()


def test_what_got_worse_is_referred() -> None:
    """Pain that is worse is sent to a clinician."""
    raised = {one.caution.name: one for one in second().cautions}
    assert raised["worse_since"].caution.level == "refer"
    assert raised["worse_since"].contact


@every_case([one for one in follow_up().tree.questions["still_disturbs"].choices if one != SIGN])
def test_advice_for_everything_that_disturbs(each: str) -> None:
    """Each thing that may bother has advice of its own, in the order to try."""
    calm = {"card_set": "as_card", "consent": "no"}
    given_ = {one.advice.name for one in second(still_disturbs=each, **calm).advice}
    others = {one.advice.name for one in second(still_disturbs="?", **calm).advice}
    assert given_ - others


def test_a_sign_said_by_the_way_stops_the_second_call() -> None:
    """It stops without consent too, and nothing is advised for what else was named."""
    now = second(still_disturbs=f"seat_hard, {SIGN}", consent="no")
    assert now.stopped is not None
    assert now.stopped.name == "sign_by_the_way"
    assert now.advice == ()
    assert now.step("seat_now") is None


@pytest.mark.parametrize("limits", ["limits_for_good", "limits_unsure"])
def test_nobody_is_lowered_against_a_surgeon(limits: str) -> None:
    """Feet that hang get a rest in place of a lower seat where sitting low may be forbidden."""
    hang = {"still_disturbs": "feet_hang", "pain_sites": "none"}
    operated = {"operated_on": "hip_joint", "operated_ago": "over_a_year"}
    free, bound = (
        second(**hang, special_care="operation_before", **operated, operation_limits=one)
        for one in ("limits_none", limits)
    )
    names = [{each.advice.name for each in now.advice} for now in (free, bound)]
    assert "feet_to_rest" in names[0]
    assert "feet_to_rest_no_lower" not in names[0]
    assert "feet_to_rest_no_lower" in names[1]
    assert "feet_to_rest" not in names[1]
