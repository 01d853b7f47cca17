"""Lists set as strips: marks, what stands under an item, and the drawing beside it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from consult.summary.pdf_lines import WHOLE, Words, in_words, nothing, set_text, together
from consult.summary.pdf_strips import Strip, kept_lines

if TYPE_CHECKING:
    from consult.summary.blocks import Item, Items
    from consult.summary.drawings import Drawing
    from consult.summary.pdf_paper import Paper
    from consult.summary.pdf_tags import Tag

_INDENT, _DEEPER = 5.0, 3.2
_MARK = 1.6
"""Between a mark and its text."""
_DRAWING, _SMALLER, _NARROW = 30.0, 20.0, 120.0
"""How wide a drawing is; the smaller one in columns that are narrow."""
_LARGER = 1.5
"""How much wider one is that has to be looked at closely."""
_BESIDE, _LOWERED = 2.0, 0.6


@dataclass(frozen=True, slots=True)
class Lists:
    """Sets lists in a column."""

    paper: Paper
    pictures: Mapping[str, Drawing]
    room: float
    size: float

    def items(self, block: Items) -> Iterator[Strip]:
        """The whole list."""
        listed = self.paper.tags.add("L")
        for number, item in enumerate(block.items, start=1):
            mark = f"{number}." if block.numbered else "•"
            yield from self._item(item, mark, listed)

    def _item(self, item: Item, mark: str, listed: Tag) -> Iterator[Strip]:
        paper, tags = self.paper, self.paper.tags
        one = tags.add("LI", listed)
        picture = item.picture
        drawing = self.pictures.get(picture.name) if picture else None
        wide = _DRAWING if self.room > _NARROW else _SMALLER
        wide *= _LARGER if drawing and drawing.studied else 1.0
        scale = wide / drawing.size[0] if drawing else 0.0
        tall = drawing.size[1] * scale + _LOWERED if drawing else 0.0
        beside = wide + _BESIDE

        def words(indent: float, down: float) -> Words:
            room = self.room - indent
            return Words(indent, room - beside if down < tall else room, self.size)

        found = self._marked(mark, item.text, words(_INDENT, 0.0), one)
        strips, body = found.all, found.body
        if item.under:
            under = tags.add("L", body)
            for line in item.under:
                down = sum(one.high for one in strips)
                set_in = words(_INDENT + _DEEPER, down)
                strips += self._marked("–", line, set_in, tags.add("LI", under)).all
        if picture and picture.alt and not drawing:
            whole = words(_INDENT, 0.0)
            strips += set_text(paper, in_words(picture.alt), whole, tags.add("P", body))
        if picture and drawing:
            alt = paper.spell(picture.alt)
            # One that says nothing in words only repeats the item.
            figure = tags.add("Figure", body, alt=alt) if alt else None
            left = self.room - wide

            def beside_it(x: float, y: float) -> None:
                with paper.tagged(figure):
                    paper.draw(drawing.shapes, x + left, y + _LOWERED, scale)

            yield from _with_drawing(strips, beside_it, tall)
            return
        yield from together(strips, gap=0.8)

    def _marked(self, mark: str, text: str, words: Words, item: Tag) -> _Marked:
        """A text with a mark before its first line."""
        tags = self.paper.tags
        label, body = tags.add("Lbl", item), tags.add("LBody", item)
        first, *rest = set_text(self.paper, text, words, tags.add("P", body))

        def draw(x: float, y: float) -> None:
            left = x + words.x - _MARK - self.paper.wide(mark, words.size)
            with self.paper.tagged(label):
                self.paper.put(mark, left, y + words.base, words.size, words.room)
            first.draw(x, y)

        return _Marked([replace(first, draw=draw), *rest], body)


@dataclass(slots=True)
class _Marked:
    """The strips of an item so far, and the tag of what stands in it."""

    all: list[Strip]
    body: Tag


def _with_drawing(
    strips: Sequence[Strip], drawing: Callable[[float, float], None], tall: float
) -> Iterator[Strip]:
    """The strips and a drawing beside the first of them, which stands whole in one column."""
    first = strips[0]

    def draw(x: float, y: float) -> None:
        first.draw(x, y)
        drawing(x, y)

    down = 0.0
    kept = kept_lines(len(strips), WHOLE)
    for one, stays in zip([replace(first, draw=draw, gap=1.0), *strips[1:]], kept, strict=True):
        down += one.high
        yield replace(one, joined=stays or down < tall)
    if down < tall:
        yield Strip(tall - down, nothing)
