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
    return find_spec("igraph") is not None


def layered(graph: Graph) -> Layered:
    """The graph in layers. ImportError where the library is not installed (see ``can_draw``)."""
    import igraph  # type: ignore[import-untyped]

    ends = [(link.source, link.target) for link in graph.links]
    net = igraph.Graph(n=len(graph.boxes), edges=ends, directed=True)
    free = net.layout_sugiyama()
    layers = [round(y) for _, y in free.coords]
    for link in graph.links:
        # The words of a route stand where it begins, not somewhere along a long way.
        if not link.arrow and layers[link.target] > layers[link.source] + 1:
            layers[link.target] = layers[link.source] + 1
    laid = net.layout_sugiyama(layers=layers)
    rows = {row: at for at, row in enumerate(sorted(set(layers)))}
    bends = {
        (link, rows[round(y)]): round(x, 6)
        for link, points in enumerate(laid.edge_routing)
        for x, y in points
        if round(y) in rows
    }
    return Layered(
        tuple(rows[layer] for layer in layers),
        tuple(round(x, 6) for x, _ in laid.coords),
        bends,
    )
