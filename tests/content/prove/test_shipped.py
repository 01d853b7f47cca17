"""The trees that come with the program keep what they promise, to every caller there could be."""

from __future__ import annotations

import pytest

pytest.importorskip("z3", reason="the solver is not installed, so nothing can be proven")

from consult.call.basis import Basis
from consult.content.prove.promises import floor_promises, properties
from consult.content.prove.solving import Solving
from consult.content.prove.trying import Trying
from consult.content.prove.walk import Walked
from consult.content.prove.ways import Seeking, pieces_to_appear, witness
from consult.paths import shipped_trees
from consult.tree.folder import main_trees
from tests.call.calls import basis_of


@pytest.fixture(scope="module")
def seekings() -> dict[str, tuple[Basis, Seeking, Solving]]:
    found = {}
    for path in main_trees(shipped_trees()).values():
        basis = basis_of(path.stem)
        solving = Solving(Walked(basis.tree, basis.range is not None))
        found[path.stem] = basis, Seeking(Trying(basis), solving), solving
    return found


def test_promises(seekings: dict[str, tuple[Basis, Seeking, Solving]]) -> None:
    """Every promise and every pair of advice that must not meet is proven, in every main tree."""
    for basis, seeking, _ in seekings.values():
        floor = tuple(floor_promises(basis.tree, with_chairs=basis.range is not None))
        standings = list(properties(basis.tree, floor, seeking))
        assert len(standings) >= 10
        assert [one for one in standings if one.standing != "proven"] == []


def test_nothing_dead(seekings: dict[str, tuple[Basis, Seeking, Solving]]) -> None:
    """Whatever can be asked, said or called for can be so in one of the trees that use it."""
    dead, alive = {}, set()
    for basis, _, solving in seekings.values():
        for item in pieces_to_appear(basis.tree):
            if solving.can_be(item.formula(solving.walked)) == "no":
                dead[item.where] = item.name
            else:
                alive.add(item.where)
    assert [name for where, name in dead.items() if where not in alive] == []


def test_callers(seekings: dict[str, tuple[Basis, Seeking, Solving]]) -> None:
    """A real caller is found for every caution of the main tree that is possible in it."""
    basis, seeking, _ = seekings["seating"]
    for item in pieces_to_appear(basis.tree):
        if item.part != "caution":
            continue
        one = witness(item, seeking)
        assert one.found in ("found", "impossible"), item.name
        if one.caller is not None:
            held = seeking.trying.held(one.caller)
            assert held is not None
            assert held.came_up("caution", item.name)
