"""A view as a graph in layers: boxes and lines, ordered by a layout library (Sugiyama's method)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from importlib.util import find_spec
from itertools import pairwise
from typing import Literal

from consult.content.drawing.boxes import (
    DrawnBox,
    end_box,
    label_box,
    question_box,
    start_box,
    stop_box,
    topic_box,
)
from consult.content.drawing.view import TreeView
from consult.tree.model import END

LinkKind = Literal["start", "route", "stop", "topic"]


@dataclass(frozen=True, slots=True)
class Link:
    """A line from one box to another; a route with words on it is two, with the words between."""

    source: int
    """Place of the box among the boxes."""
    target: int
    kind: LinkKind
    name: str
    """ "desk_kind.0" is the first route of that question; a stop is named by what it leaves."""
    arrow: bool = True
    """Whether it ends in an arrowhead; not before words."""


@dataclass(frozen=True, slots=True)
class Graph:
    """Boxes, links and which sub-tree each box belongs to."""

    boxes: tuple[DrawnBox, ...]
    links: tuple[Link, ...]
    groups: tuple[str, ...]
    """Beside each box the sub-tree's title; empty for none."""


def graph_of(view: TreeView) -> Graph:
    """Every question, every route, and the stops, each once."""
    boxes = [start_box(), *(question_box(view, name) for name in view.questions)]
    groups = ["", *map(view.group, view.questions)]
    at = {name: place for place, name in enumerate(view.questions, 1)}
    at[END] = len(boxes)
    boxes.append(end_box(view))
    groups.append("")
    # Every way to the first question of a topic leads through the topic's own box.
    before = dict(at)
    links: list[Link] = []
    for name, topic in view.topics():
        links.append(Link(len(boxes), at[name], "topic", topic))
        before[name] = len(boxes)
        boxes.append(topic_box(view, topic))
        groups.append(groups[at[name]])
    links.insert(0, Link(0, before[view.first], "start", "start"))
    for name, one in view.questions.items():
        for index, route in enumerate(one.routes):
            key, target = f"{name}.{index}", before[view.place(route.go)]
            if route.when is None and len(one.routes) == 1:
                links.append(Link(at[name], target, "route", key))
                continue
            links += [
                Link(at[name], len(boxes), "route", key, arrow=False),
                Link(len(boxes), target, "route", key),
            ]
            boxes.append(label_box(view, name, index))
            groups.append(groups[at[name]])
    stopping = [name for name in view.questions if view.stops_after(name)]
    if stopping:
        links += [Link(at[name], len(boxes), "stop", name) for name in stopping]
        links.append(Link(len(boxes), before[view.after_stop], "stop", "stop"))
        boxes.append(stop_box(view))
        groups.append("")
    return Graph(tuple(boxes), tuple(links), tuple(groups))


# -- the graph in layers, by a graph-layout library (Sugiyama's method) ---------------------------
# The library says on which layer each box stands, in which order, and where a line that passes a
# layer has its bend. Everything after that is a matter of millimetres.

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


def layout_installed() -> bool:
    """Whether the library is installed."""
    return find_spec("fast_sugiyama") is not None


def layered(graph: Graph) -> Layered:
    """The graph in layers, each box as far up as the links to it allow, so that the words of a
    route stand where it begins. ImportError where the library is not installed (see
    ``layout_installed``).
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


# -- what stands in each layer, from the left, as the layout library ordered it -------------------

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
