"""Figures no chair and no body has: written in mm or inches where the fit is read in cm."""

from __future__ import annotations

from collections.abc import Iterable

from consult.tree.constant import Written
from consult.tree.draft import Draft
from consult.tree.possible import values_of
from consult.tree.tables import compared_figures

MOST = {"cm": 300.0, "kg": 300.0}
"""Taller and heavier than people and their desks are; common practice, no source."""


def check_far_off(conditions: Iterable[Written], draft: Draft) -> None:
    """Note each comparison of ``fit.`` or ``body.`` with a figure far beyond it."""
    for each in conditions:
        if not any("." in name for name in each.condition.names):
            continue
        for name, value, offset in compared_figures(each.condition.node):
            if "." not in name:
                continue
            unit = values_of(name).unit
            if abs(value) <= MOST[unit]:
                continue
            where = each.block.marked.inside((*each.block.steps, *each.steps), offset)
            said = f"'{name}' is in {unit}, and {value:g} {unit} is far too much."
            fix = f"Did you mean {value / 10:g}?" if unit == "cm" else f"Write it in {unit}."
            draft.says(where, "far-off", said, fix, warning=True)
