"""What must hold in every main tree, of many simulated callers.

Each tree is led in parts, so that the tests can be spread over several processors.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from consult.call.state import with_chair
from consult.content.callers.report import callers_report, ended_call, faults
from consult.content.callers.simulation import led_state
from consult.content.effect.differences import result_chair
from consult.paths import trees_folder
from consult.summary.directions import state_pieces
from consult.tree.folder import main_trees
from consult.tree.shares import Amount, QuestionShares, Shares
from tests.call.calls import basis_of
from tests.content.callers.people import SEED, led, shares, source
from tests.long import LONG

TREES = main_trees(trees_folder())
CALLERS = 2000 if LONG else 30
"""Of each tree; 2,000 in a long run. ``test_ten_minutes`` leads 120 through the first."""
DRAWERS = 2000 if LONG else 60
PARTS = 4 if LONG else 1
CHAIRS = 60 if LONG else 8
"""Callers of each tree for whom the chair is chosen as well, which takes longer."""
LONGEST = 2 / 3
"""Of all questions of a tree, those that the median caller may be asked at the most."""
SHORT = 15
"""Questions; a call that short need not leave out a third of its tree."""


def test_every_main_tree_is_tried() -> None:
    """The trees of the folder are found by themselves, the first and the second call among them."""
    assert {"seating", "follow_up", "team_order"} <= TREES.keys()
    assert all(file.parent == Path(trees_folder()) for file in TREES.values())


@pytest.mark.parametrize("part", range(PARTS))
@pytest.mark.parametrize("tree", TREES)
def test_nobody_fares_badly(tree: str, part: int) -> None:
    """Every call ends; no advice contradicts or follows a stop, and no two pieces of a call's
    documents are opposed; no health before a clear yes;
    half the calls are short, or a third shorter than asking everything; every chair carries."""
    basis = basis_of(tree)
    each = CALLERS // PARTS
    numbers = range(part * each + 1, (part + 1) * each + 1)
    states = {number: with_chair(basis, led(tree, number)) for number in numbers}
    pieces = state_pieces(basis)
    calls = (ended_call(basis.tree, number, now, pieces) for number, now in states.items())
    found = callers_report(basis.tree, calls)
    lengths = found.lengths
    print(f"{tree}: median {lengths.median:g} of {lengths.of} questions, at most {lengths.longest}")
    assert [f"{one.kind}: {one.what}, caller {one.sample}" for one in found.troubles] == []
    few = lengths.median <= SHORT or lengths.share <= LONGEST
    assert few, f"{lengths.median:g} of {lengths.of} questions"
    weak = []
    for number in numbers[: CHAIRS // PARTS]:
        chair = result_chair(basis, states[number])
        told = [one for one in states[number].estimate.used if one.dimension == "weight"]
        mass = max((one.value + 1.645 * one.sd for one in told), default=None)
        if chair is None or mass is None:
            continue
        assert basis.range is not None
        ratings = {
            part.code: part.rating
            for parts in basis.range.parts.values()
            for part in parts
            if part.rating is not None
        }
        carrying = {code: ratings[code] for code in chair.codes.values() if code in ratings}
        weak += [f"caller {number}: {code}" for code, kg in carrying.items() if kg < mass]
        assert carrying or not chair.codes
    assert weak == []


def with_drawers() -> Shares:
    """The same callers at a desk with a drawer of 60 to 150 mm above their lap."""
    drawer = QuestionShares(
        mean=Amount("length", 105, 105),
        spread=Amount("length", 40, 40),
        within=Amount("length", 60, 150),
        unknown=0,
    )
    desks = {
        "desk_thickness": drawer,
        "desk_kind": QuestionShares(shares={"fixed": 80, "adjustable": 20, "none": 0}, unknown=0),
        "under_desk": QuestionShares(chances={"none": 0, "drawer": 90}, unknown=0),
    }
    return Shares(questions=desks).over(shares())


@pytest.mark.parametrize("part", range(PARTS))
def test_drawers_get_one_answer(part: int) -> None:
    """Nobody at a desk with a drawer is sent two opposed ways, by whatever document."""
    basis = basis_of("seating")
    of = source(with_drawers(), SEED)
    each = DRAWERS // PARTS
    short = 0
    for number in range(part * each + 1, (part + 1) * each + 1):
        now = with_chair(basis, led_state(basis, of, number))
        found = faults(basis.tree, now, state_pieces(basis))
        opposed = [one.what for one in found if one.kind == "opposed"]
        assert opposed == [], f"caller {number}"
        told = now.fit.quantities if now.fit is not None else {}
        short += told.get("thigh_room_short") is True and told.get("desk_too_high") is True
    # Otherwise the callers would not show what they are there for.
    assert short > each / 6
