"""The side view in words, and the chair of today beside the one advised."""

from __future__ import annotations

from collections.abc import Iterator, Set
from dataclasses import dataclass, replace

from consult.picture import svg_furniture as furniture
from consult.picture.labels import Box, spread_apart
from consult.picture.model import DimensionLine, Misfit, Scene
from consult.picture.svg_shapes import Line, Shape, Sheet, SvgPoint, Text, View
from consult.picture.svg_side import (
    VIEW_NAMES,
    Style,
    extent,
    helper_line,
    legend,
    measure_line,
    painted,
    sign,
    sign_box,
    sign_place,
    signed,
)
from consult.units import System, format_length

SIDE_TITLE = "You on the chair at your desk, from the side"
PAIR_TITLE = "You at your desk now, and set up as advised"
COMPARED = ("seat height", "armrest above seat", "seat depth", "desk top", "footrest height")
"""Dimensions that two pictures beside each other are compared by, in this order."""


def described(scene: Scene, system: System) -> str:
    """All the numbers of the picture and what does not suit, in sentences."""
    return " ".join(_sentences(scene, system))


def pair_description(before: Scene, after: Scene, system: System, unknown: Set[str]) -> str:
    """What is known of today, then everything as it is advised."""
    known = [
        f"{dimension.name} {format_length(dimension.mm, system)}"
        for dimension in before.dimensions
        if dimension.name in COMPARED and dimension.name not in unknown
    ]
    missing = sorted(unknown, key=COMPARED.index)
    message = (
        f"Two pictures. Now: {', '.join([*known, *(f'{name} not known' for name in missing)])}."
    )
    wrong = " ".join(misfit.text.text(system) for misfit in before.problems)
    text = f"{message} {wrong}".rstrip()
    return f"{text} Set up as advised: {described(after, system)}"


def _sentences(scene: Scene, system: System) -> Iterator[str]:
    lengths = {
        dimension.name: format_length(dimension.mm, system) for dimension in scene.dimensions
    }
    seat = f"The seat is {lengths['seat height']} above the floor and {lengths['seat depth']} deep"
    yield (
        f"A person on the chair at the desk, from the side, to scale. {seat}, with a gap of"
        f" {lengths['knee gap']} between its front edge and the back of the knee."
    )
    arms = lengths.get("armrest above seat")
    yield f"The armrests stand {arms} above the seat." if arms else "The chair has no armrests."
    rest = lengths.get("footrest height")
    desk = "The desk top is" if scene.table.stands else "A desk that would suit has its top"
    feet = f"; the feet are on a footrest {rest} high" if rest else ""
    yield f"{desk} {lengths['desk top']} above the floor{feet}."
    screen = lengths.get("screen top")
    eyes = f"The eyes are {lengths['eye height']} above the floor"
    yield f"{eyes}, the top of the screen {screen}." if screen else f"{eyes}."
    for problem in scene.problems:
        yield f"{problem.mark}: {problem.text.text(system)}"


# -- two side views beside each other at one scale, and their lengths in a table ------------------
# There is no room for words beside the dimension lines, so each has a letter, and the table
# below says what it is called and how long it is in each picture.

CAPTIONS = ("Now", "Set up as advised")
_LETTERS = dict(zip(COMPARED, "ABCDE", strict=True))
_LEFT = ("seat height", "armrest above seat")
"""Measured at the left of each picture; other heights at the right."""
_UNKNOWN = "not known"


def pair(
    before: Scene,
    after: Scene,
    system: System,
    *,
    width_mm: float = 170.0,
    unknown: Set[str] = frozenset(),
) -> Sheet:
    """Both views; names of dimensions in ``unknown`` are not known of ``before``."""
    return _Pair(before, after, system, width_mm, unknown).sheet()


@dataclass(frozen=True, slots=True)
class _One:
    """One of the two pictures, laid out."""

    scene: Scene
    view: View
    left: float
    right: float
    unknown: Set[str]

    def lines(self) -> Iterator[DimensionLine]:
        for dimension in self.scene.dimensions:
            if dimension.name in _LETTERS and dimension.name not in self.unknown:
                yield dimension


class _Pair:
    def __init__(
        self, before: Scene, after: Scene, system: System, wide: float, unknown: Set[str]
    ) -> None:
        self.system, self.wide = system, wide
        self.style = style = Style.of(wide)
        unit = style.unit
        reach = [extent(scene) for scene in (before, after)]
        margin = 11.0 * unit
        room = wide - 4 * margin
        scale = room / sum(right - left for left, right, _ in reach)
        self.top = 2.4 * style.leading
        self.floor = self.top + max(high for _, _, high in reach) * scale
        ones: list[_One] = []
        x = margin
        for scene, (left, right, _), missing in zip(
            (before, after), reach, (unknown, frozenset[str]()), strict=True
        ):
            end = x + (right - left) * scale
            ones.append(_One(scene, View(scale, x - left * scale, self.floor), x, end, missing))
            x = end + 2 * margin
        self.ones = tuple(ones)

    def sheet(self) -> Sheet:
        """Both pictures, the table and the list of what does not suit."""
        style, unit = self.style, self.style.unit
        floor = furniture.floor(4 * unit, self.wide - 4 * unit, self.floor, style.pen)
        shapes: list[Shape] = list(floor)
        for picture, caption in zip(self.ones, CAPTIONS, strict=True):
            middle = (picture.left + picture.right) / 2
            at = (middle, 1.4 * style.leading)
            shapes.append(Text(at, caption, 1.2 * style.size, "middle", True, "caption"))
            lines = list(self._lines(picture))
            shapes += [shape for shape in lines if isinstance(shape, Line)]
            known = "seat height" not in picture.unknown and "seat depth" not in picture.unknown
            shapes += painted(picture.scene, picture.view, style.pen, seat_known=known)
            shapes += [shape for shape in lines if not isinstance(shape, Line)]
        shapes += self._signs()
        table, below = self._table(self.floor + 17 * unit)
        listed, end = legend(self._rows(), unit, below, self.wide - unit, style)
        size = (self.wide, end + unit)
        return Sheet((*shapes, *table, *listed), size, self.ones[0].view.scale)

    def _lines(self, picture: _One) -> Iterator[Shape]:
        """Dimension lines with their letters."""
        style, unit, view = self.style, self.style.unit, picture.view
        middles = self._letter_heights(picture)
        for line in picture.lines():
            start, end, letter = view.at(line.start), view.at(line.end), _LETTERS[line.name]
            if line.name == "seat depth":
                y = self.floor + 5 * unit
                for x, _ in (start, end):
                    yield helper_line([(x, start[1]), (x, y)], style)
                yield from measure_line((start[0], y), (end[0], y), line.name, style)
                at: SvgPoint = ((start[0] + end[0]) / 2, y + 1.1 * style.leading)
            else:
                left = line.name in _LEFT
                x = picture.left - 2.5 * unit if left else picture.right + 2.5 * unit
                # The footrest's line is nearer, so that it does not lie on the desk's.
                x -= 4.6 * unit if line.name == "footrest height" else 0.0
                yield helper_line([(x, end[1]), (view.left if left else end[0], end[1])], style)
                yield from measure_line((x, start[1]), (x, end[1]), line.name, style)
                at = (x + (-2.6 if left else 2.6) * unit, middles[line.name])
            yield Text(at, letter, style.size, "middle", True, f"letter: {line.name}")

    def _letter_heights(self, picture: _One) -> dict[str, float]:
        """Base lines of the letters beside upright lines; the two at the left share a column."""
        size, heights = self.style.size, dict[str, float]()
        middles = {
            line.name: (picture.view.at(line.start)[1] + picture.view.at(line.end)[1]) / 2
            for line in picture.lines()
        }
        for names in (_LEFT, ("desk top",), ("footrest height",)):
            shown = [name for name in names if name in middles]
            high = [self.style.leading] * len(shown)
            apart = spread_apart([middles[name] for name in shown], high, self.top, self.floor)
            heights |= {name: y + 0.36 * size for name, y in zip(shown, apart, strict=True)}
        return heights

    def _table(self, top: float) -> tuple[list[Shape], float]:
        """A line for each letter, and where the next thing may begin."""
        style, wide = self.style, self.wide
        columns = (style.unit, 7 * style.unit, 0.36 * wide, 0.68 * wide)
        shapes, y = list[Shape](), top
        for number, row in enumerate([("", "", *CAPTIONS), *self._lengths()]):
            for x, text, bold in zip(columns, row, (True, False, number == 0, True), strict=True):
                if text:
                    part = "head" if number == 0 else f"table: {row[1]}"
                    shapes.append(Text((x, y), text, style.size, bold=bold, part=part))
            line = y + 0.36 * style.leading
            shapes.append(Line(((columns[0], line), (wide - columns[0], line)), style.pen.fine))
            y += 1.22 * style.leading
        return shapes, y

    def _lengths(self) -> Iterator[tuple[str, str, str, str]]:
        before, after = (
            {line.name: format_length(line.mm, self.system) for line in picture.lines()}
            for picture in self.ones
        )
        for name, letter in _LETTERS.items():
            missing = _UNKNOWN if name in self.ones[0].unknown else "none"
            if name in before or name in after:
                yield letter, VIEW_NAMES[name], before.get(name, missing), after.get(name, "none")

    def _problems(self) -> Iterator[tuple[_One, str, Misfit]]:
        """Numbered through both pictures."""
        number = 0
        for picture, caption in zip(self.ones, CAPTIONS, strict=True):
            for problem in picture.scene.problems:
                number += 1
                yield picture, caption, replace(problem, mark=str(number))

    def _signs(self) -> Iterator[Shape]:
        placed: list[Box] = []
        for picture, _, problem in self._problems():
            area = Box(picture.left, self.top, picture.right, self.floor)
            spot = picture.view.at(problem.where)
            at = sign_place(spot, area, placed, self.style)
            placed.append(sign_box(at, self.style))
            yield from signed(spot, at, self.style)
            yield from sign(at, problem.mark, self.style)

    def _rows(self) -> Iterator[tuple[str, str]]:
        for _, caption, problem in self._problems():
            yield problem.mark, f"{caption}: {problem.text.text(self.system)}"
        scale = self.ones[0].view.scale
        dashed = " Dashed on the left: not known." if self.ones[0].unknown else ""
        if not self.ones[1].scene.table.stands:
            dashed += " Dashed on the right: the desk that would suit."
        yield "", f"Both to scale, 1 : {1 / scale:.1f}; the body as estimated.{dashed}"
