"""The finished drawing as boxes, lines and bands, each with its place in mm of paper."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise

from consult.content.drawing.boxes import DrawnBox, Graph, Link, box_lines, graph_of
from consult.content.drawing.layers import (
    LANE,
    STRIP,
    Layered,
    LayerSpread,
    gap,
    layered,
    points_on_link,
    spread_columns,
)
from consult.content.drawing.view import TreeView

MARGIN = 8.0
TITLE, REMARK = 6.0, 3.1
_LEAST_WIDE = 150.0
_LANDING = 3.4
"""How far above a box a line turns straight down."""
_FAN = 0.8
"""Share of a box's width over which the lines at it are spread."""

SheetPoint = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Path:
    """A link and the points it passes."""

    link: Link
    points: tuple[SheetPoint, ...]


@dataclass(frozen=True, slots=True)
class DrawingSheet:
    """Everything on it."""

    boxes: tuple[Placed, ...]
    paths: tuple[Path, ...]
    bands: tuple[Shade, ...]
    title: tuple[str, ...]
    remarks: tuple[str, ...]
    wide: float
    high: float


def laid_sheet(view: TreeView) -> DrawingSheet:
    """The drawing of a view. ImportError where the layout library is not installed."""
    graph = graph_of(view)
    laid = layered(graph)
    return _Setter(graph, laid, spread_columns(graph, laid)).sheet(view)


class _Setter:
    def __init__(self, graph: Graph, laid: Layered, spread: LayerSpread) -> None:
        self.graph, self.laid, self.spread = graph, laid, spread
        self.left = [MARGIN]
        for column, lanes in zip(spread.columns, (*spread.lanes, 0), strict=True):
            self.left.append(self.left[-1] + column.wide + gap(lanes))
        columns = zip(self.left, spread.columns, strict=False)
        self.x = {
            item: left + x for left, layer_column in columns for item, x in layer_column.x.items()
        }
        """Middle of each box and bend."""
        self.top = 0.0
        self.ways = []
        """Of each link, downwards."""
        for at, link in enumerate(graph.links):
            way = points_on_link(at, link, laid)
            self.ways.append(way[::-1] if self._turned(link) else way)
        self.ports = self._ports()

    def sheet(self, view: TreeView) -> DrawingSheet:
        wide = max(self.spread.wide + 2 * MARGIN, _LEAST_WIDE)
        title = box_lines(view.title, wide - 2 * MARGIN, TITLE, 2, bold=True)
        remarks = [
            line
            for text in _remarks(view)
            for line in box_lines(text, wide - 2 * MARGIN, REMARK, 3)
        ]
        head = TITLE * 1.3 * len(title) + REMARK * 1.4 * len(remarks) + 5.0
        self.top = MARGIN + head + self.spread.above
        placed = tuple(map(self._placed, range(len(self.graph.boxes))))
        lanes = self._lanes()
        paths = tuple(
            Path(link, tuple(self._points(at, lanes))) for at, link in enumerate(self.graph.links)
        )
        columns = [self.spread.column[layer] for layer in self.laid.layer]
        bands = tuple(tree_bands(placed, self.graph.groups, columns))
        high = MARGIN + head + self.spread.high + MARGIN
        return DrawingSheet(placed, paths, bands, tuple(title), tuple(remarks), wide, high)

    def _placed(self, at: int) -> Placed:
        box = self.graph.boxes[at]
        return Placed(box, self.x[at] - box.wide / 2, self._layer_top(self.laid.layer[at]))

    def _layer_top(self, layer: int) -> float:
        return self.top + self.spread.top[layer]

    def _layer_bottom(self, layer: int) -> float:
        return self.top + self.spread.bottom[layer]

    def _ports(self) -> dict[tuple[int, bool], float]:
        """Link and whether it is its lower end -> where on the box it ends, as a share."""
        ports: dict[tuple[int, bool], float] = {}
        at_box: dict[tuple[int, bool], list[tuple[float, int, bool]]] = {}
        for at, link in enumerate(self.graph.links):
            way = self.ways[at]
            upper, lower = self._ends(link)
            at_box.setdefault((upper, True), []).append((way[1][1], at, False))
            at_box.setdefault((lower, False), []).append((way[-2][1], at, True))
        for ends in at_box.values():
            for place, (_, at, is_lower) in enumerate(sorted(ends), 1):
                ports[at, is_lower] = _FAN * (place / (len(ends) + 1) - 0.5)
        return ports

    def _turned(self, link: Link) -> bool:
        """Whether a link leads up; it is drawn down and then turned round."""
        return self.laid.layer[link.source] > self.laid.layer[link.target]

    def _ends(self, link: Link) -> tuple[int, int]:
        return (link.target, link.source) if self._turned(link) else (link.source, link.target)

    def _x(self, at: int, step: int) -> float:
        """Where a link passes the layer of a step on its way down."""
        way = self.ways[at]
        upper, lower = self._ends(self.graph.links[at])
        for box, end, is_lower in ((upper, 0, False), (lower, len(way) - 1, True)):
            if step == end:
                return self.x[box] + self.ports[at, is_lower] * self.graph.boxes[box].wide
        return self.x[at, way[step][0]]

    def _lanes(self) -> dict[tuple[int, int], int]:
        """Link and column it leaves -> which lane it takes; 0 is the innermost below."""
        leaving: dict[int, list[tuple[float, int]]] = {}
        for at in range(len(self.graph.links)):
            for step, ((number, _), (next_number, _)) in enumerate(pairwise(self.ways[at])):
                column = self.spread.column[number]
                if self.spread.column[next_number] != column:
                    leaving.setdefault(column, []).append((-self._x(at, step), at))
        return {
            (at, column): lane
            for column, ends in leaving.items()
            for lane, (_, at) in enumerate(sorted(ends))
        }

    def _points(self, at: int, lanes: dict[tuple[int, int], int]) -> list[SheetPoint]:
        link, way = self.graph.links[at], self.ways[at]
        upper, _ = self._ends(link)
        x = self._x(at, 0)
        corners = [(x, self._layer_top(way[0][0]) + self.graph.boxes[upper].high)]
        for step, ((number, _), (next_number, _)) in enumerate(pairwise(way)):
            x, next_x = self._x(at, step), self._x(at, step + 1)
            corners.append((x, self._layer_bottom(number)))
            column = self.spread.column[number]
            if self.spread.column[next_number] != column:
                corners += self._turn(x, next_x, column, lanes[at, column])
            elif step == len(way) - 2:
                corners.append((next_x, self._layer_top(next_number) - _LANDING))
            corners.append((next_x, self._layer_top(next_number)))
        points = [
            pair for pair, before in zip(corners, [None, *corners], strict=False) if pair != before
        ]
        return points[::-1] if self._turned(link) else points

    def _turn(self, x: float, next_x: float, column: int, lane: int) -> list[SheetPoint]:
        """Round from the foot of a column to the head of the next, in a lane of its own.

        The innermost below is the outermost above, so that lines side by side never cross here.
        """
        last = self.spread.columns[column].layers[-1]
        foot = self._layer_bottom(last) + LANE * (lane + 1)
        side = self.left[column] + self.spread.columns[column].wide + 2.0 + LANE * (lane + 1)
        head = self.top - LANE * (self.spread.lanes[column] - lane)
        return [(x, foot), (side, foot), (side, head), (next_x, head)]


def _remarks(view: TreeView) -> Iterator[str]:
    count = len(view.questions)
    summary = f"Version {view.tree.version}, {count} question{'' if count == 1 else 's'}."
    yield summary if view.whole else f"A part of '{view.tree.title}'. {summary}"
    yield (
        "Questions are numbered in the order they are asked. Arrows show what comes next, with "
        "their condition where there are several; the first true one is used."
    )
    if any(view.stops_after(name) for name in view.questions):
        yield "A dashed line is where a STOP caution leads, from a question that can raise it."
    if any(view.group(name) for name in view.questions):
        yield "Shaded: the questions of one sub-tree, with its name on the left side."


# -- shaded rectangles behind the questions of each sub-tree --------------------------------------

_ROUND = 2.5
"""How far a band reaches beyond its boxes; mm."""


@dataclass(frozen=True, slots=True)
class Placed:
    """A box and its upper left corner."""

    box: DrawnBox
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class Shade:
    """A shaded rectangle behind questions of one sub-tree."""

    title: str
    x: float
    y: float
    wide: float
    high: float
    foot: float
    """Where the title begins, running upwards: beside a question, where nothing else stands."""


def tree_bands(
    placed: Sequence[Placed], groups: Sequence[str], columns: Sequence[int]
) -> Iterator[Shade]:
    """Behind each run of questions of one sub-tree; never behind a question of another.

    ``groups`` and ``columns`` say of each box which sub-tree it is of, and in which column.
    """
    asked = [at for at, drawn in enumerate(placed) if drawn.box.shape in ("question", "topic")]

    def place(at: int) -> tuple[str, int]:
        return groups[at], columns[at]

    order = sorted(filter(groups.__getitem__, asked), key=lambda at: (*place(at), placed[at].y))
    for (group, _), run in groupby(order, key=place):
        strangers = [placed[at] for at in asked if groups[at] != group]
        kept: list[Placed] = []
        for drawn in (placed[at] for at in run):
            longer = _band(group, [*kept, drawn])
            if kept and any(_touch(longer, stranger) for stranger in strangers):
                yield _band(group, kept)
                kept = []
            kept.append(drawn)
        yield _band(group, kept)


def _band(title: str, placed: Sequence[Placed]) -> Shade:
    left = min(drawn.x for drawn in placed) - STRIP
    top = min(drawn.y for drawn in placed) - _ROUND
    right = max(drawn.x + drawn.box.wide for drawn in placed) + _ROUND
    bottom = max(drawn.y + drawn.box.high for drawn in placed) + _ROUND
    beside = max(
        (drawn for drawn in placed if drawn.x - STRIP == left), key=lambda drawn: drawn.box.high
    )
    foot = beside.y + beside.box.high
    return Shade(title, left, top, right - left, bottom - top, foot)


def _touch(band: Shade, placed: Placed) -> bool:
    return (
        band.x < placed.x + placed.box.wide
        and placed.x < band.x + band.wide
        and band.y < placed.y + placed.box.high
        and placed.y < band.y + band.high
    )
