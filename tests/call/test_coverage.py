"""What calls come to of their trees."""

from __future__ import annotations

from pathlib import Path

import pytest

from consult.call.basis import Basis
from consult.call.expectation import Coverage, come_to, coverage, pieces_of
from consult.call.state import state
from consult.tree.load import load_tree
from tests.call.calls import call_of, seating, small, told

LITTLE = """\
tree: {name}
title: A little tree
version: 1
first: tired
works_out: nothing
questions:
  tired:
    ask: Are you tired?
    answer: yes-no
    next:
      - when: tired
        go: why
      - otherwise: end
  why:
    ask: Why is that?
    answer: choice
    choices: {{late: It is late, work: Much work}}
    next: the_rest
  the_rest:
    include: rest
    next: end
cautions:
  - name: sleep_first
    level: note
    when: why == late
    say: Please sleep first.
    source: common_practice
advice:
  - name: early_night
    topic: sleep
    when: tired
    say: Go to bed early.
    because: It helps.
    source: common_practice
"""
REST = """\
tree: rest
title: What both take in
version: 1
first: hours
questions:
  hours:
    ask: For how many hours did you sleep?
    answer: count
    read_by: people
    next: end
"""


@pytest.fixture
def little(tmp_path: Path) -> Basis:
    """A tree of three questions, the last of them in a sub-tree."""
    (tmp_path / "rest.yaml").write_text(REST, "utf-8")
    return small(tmp_path, LITTLE.format(name="little"))


def covering(*calls: tuple[str, Basis, dict[str, str]]) -> tuple[Coverage, ...]:
    states = [(name, basis.tree, told(basis, **answers)) for name, basis, answers in calls]
    return coverage(states)


def reached(one: Coverage) -> dict[str, tuple[str, ...]]:
    return {piece.name: calls for piece, calls in one.reached.items()}


def test_by_which_call(little: Basis) -> None:
    """Every piece names the calls that came to it, in their order; what none came to is told."""
    (one,) = covering(
        ("a", little, {"tired": "yes", "why": "work", "hours": "?"}),
        ("b", little, {"tired": "no"}),
    )
    assert (one.tree, one.version, one.calls) == ("little", "1", ("a", "b"))
    assert reached(one) == {
        "tired": ("a", "b"),
        "why": ("a",),
        "hours": ("a",),
        "sleep_first": (),
        "early_night": ("a",),
    }
    assert [(piece.part, piece.name) for piece in one.missed] == [("caution", "sleep_first")]


def test_an_open_question_is_not_reached(little: Basis) -> None:
    """A question that a call only stands before, or could not take the answer of, is no more."""
    (one,) = covering(("a", little, {"tired": "yes"}), ("b", little, {"tired": "who knows, eh"}))
    assert reached(one)["why"] == ()
    assert reached(one)["tired"] == ("a",)


def test_a_sub_tree_of_several_trees(little: Basis, tmp_path: Path) -> None:
    """What one tree's call reached of a shared sub-tree is reached in the other tree too."""
    folder = Path(little.tree.files[0]).parent
    assert folder == tmp_path
    file = folder / "other.yaml"
    file.write_text(LITTLE.format(name="other"), "utf-8")
    tree = load_tree(file)[0]
    assert tree is not None
    other = Basis(tree, little.contacts, little.population)
    both = covering(
        ("a", little, {"tired": "yes", "why": "late", "hours": "7"}),
        ("b", other, {"tired": "no"}),
    )
    assert [one.tree for one in both] == ["little", "other"]
    assert reached(both[1])["hours"] == ("a",)
    assert [piece.name for piece in both[1].elsewhere] == ["hours"]
    assert both[0].elsewhere == ()
    assert reached(both[1])["why"] == ()


def test_no_calls() -> None:
    """Nothing led is nothing to tell of."""
    assert coverage([]) == ()


def test_needs_count_where_a_chair_is_worked_out() -> None:
    """A tree that chooses a chair has its needs among the pieces; one that does not has none."""
    tree = seating().tree
    needs = [piece.name for piece in pieces_of(tree) if piece.part == "need"]
    assert needs == [need.name for need in tree.needs]


def test_a_stop_whose_reason_was_not_kept() -> None:
    """A stop withheld from the records is no piece of the tree, and breaks nothing."""
    call = call_of({"caller_name": "Ada"}).handle("", lifted="")
    now = state(seating(), call)
    assert ("caution", "") in set(come_to(now))
    (one,) = coverage([("kept", seating().tree, now)])
    assert all(piece.name for piece in one.reached)
