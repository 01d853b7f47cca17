"""What stands in each layer, from the left, as the layout library ordered it."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from consult.content.drawing.graph import Graph
    from consult.content.drawing.layers import Layered

Item = int | tuple[int, int]
"""A box, or the bend of a link in a layer."""

_LITTLE = 0.001
"""Between two things that the library put in one place."""


def rows_of(graph: Graph, laid: Layered) -> list[list[tuple[float, Item]]]:
    """What stands in each layer, from the left.

    The library may put two things in one place; then the one whose lines come from further left
    goes left, by so little that nothing else changes its order.
    """
    rows: list[list[tuple[float, float, str, Item]]] = [[] for _ in range(max(laid.layer) + 1)]
    pulled = _pulled(graph, laid)
    for box in range(len(graph.boxes)):
        rows[laid.layer[box]].append((laid.x[box], _mean(pulled[box]), f"{box}", box))
    for bend, x in laid.bends.items():
        rows[bend[1]].append((x, _mean(pulled[bend]), f"{bend}", bend))
    found: list[list[tuple[float, Item]]] = []
    for row in rows:
        found.append([])
        for x, _, _, item in sorted(row, key=lambda one: one[:3]):
            least = found[-1][-1][0] + _LITTLE if found[-1] else x
            found[-1].append((max(x, least), item))
    return found


def _pulled(graph: Graph, laid: Layered) -> dict[Item, list[float]]:
    """Where the lines of each box and bend come from and lead to, in the layers next to it."""
    found: dict[Item, list[float]] = {box: [] for box in range(len(graph.boxes))}
    for at, link in enumerate(graph.links):
        way = points_of(at, link.source, link.target, laid)
        items: list[Item] = [link.source, *((at, layer) for layer, _ in way[1:-1]), link.target]
        for (one, (_, x)), (other, (_, other_x)) in pairwise(zip(items, way, strict=True)):
            found.setdefault(one, []).append(other_x)
            found.setdefault(other, []).append(x)
    return found


def _mean(values: Sequence[float]) -> float:
    return round(sum(values) / len(values), 6) if values else 0.0


def points_of(at: int, source: int, target: int, laid: Layered) -> list[tuple[int, float]]:
    """The layers a link comes by, from its source to its target, with the order in each."""
    first, last = laid.layer[source], laid.layer[target]
    between = range(first + 1, last) if first < last else range(first - 1, last, -1)
    bends = [(layer, laid.bends[at, layer]) for layer in between if (at, layer) in laid.bends]
    return [(first, laid.x[source]), *bends, (last, laid.x[target])]
