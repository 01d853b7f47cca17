"""What is still to be measured: what the tree asks for and the answers do not rule out."""

from __future__ import annotations

from pathlib import Path

import pytest

from consult.call.ahead import to_measure
from consult.call.call import Call
from consult.call.state import state_so_far
from consult.call.stops import warning_questions
from tests.call.calls import TODAY, call_of, seating, small, told

TREE = """
tree: little
title: A little tree
version: 1
first: where
questions:
  where:
    ask: Where?
    answer: choice
    choices: {here: Here, there: There}
    next:
      - when: where == there
        go: far
      - otherwise: near
  near:
    ask: How near?
    answer: length
    unit: cm
    expect: 10 to 50
    skip_when: not known(near) and known(sore) and sore == no
    next: sore
  far:
    ask: How far?
    answer: length
    unit: cm
    expect: 10 to 50
    next: sore
  sore:
    ask: Sore?
    answer: yes-no
    next: deep
  deep:
    ask: How deep?
    answer: length
    unit: cm
    expect: 10 to 50
    ask_when: sore
    next: end
"""

DESK = """
tree: little
title: A little tree
version: 1
first: height
questions:
  height: {ask: How high?, coach: With a tape., answer: length, unit: cm, sets: desk_height,
           next: kind}
  kind: {ask: What kind?, answer: choice, choices: {fixed: Fixed, adjustable: Adjustable},
         sets: desk_kind, next: lowest}
  lowest: {ask: How low?, coach: With a tape., answer: length, unit: cm, sets: desk_lowest,
           skip_when: kind == fixed, next: end}
"""
HIPS = """
tree: little
title: A little tree
version: 1
first: weight
questions:
  weight: {ask: How heavy?, answer: mass, unit: kg, measures: weight, next: stature}
  stature: {ask: How tall?, coach: With a tape., answer: length, unit: cm, measures: stature,
            next: hips}
  hips: {ask: How wide?, coach: With a tape., answer: length, unit: cm,
         measures: hip_breadth_sitting, next: end,
         skip_when: not known(hips) and body.hip_breadth_sitting < 42}
"""


def named(answers: dict[str, str]) -> set[str]:
    """What of the shipped tree is to be measured."""
    basis = seating()
    return {one.name for one in to_measure(basis, state_so_far(basis, call_of(answers)))}


@pytest.mark.parametrize(
    ("answers", "found"),
    [
        ({}, ["near", "far", "deep"]),
        ({"where": "here"}, ["near", "deep"]),
        ({"where": "there"}, ["far", "deep"]),
        ({"where": "here", "near": "20"}, ["deep"]),
        ({"where": "here", "near": "?"}, ["near", "deep"]),
        ({"where": "here", "sore": "no"}, []),
        ({"where": "here", "sore": "yes"}, ["near", "deep"]),
        ({"where": "there", "far": "20", "sore": "yes", "deep": "12"}, []),
    ],
)
def test_what_may_still_come(
    answers: dict[str, str], found: list[str], tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Both ways while nothing decides; only what has no figure; in the order of the tree."""
    basis = small(tmp_path_factory.mktemp("tree"), TREE)
    assert [one.name for one in to_measure(basis, told(basis, **answers))] == found


def test_all_of_the_shipped_tree_before_a_call() -> None:
    """Every length it asks for, and nothing else."""
    basis = seating()
    found = to_measure(basis, state_so_far(basis, Call(TODAY)))
    assert found == tuple(q for q in basis.tree.questions.values() if q.answer == "length")


@pytest.mark.parametrize(
    ("kind", "in_", "out"),
    [
        ("fixed", {"desk_height"}, {"desk_lowest", "desk_highest"}),
        ("adjustable", {"desk_lowest", "desk_highest"}, {"desk_height"}),
        ("none", set(), {"desk_height", "desk_lowest", "desk_highest", "desk_thickness"}),
        # Without a desk nothing hangs over the thighs.
        ("none", set(), {"thigh_height"}),
    ],
)
def test_the_desk(kind: str, in_: set[str], out: set[str]) -> None:
    """A desk that stays has one height, one that moves two, and none has none."""
    found = named({"stature": "165", "desk_kind": kind})
    assert in_ <= found
    assert not out & found


def left(folder: Path, text: str, **answers: str) -> list[str]:
    """What of a small tree is to be measured."""
    basis = small(folder, text)
    return [one.name for one in to_measure(basis, told(basis, **answers))]


def test_a_height_told_early_means_a_desk_that_stays(tmp_path: Path) -> None:
    """As the fit takes it: until its kind is told, its lowest setting is left out."""
    assert left(tmp_path, DESK) == ["height", "lowest"]
    assert left(tmp_path, DESK, height="73") == []
    assert left(tmp_path, DESK, height="73", kind="adjustable") == ["lowest"]


def test_what_the_body_rules_out(tmp_path: Path) -> None:
    """Before the stature is known nothing is ruled out by the body; afterwards it is."""
    assert left(tmp_path, HIPS) == ["stature", "hips"]
    assert left(tmp_path, HIPS, weight="52") == ["stature", "hips"]
    assert left(tmp_path, HIPS, weight="52", stature="160") == []
    assert left(tmp_path, HIPS, weight="130", stature="160") == ["hips"]


def test_without_a_tape_at_hand_everything_is_left_to_measure() -> None:
    """The sheet is for those who have no tape during the call; what they told is left out."""
    without = named({"stature": "165", "how_measure": "no_tape", "lower_leg": "41"})
    assert without == named({"stature": "165", "lower_leg": "41"})
    assert {"thigh_length", "elbow_height", "heel"} <= without
    assert "lower_leg" not in without


def test_nothing_after_a_stop() -> None:
    """Nobody is measured whom the call sent to somebody else."""
    basis = seating()
    signs = warning_questions(basis.tree)[0]
    sign = next(one for one in signs.choices if one not in (signs.exclusive, signs.doubt))
    now = told(basis, who_sits="caller", **{signs.name: sign})
    assert now.stopped is not None
    assert to_measure(basis, now) == ()
