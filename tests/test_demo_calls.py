"""The demo calls replay as they say they do, and between them cover what must be covered."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from consult.call.call import THOROUGH, Call
from consult.call.expectation import disappointments
from consult.call.state import state_so_far
from consult.call.transcript import unknown_questions
from tests.call.calls import DEMOS, basis_of, replayed, transcript_of
from tests.long import every_case

_TOO_FEW = 6


def told_early(call: Call) -> Iterator[str]:
    """The questions that something else was asked instead of when their answer came."""
    for at, answer in enumerate(call.answers):
        now = state_so_far(basis_of("seating"), replace(call, answers=call.answers[:at]))
        if now.current is not None and now.current.name != answer.question:
            yield answer.question


def expecting(**wanted: object) -> list[Path]:
    """The demo calls whose expectations hold all of these."""
    names = {name.replace("__", "."): value for name, value in wanted.items()}
    return [file for file in DEMOS if names.items() <= dict(transcript_of(file).expect).items()]


@every_case(DEMOS)
def test_replays_as_expected(file: Path) -> None:
    """Nothing that the file expects fails to come out, every answer is understood and used, and
    the file says how the call ends, whom it warns, what it advises; of a fitting its figures."""
    transcript, now = transcript_of(file), replayed(file)
    tree = basis_of(transcript.tree).tree
    assert unknown_questions(transcript, tree.questions) == []
    assert [str(one) for one in disappointments(transcript, now)] == []
    assert now.finished
    on_the_way = {step.question.name for step in now.steps}
    asked = {answer.question for answer in now.call.answers} - {THOROUGH}
    assert asked <= on_the_way
    assert {step.status for step in now.steps} <= {"answered", "unknown"}
    expect = transcript.expect
    assert expect.keys() >= {"finished", "stopped", "cautions", "advice", "plausibility"}
    if expect["stopped"] == "no":
        assert len([name for name in expect if name.startswith("fit.")]) >= 2


def test_enough_of_them() -> None:
    """There are at least six."""
    assert len(DEMOS) >= _TOO_FEW


def test_a_high_fixed_desk() -> None:
    """One caller is too short for a fixed desk and needs a footrest."""
    assert expecting(fit__desk_too_high="yes", fit__footrest_needed="yes")


def test_a_low_desk() -> None:
    """One caller is too tall for the desk, and has no room for the thighs."""
    assert expecting(fit__desk_too_low="yes", fit__thigh_room_short="yes")


def test_back_pain_without_warning_signs() -> None:
    """One caller's back aches without warning signs: fitted, with a general caution."""
    files = expecting(stopped="no", cautions=["general_chair_advice"])
    states = [replayed(file) for file in files]
    assert any({"lumbar", "seat_angle"} <= {g.advice.topic for g in now.advice} for now in states)


def test_warning_signs() -> None:
    """One call is stopped, and still comes to its end."""
    files = expecting(stopped="yes", finished="yes", advice=[])
    assert files
    for file in files:
        now = replayed(file)
        assert now.cautions[0].caution.level == "stop"
        assert now.picked is None


def test_a_caller_who_knows_nothing() -> None:
    """One caller can measure nothing and gives no consent, and is fitted all the same."""
    found = []
    for file in DEMOS:
        now = replayed(file)
        if not basis_of(transcript_of(file).tree).tree.fits:
            continue
        measured = [s for s in now.steps if s.question.measures and s.status == "answered"]
        if not measured and now.stopped is None:
            found.append(now)
    assert found
    for now in found:
        assert now.consent is False
        assert now.fit is not None
        assert now.estimate.dimensions["popliteal_height"].sd > 25


def test_armrests_that_meet_the_desk() -> None:
    """One caller telephones all day, and the armrests hit the desk."""
    files = expecting(fit__arms_meet_desk="yes")
    assert files
    assert any("headset" in {g.advice.topic for g in replayed(file).advice} for file in files)


def test_second_calls() -> None:
    """A second call works out no chair; one talks of health again, and one keeps it to itself."""
    found = [replayed(file) for file in DEMOS if transcript_of(file).tree == "follow_up"]
    # Consent is not asked of somebody else on the telephone.
    assert {now.consent for now in found} >= {True, False}
    for now in found:
        assert (now.fit, now.picked, now.needs) == (None, None, ())
        # Nobody sits on a seat that sinks, to measure it.
        if "sinking_seat" in {one.caution.name for one in now.cautions}:
            assert now.present.seat_height is None
    assert any(now.present.seat_height is not None for now in found)


def test_ways_to_lead_a_call() -> None:
    """One call is led in full, in one there is no tape, in some the adviser opens a topic, and
    some callers tell things before they are asked."""
    calls = [transcript_of(file).call for file in DEMOS if transcript_of(file).tree == "seating"]
    assert any(call.thorough for call in calls)
    assert any(answer.said == "no tape" for call in calls for answer in call.answers)
    assert sum("topics_opened" in call.latest() for call in calls) > 1
    assert sum(any(told_early(call)) for call in calls) > 1


def test_units_and_countries_vary() -> None:
    """Between them they show every way of units and more than one country."""
    calls = [transcript_of(file).call for file in DEMOS]
    assert {call.system for call in calls} == {"metric", "imperial", "both"}
    assert len({call.country for call in calls}) > 1
