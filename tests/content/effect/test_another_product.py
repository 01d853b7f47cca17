"""Simulated callers of the worked example: what they get, and what an edit of its parts changes."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from shutil import copytree

from consult.body.population import load_population
from consult.call.basis import Basis, load_basis
from consult.call.state import with_chair
from consult.content.callers.simulation import CallerSource, came_to, drawn, led_state
from consult.content.effect.compared import effect
from consult.paths import shipped_trees
from consult.tree.shares import load_shares
from tests.call.calls import TODAY

EXAMPLE = shipped_trees() / "examples" / "desk_fitting"


@cache
def source() -> CallerSource:
    """Callers who answer as the example's file says."""
    shares, problems = load_shares(EXAMPLE / "callers.yaml")
    assert shares is not None, problems
    return CallerSource(shares, load_population(), 3, TODAY)


def loaded(folder: Path) -> Basis:
    """The tree of a folder, with what it sells."""
    basis, problems = load_basis(folder / "desk_fitting.yaml")
    assert basis is not None, problems
    return basis


def test_most_get_a_desk_that_suits_their_true_body() -> None:
    """Nobody is offered a desk before the warning signs, and it suits nearly all, as measured."""
    basis = loaded(EXAMPLE)
    results = [
        one
        for number in range(20)
        for one in came_to(
            basis, source(), number, with_chair(basis, led_state(basis, source(), number))
        )
    ]
    assert len(results) > 7
    assert all(one.heard_signs and one.could_fit for one in results)
    assert sum(one.fits for one in results) >= 0.9 * len(results)
    assert all(one.musts.has == one.musts.of for one in results)


def test_an_edit_of_a_part_shows_who_gets_another(tmp_path: Path) -> None:
    """A frame that does not go as high is replaced for those who need the height."""
    copytree(EXAMPLE, tmp_path / "desks")
    file = tmp_path / "desks" / "fitting.yaml"
    file.write_text(file.read_text("utf-8").replace("60 to 125 cm", "60 to 102 cm"))
    old, new = loaded(EXAMPLE), loaded(tmp_path / "desks")
    found = effect(old, new, drawn(source(), 15), [])
    parts = [row.what for row in found.rows if row.kind == "part"]
    assert "frame: FRAME-THREE, now FRAME-LOW" in parts
    assert not found.lost_cautions
    same = effect(old, loaded(EXAMPLE), drawn(source(), 15), [])
    assert not same.rows
