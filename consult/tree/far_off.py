"""Figures no chair and no body has: written in mm or inches where the fit is read in cm."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from consult.tree.condition import children
from consult.tree.constant import Written
from consult.tree.draft import Draft
from consult.tree.nodes import Compare, Name, Node
from consult.tree.possible import values_of
from consult.tree.tables import pairs_of

MOST = {"cm": 300.0, "kg": 300.0}
"""Taller and heavier than people and their desks are; common practice, no source."""


def check_far_off(conditions: Iterable[Written], draft: Draft) -> None:
    """Note each comparison of ``fit.`` or ``body.`` with a figure far beyond it."""
    for each in conditions:
        if not any("." in name for name in each.condition.names):
            continue
        for name, value, offset in _compared(each.condition.node):
            unit = values_of(name).unit
            if abs(value) <= MOST[unit]:
                continue
            where = each.block.marked.inside((*each.block.steps, *each.steps), offset)
            said = f"'{name}' is in {unit}, and {value:g} {unit} is far too much."
            fix = f"Did you mean {value / 10:g}?" if unit == "cm" else f"Write it in {unit}."
            draft.says(where, "far-off", said, fix, warning=True)


def _compared(node: Node) -> Iterator[tuple[str, float, int]]:
    if not isinstance(node, Compare):
        for part in children(node):
            yield from _compared(part)
        return
    for pair in pairs_of(node):
        for one, other in (pair.parts, pair.parts[::-1]):
            value = None if isinstance(other, Name) else other.compiled()(lambda _: None)
            if isinstance(one, Name) and "." in one.name and isinstance(value, float):
                yield one.name, value, one.offset
