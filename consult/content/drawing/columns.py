"""Layers in millimetres: as wide and high as what stands in them, folded into columns.

A call of forty questions is a strip two metres long. It is cut between layers, and the pieces
stand beside each other; a line that passes a cut goes on through the gap between two columns.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from consult.content.drawing.layers import Graph, Item, Layered, points_of, rows_of

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
    x: Mapping[Item, float]
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
        ends = [self.bottom[one.layers[-1]] for one in self.columns]
        below = [end + LANE * (n + 1) for end, n in zip(ends, (*self.lanes, 0), strict=True)]
        return max(below) + self.above

    @property
    def above(self) -> float:
        """Room for lanes over the columns."""
        return LANE * (max(self.lanes, default=0) + 1) if self.lanes else 0.0

    @property
    def wide(self) -> float:
        """Of all columns and the gaps between them."""
        return sum(one.wide for one in self.columns) + sum(map(gap, self.lanes))


def gap(lanes: int) -> float:
    """Width of a gap between columns with so many lanes in it."""
    return LANE * (lanes + 1) + 4.0


@dataclass(frozen=True, slots=True)
class _Strip:
    """The layers before they are folded."""

    rows: Sequence[Sequence[tuple[float, Item]]]
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
            max((graph.boxes[one].high for _, one in row if isinstance(one, int)), default=0.0)
            for row in rows
        ],
        _steps(graph, laid, rows),
        _crossing(graph, laid, len(rows)),
        frozenset(laid.layer[i] for i, box in enumerate(graph.boxes) if box.shape == "label"),
    )
    best: tuple[float, LayerSpread] | None = None
    # Few columns are easier to follow: more of them have to make the print larger.
    for count in range(1, len(rows) + 1):
        found = _folded(graph, strip, count)
        scale = _scale(found.wide, found.high)
        if best is None or scale > best[0] * 1.02:
            best = (scale, found)
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
        for (layer, x), (_, other) in pairwise(points_of(at, link.source, link.target, laid)):
            far[layer] = max(far[layer], abs(other - x))
    return [min(_MOST_STEP, _STEP + _STEEPEST * 70 * one) for one in far]


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
    found = [0] * count
    for link in graph.links:
        low, high = sorted((laid.layer[link.source], laid.layer[link.target]))
        for layer in range(low, high):
            found[layer] += 1
    return found


def _cuts(strip: _Strip, count: int) -> list[int]:
    """The layer before which each column ends, the last included."""
    ends = [0.0]
    for thick, step in zip(strip.thick, strip.steps, strict=True):
        ends.append(ends[-1] + thick + step)
    high = ends[-1] / count
    found = list[int]()
    for cut in range(1, count):
        lowest = found[-1] + 1 if found else 1
        latest = len(strip.thick) - (count - cut)

        def cost(layer: int, even: float = cut * high) -> tuple[float, int]:
            off = abs(ends[layer] - even) / high
            outside = 50.0 * max(0.0, off - _WINDOW)
            lines = strip.crossing[layer - 1] * 0.7
            return off * 6 + outside + lines + (layer - 1 in strip.words), layer

        found.append(min(range(lowest, latest + 1), key=cost))
    return [*found, len(strip.thick)]


def _column(
    graph: Graph, rows: Sequence[Sequence[tuple[float, Item]]], layers: Iterable[int]
) -> LayerColumn:
    """Places in mm that keep every order, and what was in one line stays in one line."""
    here = [rows[layer] for layer in layers]
    needs: dict[float, list[tuple[float, float]]] = {}
    for row in here:
        for (x, one), (other_x, other) in pairwise(row):
            apart = _half(graph, one, right=True) + _APART + _half(graph, other, right=False)
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


def _half(graph: Graph, item: Item, *, right: bool) -> float:
    """From the middle to the edge; a question of a sub-tree has a strip on its left."""
    if not isinstance(item, int):
        return 0.0
    box = graph.boxes[item]
    is_in = graph.groups[item] and box.shape in ("question", "topic")
    strip = STRIP if is_in and not right else 0.0
    return box.wide / 2 + strip
