"""The graph in layers, by a graph-layout library (Sugiyama's method).

The library says on which layer each box stands, in which order, and where a line that passes a
layer has its bend. Everything after that is a matter of millimetres.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from importlib.util import find_spec
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from consult.content.drawing.graph import Graph

INSTALL = "The drawing needs one more package: pip install 'consult[content]'"

Bend = tuple[int, int]
"""A link and the layer that it passes."""


@dataclass(frozen=True, slots=True)
class Layered:
    """Boxes and bends by layer; x is only an order with distances, not yet mm."""

    layer: tuple[int, ...]
    """Of each box; 0 is on top."""
    x: tuple[float, ...]
    """Of each box."""
    bends: Mapping[Bend, float]
    """Where each link passes the layers between its ends."""


def can_draw() -> bool:
    """Whether the library is installed."""
    return find_spec("fast_sugiyama") is not None


def layered(graph: Graph) -> Layered:
    """The graph in layers, each box as far up as the links to it allow, so that the words of a
    route stand where it begins. ImportError where the library is not installed (see ``can_draw``).
    """
    import fast_sugiyama

    count = len(graph.boxes)
    ends = [(link.source, link.target) for link in graph.links]
    # A line from a box to itself passes no layer; the library cannot take one.
    drawn = fast_sugiyama.from_edges(
        sorted({(source, target) for source, target in ends if source != target}),
        vertex_spacing=1,
        dummy_vertices=True,
        ranking_type="up",
        check_layout=False,
    )
    x, layer = dict.fromkeys(range(count), 0.0), dict.fromkeys(range(count), 0)
    nexts: dict[int, list[int]] = {}
    left = 0.0
    for positions, width, height, edges in drawn:
        for vertex, (across, up) in positions:
            x[int(vertex)], layer[int(vertex)] = round(left + across, 6), round(height - up)
        left += width + 1
        for one, other in ((int(source), int(target)) for source, target in edges or ()):
            nexts.setdefault(one, []).append(other)
            nexts.setdefault(other, []).append(one)
    bends = {
        (link, layer[vertex]): x[vertex]
        for link, (source, target) in enumerate(ends)
        for vertex in _between(source, target, nexts, count)
    }
    boxes = range(count)
    return Layered(tuple(layer[at] for at in boxes), tuple(x[at] for at in boxes), bends)


def _between(source: int, target: int, nexts: Mapping[int, list[int]], count: int) -> list[int]:
    """The bends of a line, from ``count`` on: each has one line in and one out."""
    for first in nexts.get(source, ()):
        passed, before, at = [], source, first
        while at >= count:
            passed.append(at)
            before, at = at, next(one for one in nexts[at] if one != before)
        if at == target:
            return passed
    return []
