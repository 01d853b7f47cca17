"""The chair of today: when its numbers are asked, and what is said about them."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import yaml

from consult.call.state import State
from consult.fit.workplace import Present
from consult.paths import trees_folder
from consult.tree.check import check_tree
from tests.call.calls import seating, small, told

BASE = {
    "who_sits": "caller",
    "sex": "female",
    "consent": "no",
    "stature": "168 cm",
    "lower_leg": "40 cm",
    "thigh_length": "49 cm",
    "elbow_height": "24 cm",
    "heel": "2 cm",
    "desk_kind": "adjustable",
    "arm_use": "arms_rested",
}


def asked(now: State) -> set[str]:
    """Which of the two are asked."""
    return {step.question.name for step in now.steps} & {"chair_height", "chair_depth"}


def names(now: State) -> set[str]:
    """The advice given."""
    return {one.advice.name for one in now.advice}


@pytest.mark.parametrize(
    ("reasons", "which"),
    [
        ("chair_worn", {"chair_height"}),
        ("?", {"chair_height"}),
        ("feet_dangle, too_deep", {"chair_height", "chair_depth"}),
        ("sinks", set()),
        ("too_deep, sinks", set()),
        ("too_deep, unsafe", set()),
        ("first_chair, too_deep", set()),
    ],
)
def test_asked_only_where_it_helps(reasons: str, which: set[str]) -> None:
    """Where the topic is open: the depth where it presses, nothing of a chair that may break."""
    assert asked(told(seating(), **BASE, reasons=reasons)) == set()
    assert asked(told(seating(), **BASE, reasons=reasons, topics_opened="present_chair")) == which


def test_limits_on_sitting_low_open_it() -> None:
    """Who was told not to sit low is asked how high they sit today; others are not."""
    health = {"consent": "yes", "warning_signs": "none", "pain_sites": "none"}
    operated = {"operated_on": "hip_joint", "operated_ago": "over_a_year"}
    for limits, which in (("limits_for_good", {"chair_height"}), ("limits_none", set())):
        now = told(
            seating(),
            **BASE | health | operated,
            special_care="operation_before",
            operation_limits=limits,
        )
        assert asked(now) == which


@pytest.mark.parametrize("more", [{}, {"how_measure": "no_tape"}])
def test_told_by_name_it_always_counts(more: dict[str, str]) -> None:
    """A number nobody would have asked for is taken all the same, with a tape at hand or none."""
    measured = {"chair_height": "46 cm", "chair_depth": "18 in"}
    now = told(seating(), **BASE, **measured, **more, reasons="chair_worn")
    assert now.present == Present(460, 457.2, None)
    assert asked(now) == {"chair_height", "chair_depth"}
    assert asked(told(seating(), **BASE, **more, reasons="chair_worn")) == set()


@pytest.mark.parametrize("reasons", ["sinks", "unsafe"])
def test_a_chair_that_may_break_is_not_compared(reasons: str) -> None:
    """Its numbers count for nothing, told or not."""
    now = told(seating(), **BASE, reasons=reasons, chair_height="52 cm", chair_depth="48 cm")
    assert now.present == Present()
    assert not names(now) & {"seat_stands_high", "seat_is_deep"}


def test_not_known() -> None:
    """'?' is an answer, and nothing is known."""
    now = told(
        seating(),
        **BASE,
        reasons="feet_dangle",
        topics_opened="present_chair",
        chair_height="?",
    )
    assert now.present == Present()


@pytest.mark.parametrize(
    ("name", "said", "advice"),
    [
        # By hand: legs 40 + 2, times cos 5 degrees: 41.8 at most. Depth 43.
        ("chair_height", "46 cm", "seat_stands_high"),
        ("chair_height", "42 cm", None),
        ("chair_height", "37 cm", "seat_stands_low"),
        ("chair_depth", "48 cm", "seat_is_deep"),
        ("chair_depth", "44 cm", None),
    ],
)
def test_what_is_said_of_it(name: str, said: str, advice: str | None) -> None:
    """A number that is out is told with what would suit; one that is not is left alone."""
    compared = {"seat_stands_high", "seat_stands_low", "seat_high_by_the_desk", "seat_is_deep"}
    now = told(seating(), **BASE, reasons="chair_worn", **{name: said})
    assert names(now) & compared == ({advice} if advice else set())


def test_a_guess_is_never_held_against_the_chair() -> None:
    """Without the leg measured, a seat of today is not called too high."""
    now = told(
        seating(),
        **BASE | {"lower_leg": "?"},
        reasons="feet_dangle",
        chair_height="52 cm",
    )
    assert "seat_stands_high" not in names(now)


def test_a_seat_kept_up_by_the_desk() -> None:
    """At a desk too high the seat stays up, and the feet get a rest at once."""
    high = {"desk_kind": "fixed", "desk_height": "80 cm"}
    now = told(seating(), **BASE | high, chair_height="52 cm")
    assert "seat_high_by_the_desk" in names(now)
    assert "seat_stands_high" not in names(now)


def test_a_question_that_names_itself(tmp_path: Path) -> None:
    """Its own answer is seen by its skip_when; one that does not name itself stays skipped."""
    text = """\
tree: little
title: Little
version: 1
first: kind
works_out: nothing
questions:
  kind:
    ask: Which?
    answer: choice
    choices: {one: One, two: Two}
    next: kept
  kept:
    ask: How long?
    coach: With a tape.
    answer: length
    unit: cm
    skip_when: not known(kept) and kind == one
    next: lost
  lost:
    ask: How deep?
    coach: With a tape.
    answer: length
    unit: cm
    read_by: people
    skip_when: kind == one
    next: end
"""
    basis = small(tmp_path, text)
    assert check_tree(tmp_path / "little.yaml") == []
    now = told(basis, kind="one", kept="5 cm", lost="5 cm")
    assert [step.question.name for step in now.steps] == ["kind", "kept"]
    assert [step.question.name for step in told(basis, kind="one").steps] == ["kind"]
    assert [step.question.name for step in told(basis, kind="one", kept="?").steps] == ["kind"]
    # And of such a tree no figure comes.
    assert (now.fit, now.missing) == (None, {})


@pytest.mark.parametrize("file", ["follow_up.yaml", "present_chair.yaml"])
def test_no_long_sentences(file: str) -> None:
    """Whatever is read aloud has at most thirty words to a sentence."""
    found = yaml.safe_load((trees_folder() / file).read_text("utf-8"))
    blocks = [*found["questions"].values(), *found["cautions"], *found["advice"]]
    texts = [str(one.get(key, "")) for one in blocks for key in ("ask", "coach", "say", "because")]
    long = [one for text in texts for one in re.split(r"[.?:!] ", text) if len(one.split()) > 30]
    assert long == []
