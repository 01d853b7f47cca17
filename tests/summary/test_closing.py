"""The end of a call: nothing missing is hidden, nothing unsure is told as certain."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from consult.call.call import Call
from consult.call.state import state
from consult.summary.closing import closing
from consult.summary.model import summarise
from consult.units import format_length
from tests.ui.desk import demo, demo_basis


def closed(call: Call) -> Mapping[str, tuple[str, ...]]:
    now = state(demo_basis(), call)
    return closing(demo_basis(), now, summarise(demo_basis(), now), call.system)


def test_a_whole_call_misses_nothing() -> None:
    """Every question answered and a follow-up agreed: nothing is missing."""
    assert "Still missing" not in closed(demo("01").call)


def test_open_questions_are_missing() -> None:
    """Every question still open on the way is named, and so is the day for the follow-up."""
    call = demo("01").call
    call = replace(call, answers=call.answers[:12])
    now = state(demo_basis(), call)
    open_ = [step.question for step in now.steps if step.status == "open"]
    missing = closed(call)["Still missing"]
    assert len(open_) > 4
    assert missing[0].startswith("Not asked yet: ")
    for one in open_:
        assert one.name.replace("_", " ").capitalize() in missing[0]
    assert "No day for a follow-up call was agreed." in missing


def test_a_few_open_questions_are_missing_word_for_word() -> None:
    """So that they can be asked from the page."""
    call = demo("01").call
    now = state(demo_basis(), replace(call, answers=call.answers[:-1]))
    (open_,) = [step.question for step in now.steps if step.status == "open"]
    missing = closed(now.call)["Still missing"]
    assert any(line.endswith(open_.ask) for line in missing)


def test_unknown_answers_are_unsure() -> None:
    """What the caller did not know is named, and a figure that wide is told with its width."""
    call = demo("01").call
    told = replace(
        call,
        answers=tuple(
            replace(one, said="?") if one.question in ("thigh_length", "elbow") else one
            for one in call.answers
        ),
    )
    unknown = [s.question.name for s in state(demo_basis(), told).steps if s.status == "unknown"]
    assert unknown
    unsure = closed(told)["Unsure"]
    for name in unknown:
        assert any(line.lower().startswith(name.replace("_", " ")) for line in unsure)


def test_the_read_back_has_the_figures_in_the_callers_units() -> None:
    """Every setting of the chair is read back, in the units the caller uses."""
    call = demo("01").call
    now = state(demo_basis(), call)
    assert now.picked is not None
    said = " ".join(closed(call)["Read back"])
    for name in ("seat_height", "seat_depth", "armrest_height", "footrest_height"):
        assert format_length(now.picked.settings[name], call.system) in said


def test_a_stopped_call_reads_back_no_chair() -> None:
    """The stop is said once more, and no part and no figure is read back."""
    call = demo("04").call
    found = closed(call)
    now = state(demo_basis(), call)
    assert now.cautions[0].say in found["Say once more"]
    (only,) = found["Read back"]
    assert only.endswith("Please do first what I asked you to do.")


def test_a_chair_that_nobody_wants_is_not_read_back_as_agreed() -> None:
    """It is told as what would be suggested, without figures to set it by."""
    call = demo("05").call
    now = state(demo_basis(), call)
    assert now.agreed == "none"
    assert now.picked is not None
    lines = closed(call)["Read back"]
    assert any("won't order" in line for line in lines)
    assert not any(line.startswith("The chair:") for line in lines)
    assert any(line.startswith("The one I would suggest: ") for line in lines)
    assert format_length(now.picked.settings["seat_height"], call.system) not in " ".join(lines)


def test_sections_leave_out_what_is_empty() -> None:
    """A title never stands without a line."""
    titles = [*closed(demo("01").call)]
    assert "Still missing" not in titles
    assert "Read back" in titles


def test_timed_calls_say_how_long() -> None:
    """The length is told once the answers were timed, and never as a limit."""
    call = demo("01").call
    timed = replace(call, answers=tuple(replace(one, took=20.0) for one in call.answers))
    assert "Length of the call" not in closed(call)
    (length,) = closed(timed)["Length of the call"]
    assert length.startswith(f"{round(len(call.answers) / 3)} minutes")
