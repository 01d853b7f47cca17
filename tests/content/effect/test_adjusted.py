"""The impact of a changed adjustment: who has another seat height by it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from consult.body.population import load_population
from consult.content.callers.simulation import CallerSource, drawn
from consult.content.effect.compared import effect
from consult.tree.quantities import Adjusts
from consult.tree.shares import NO_SHARES
from tests.call.calls import TODAY, small
from tests.call.test_adjusted import BOOTS


def test_who_wears_boots_sits_higher_than_before(tmp_path: Path) -> None:
    """Thicker soles raise the seat of those in boots, and change nothing for the others."""
    old = small(tmp_path, BOOTS)
    boots, cushion = old.tree.advice
    thicker = replace(boots, adjusts=Adjusts("heel", 45.0, "", 120.0))
    new = replace(old, tree=replace(old.tree, advice=(thicker, cushion)))
    callers = drawn(CallerSource(NO_SHARES, load_population(), 1, TODAY), 20)
    found = effect(old, new, callers, [])
    rows = {row.what: row.callers for row in found.rows if row.kind == "setting"}
    assert 4 <= rows["seat_height"] <= 16, "about half wear boots"
    assert "armrest_height" not in rows
