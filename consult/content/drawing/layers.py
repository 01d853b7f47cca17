"""The graph in layers, by a graph-layout library (Sugiyama's method), and the layers in columns.

The library says on which layer each box stands, in which order, and where a line that passes a
layer has its bend. Everything after that is a matter of millimetres.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from importlib.util import find_spec
from itertools import pairwise

from consult.content.drawing.boxes import Graph, Link

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
        for number, neighbour in ((int(source), int(target)) for source, target in edges or ()):
            nexts.setdefault(number, []).append(neighbour)
            nexts.setdefault(neighbour, []).append(number)
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
            before, at = at, next(item for item in nexts[at] if item != before)
        if at == target:
            return passed
    return []


# -- what stands in each layer, from the left, as the layout library ordered it -------------------

LayerItem = int | tuple[int, int]
"""A box, or the bend of a link in a layer."""

_LITTLE = 0.001
"""Between two things that the library put in one place."""


def rows_of(graph: Graph, laid: Layered) -> list[list[tuple[float, LayerItem]]]:
    """What stands in each layer, from the left.

    The library may put two things in one place; then the one whose lines come from further left
    goes left, by so little that nothing else changes its order.
    """
    rows: list[list[tuple[float, float, str, LayerItem]]] = [[] for _ in range(max(laid.layer) + 1)]
    pulled = _pulled(graph, laid)
    for box in range(len(graph.boxes)):
        rows[laid.layer[box]].append((laid.x[box], _mean(pulled[box]), f"{box}", box))
    for bend, x in laid.bends.items():
        rows[bend[1]].append((x, _mean(pulled[bend]), f"{bend}", bend))
    ordered: list[list[tuple[float, LayerItem]]] = []
    for row in rows:
        ordered.append([])
        for x, _, _, item in sorted(row, key=lambda row: row[:3]):
            least = ordered[-1][-1][0] + _LITTLE if ordered[-1] else x
            ordered[-1].append((max(x, least), item))
    return ordered


def _pulled(graph: Graph, laid: Layered) -> dict[LayerItem, list[float]]:
    """Where the lines of each box and bend come from and lead to, in the layers next to it."""
    pulls: dict[LayerItem, list[float]] = {box: [] for box in range(len(graph.boxes))}
    for at, link in enumerate(graph.links):
        way = points_on_link(at, link, laid)
        items: list[LayerItem] = [
            link.source,
            *((at, layer) for layer, _ in way[1:-1]),
            link.target,
        ]
        for (item, (_, x)), (next_item, (_, other_x)) in pairwise(zip(items, way, strict=True)):
            pulls.setdefault(item, []).append(other_x)
            pulls.setdefault(next_item, []).append(x)
    return pulls


def _mean(values: Sequence[float]) -> float:
    return round(sum(values) / len(values), 6) if values else 0.0


def points_on_link(at: int, link: Link, laid: Layered) -> list[tuple[int, float]]:
    """The layers a link comes by, from its source to its target, with the order in each."""
    first, last = laid.layer[link.source], laid.layer[link.target]
    between = range(first + 1, last) if first < last else range(first - 1, last, -1)
    bends = [(layer, laid.bends[at, layer]) for layer in between if (at, layer) in laid.bends]
    return [(first, laid.x[link.source]), *bends, (last, laid.x[link.target])]


# -- layers in millimetres: as wide and high as what stands in them, folded into columns ----------
# A call of forty questions is a strip two metres long. It is cut between layers, and the pieces
# stand beside each other; a line that passes a cut goes on through the gap between two columns.

STRIP = 7.0
"""Room to the left of a question, where the name of its sub-tree runs upwards."""
LANE = 3.2
"""From one line to the next in the gap between two columns."""
_APART = 5.0
"""Least room between what stands side by side."""
_STEP = 6.0
"""Least room between two layers."""
_STEEPEST = 0.06
"""More room where a line has far to go sideways: so much of the way."""
_MOST_STEP = 14.0
_SHEET = (400.0, 277.0)
"""What can be printed on of an A3 sheet."""
_WINDOW = 0.2
"""How far from its even place a cut may be moved, over the height of a column."""


@dataclass(frozen=True, slots=True)
class LayerColumn:
    """Some layers, one below the other."""

    layers: tuple[int, ...]
    x: Mapping[LayerItem, float]
    """Middle of each box and bend, from the column's left edge."""
    wide: float


@dataclass(frozen=True, slots=True)
class LayerSpread:
    """Everything about where layers are; mm."""

    columns: tuple[LayerColumn, ...]
    column: tuple[int, ...]
    """Of each layer."""
    top: tuple[float, ...]
    """Of each layer, from the top of its column."""
    bottom: tuple[float, ...]
    lanes: tuple[int, ...]
    """Links that pass from each column to the next."""

    @property
    def high(self) -> float:
        """Height of the tallest column, with its lanes below and above."""
        ends = [self.bottom[column.layers[-1]] for column in self.columns]
        below = [end + LANE * (n + 1) for end, n in zip(ends, (*self.lanes, 0), strict=True)]
        return max(below) + self.above

    @property
    def above(self) -> float:
        """Room for lanes over the columns."""
        return LANE * (max(self.lanes, default=0) + 1) if self.lanes else 0.0

    @property
    def wide(self) -> float:
        """Of all columns and the gaps between them."""
        return sum(column.wide for column in self.columns) + sum(map(gap, self.lanes))


def gap(lanes: int) -> float:
    """Width of a gap between columns with so many lanes in it."""
    return LANE * (lanes + 1) + 4.0


@dataclass(frozen=True, slots=True)
class _Strip:
    """The layers before they are folded."""

    rows: Sequence[Sequence[tuple[float, LayerItem]]]
    """What stands in each, from the left."""
    thick: Sequence[float]
    steps: Sequence[float]
    """Room below each."""
    crossing: Sequence[int]
    """How many links pass from each to the next."""
    words: frozenset[int]
    """Those that hold words of a route, after which no cut should fall."""


def spread_columns(graph: Graph, laid: Layered) -> LayerSpread:
    """The layers in as many columns as make the drawing largest on a sheet of paper."""
    rows = rows_of(graph, laid)
    strip = _Strip(
        rows,
        [
            max((graph.boxes[item].high for _, item in row if isinstance(item, int)), default=0.0)
            for row in rows
        ],
        _steps(graph, laid, rows),
        _crossing(graph, laid, len(rows)),
        frozenset(laid.layer[i] for i, box in enumerate(graph.boxes) if box.shape == "label"),
    )
    best: tuple[float, LayerSpread] | None = None
    # Few columns are easier to follow: more of them have to make the print larger.
    for count in range(1, len(rows) + 1):
        spread = _folded(graph, strip, count)
        scale = _scale(spread.wide, spread.high)
        if best is None or scale > best[0] * 1.02:
            best = (scale, spread)
        elif scale < best[0] * 0.8:
            break
    assert best is not None, "there is always a start and an end"
    return best[1]


def _scale(wide: float, high: float) -> float:
    """How large the drawing comes out on a sheet, whichever way it is turned; 1 is enough."""
    long, short = _SHEET
    flat, upright = min(long / wide, short / high), min(short / wide, long / high)
    return min(1.0, max(flat, upright))


def _steps(graph: Graph, laid: Layered, rows: Sequence[object]) -> list[float]:
    """Room below each layer."""
    far = [0.0] * len(rows)
    for at, link in enumerate(graph.links):
        for (layer, x), (_, next_x) in pairwise(points_on_link(at, link, laid)):
            far[layer] = max(far[layer], abs(next_x - x))
    return [min(_MOST_STEP, _STEP + _STEEPEST * 70 * value) for value in far]


def _folded(graph: Graph, strip: _Strip, count: int) -> LayerSpread:
    ends = _cuts(strip, count)
    columns: list[LayerColumn] = []
    column, top, bottom = list[int](), list[float](), list[float]()
    for begin, end in pairwise([0, *ends]):
        y = 0.0
        for layer in range(begin, end):
            column.append(len(columns))
            top.append(y)
            bottom.append(y + strip.thick[layer])
            y = bottom[-1] + strip.steps[layer]
        columns.append(_column(graph, strip.rows, range(begin, end)))
    lanes = tuple(strip.crossing[end - 1] for end in ends[:-1])
    return LayerSpread(tuple(columns), tuple(column), tuple(top), tuple(bottom), lanes)


def _crossing(graph: Graph, laid: Layered, count: int) -> list[int]:
    counts = [0] * count
    for link in graph.links:
        low, high = sorted((laid.layer[link.source], laid.layer[link.target]))
        for layer in range(low, high):
            counts[layer] += 1
    return counts


def _cuts(strip: _Strip, count: int) -> list[int]:
    """The layer before which each column ends, the last included."""
    ends = [0.0]
    for thick, step in zip(strip.thick, strip.steps, strict=True):
        ends.append(ends[-1] + thick + step)
    high = ends[-1] / count
    cuts = list[int]()
    for cut in range(1, count):
        lowest = cuts[-1] + 1 if cuts else 1
        latest = len(strip.thick) - (count - cut)

        def cost(layer: int, even: float = cut * high) -> tuple[float, int]:
            off = abs(ends[layer] - even) / high
            outside = 50.0 * max(0.0, off - _WINDOW)
            lines = strip.crossing[layer - 1] * 0.7
            return off * 6 + outside + lines + (layer - 1 in strip.words), layer

        cuts.append(min(range(lowest, latest + 1), key=cost))
    return [*cuts, len(strip.thick)]


def _column(
    graph: Graph, rows: Sequence[Sequence[tuple[float, LayerItem]]], layers: Iterable[int]
) -> LayerColumn:
    """Places in mm that keep every order, and what was in one line stays in one line."""
    here = [rows[layer] for layer in layers]
    needs: dict[float, list[tuple[float, float]]] = {}
    for row in here:
        for (x, item), (other_x, next_item) in pairwise(row):
            apart = _half(graph, item, right=True) + _APART + _half(graph, next_item, right=False)
            needs.setdefault(other_x, []).append((x, apart))
    place: dict[float, float] = {}
    before = 0.0
    for x in sorted({x for row in here for x, _ in row}):
        before = max([before, *(place[left] + apart for left, apart in needs.get(x, ()))])
        place[x] = before
    standing = [(place[x], item) for row in here for x, item in row]
    left = min(middle - _half(graph, item, right=False) for middle, item in standing)
    right = max(middle + _half(graph, item, right=True) for middle, item in standing)
    middles = {item: middle - left for middle, item in standing}
    return LayerColumn(tuple(layers), middles, right - left)


def _half(graph: Graph, item: LayerItem, *, right: bool) -> float:
    """From the middle to the edge; a question of a sub-tree has a strip on its left."""
    if not isinstance(item, int):
        return 0.0
    box = graph.boxes[item]
    is_in = graph.groups[item] and box.shape in ("question", "topic")
    strip = STRIP if is_in and not right else 0.0
    return box.wide / 2 + strip
