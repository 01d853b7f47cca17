"""Text set as strips, a line each: how large, how wide, and which lines stay together."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from consult.summary.pdf_paper import MM
from consult.summary.pdf_strips import Strip, kept_lines
from consult.summary.pdf_words import runs_left

if TYPE_CHECKING:
    from consult.summary.pdf_paper import Paper
    from consult.summary.pdf_tags import Tag

WHOLE = 12
"""Lines that are kept together in an item or an alert."""
_LEADING = 1.2
LARGE, USUAL, SMALL = 9.5, 8.4, 8.0
"""Points. What is smaller can hardly be read. Common practice, no source. The face is large for its
size: this is as tall as a sixth more of most others."""


@dataclass(frozen=True, slots=True)
class Words:
    """How a text is set."""

    x: float
    """From the left edge of the column, mm."""
    room: float
    """Width of the lines, mm."""
    size: float
    """Points."""
    bold: bool = False

    @property
    def high(self) -> float:
        """From line to line."""
        return self.size / MM * _LEADING

    @property
    def base(self) -> float:
        """From the top of a line to its base line."""
        return self.high / 2 + 0.3 * self.size / MM


def set_text(paper: Paper, text: str, words: Words, tag: Tag, gap: float = 0.0) -> Iterator[Strip]:
    """A paragraph, a strip for each of its lines, ``gap`` mm above the first."""
    lines = paper.lines(text, words.size, words.room, words.bold)
    leftward = runs_left(" ".join(lines))
    kept = kept_lines(len(lines), 3)
    for at, (line, joined) in enumerate(zip(lines, kept, strict=True)):
        last = at == len(lines) - 1

        def draw(x: float, y: float, line: str = line, last: bool = last) -> None:
            with paper.tagged(tag):
                # The space keeps the words of two lines apart when they are read out.
                said = line if last else f"{line} "
                paper.put(
                    said, x + words.x, y + words.base, words.size, words.room,
                    bold=words.bold, leftward=leftward,
                )  # fmt: skip

        yield Strip(words.high, draw, gap if at == 0 else 0.0, joined)


def together(
    strips: Sequence[Strip], gap: float = -1.0, *, joined: bool = False
) -> Iterator[Strip]:
    """The strips on one page where they are few; ``joined`` with what follows them."""
    kept = kept_lines(len(strips), WHOLE)
    for at, (one, stays) in enumerate(zip(strips, kept, strict=True)):
        last = at == len(strips) - 1
        above = gap if at == 0 and gap >= 0 else one.gap
        yield replace(one, joined=joined if last else stays or one.joined, gap=above)


def in_words(alt: str) -> str:
    """A drawing that is not there."""
    return f"In the picture: {alt}"


def nothing(_x: float, _y: float) -> None:
    """Empty paper."""
