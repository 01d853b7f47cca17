"""What a call file says must come out, compared with what did."""

from __future__ import annotations

from pathlib import Path

import pytest

from consult.call.expectation import disappointments
from consult.call.state import state
from consult.call.transcript import load_transcript
from tests.call.calls import seating

CALL = """\
transcript: A short call
tree: seating
today: 2026-11-25
answers:
  - caller_name: Ada
  - who_sits: caller
  - sex: female
  - consent: no
  - warning_signs: none
  - stature: 157 cm
  - stature_origin: measured
  - weight: 59 kg
  - lower_leg: 37 cm
  - hours: 7
  - tasks: phone
  - desk_kind: fixed
  - desk_height: 76 cm
  - floor: carpet
expect:
"""


def said(folder: Path, *expected: str) -> list[str]:
    """The problems of the call with these expectations, as texts."""
    file = folder / "call.yaml"
    file.write_text(CALL + "".join(f"  {line}\n" for line in expected), encoding="utf-8")
    transcript, problems = load_transcript(file)
    assert transcript is not None, problems
    found = disappointments(transcript, state(seating(), transcript.call))
    assert all(problem.rule == "expectation" for problem in found)
    return [str(problem) for problem in found]


@pytest.mark.parametrize(
    "expected",
    [
        "finished: no",
        "stopped: no",
        "cautions: []",
        "advice: [headset, breaks]",
        "asked: [stature, warning_signs]",
        "not_asked: [pain_sites]",
        "plausibility: []",
        "parts: []",
        "fit.desk_too_high: yes",
        "fit.desk_too_low: no",
        "fit.standing_desk_height: absent",
        "fit.seat_height: 40 to 60",
        "body.weight: 50 to 70",
        "body.popliteal_height: 36 to 39",
        "missing: [thigh_room]",
    ],
)
def test_met(tmp_path: Path, expected: str) -> None:
    """An expectation that the call meets says nothing."""
    assert said(tmp_path, expected) == []


@pytest.mark.parametrize(
    ("expected", "words"),
    [
        ("finished: yes", "finished: no came out"),
        ("stopped: yes", "stopped: no came out"),
        ("cautions: [chest_signs]", "chest_signs did not come out"),
        ("advice: [laptop]", "laptop did not come out"),
        ("asked: [pain_sites]", "pain_sites did not come out"),
        ("not_asked: [stature, pain_sites]", "stature was asked"),
        ("plausibility: [stature]", "stature did not come out"),
        ("missing: []", "thigh_room came out besides"),
        ("missing: [seat_depth]", "seat_depth did not come out and thigh_room came out besides"),
        ("parts: [NO-SUCH-PART]", "NO-SUCH-PART did not come out"),
        ("fit.desk_too_high: no", "yes came out"),
        ("fit.desk_too_high: 54", "neither yes nor no"),
        ("fit.desk_too_low: 54", "neither yes nor no"),
        ("fit.seat_height: 10 to 12", "came out, not 10 to 12"),
        ("fit.seat_height: 45", "came out, not 45"),
        ("fit.seat_height: absent", "not absent"),
        ("fit.desk_too_high: absent", "not absent"),
        ("fit.seat_height: high", "not a number or a span"),
        ("fit.seat_height: [1, 2]", "not a number or a span"),
        ("fit.standing_desk_height: 100", "could not be worked out"),
        ("fit.seat_hight: 45", "Did you mean 'seat_height'?"),
        ("body.wait: 45", "There is no body.wait"),
        ("body.weight: 590", "came out, not 590"),
    ],
)
def test_unmet(tmp_path: Path, expected: str, words: str) -> None:
    """Each expectation that is not met says so in words, at its own line."""
    found = (
        said(tmp_path, "finished: no", expected)
        if "finished" not in expected
        else said(tmp_path, "stopped: no", expected)
    )
    assert len(found) == 1
    assert words in found[0]
    assert f":{CALL.count(chr(10)) + 2}:3: " in found[0]


def test_after_a_stop_there_is_no_fit(tmp_path: Path) -> None:
    """A stopped call has no fit to expect numbers of, and 'absent' says so."""
    text = CALL.replace("consent: no", "consent: yes").replace(
        "  - warning_signs: none\n", "  - pain_sites: legs\n  - warning_signs: chest\n"
    )
    file = tmp_path / "call.yaml"
    file.write_text(text + "  stopped: yes\n  fit.seat_height: absent\n  fit.desk_height: 70\n")
    transcript, problems = load_transcript(file)
    assert transcript is not None, problems
    found = disappointments(transcript, state(seating(), transcript.call))
    assert ["desk_height could not be worked out" in str(one) for one in found] == [True]


def test_an_answer_by_another_name_that_cannot_be_used(tmp_path: Path) -> None:
    """It is told as the file names it, where the file says it."""
    file = tmp_path / "call.yaml"
    file.write_text(CALL.replace("sex: female", "trouble: it tips") + "  stopped: no\n", "utf-8")
    transcript, problems = load_transcript(file)
    assert transcript is not None, problems
    (problem,) = disappointments(transcript, state(seating(), transcript.call))
    assert str(problem).startswith(f"{file}:7:5: error: 'trouble' was not understood: “it tips”")
