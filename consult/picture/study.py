"""A small drawing of one thing: its words, and its shapes on 60 x 45 mm."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from consult.picture.svg_shapes import Sheet
from consult.picture.svg_stage import SIZE, framed
from consult.picture.svg_write import svg_text

if TYPE_CHECKING:
    from consult.picture.svg_shapes import Shape


@dataclass(frozen=True, slots=True)
class Study:
    """Drawn when it is asked for."""

    title: str
    description: str
    """What it shows, for somebody who does not see it."""
    shapes: Callable[[], Iterator[Shape]]

    def sheet(self) -> Sheet:
        """The drawing as shapes."""
        return Sheet(framed(self.shapes()), SIZE, 1.0)

    def svg(self, *, prefix: str, ink: str) -> str:
        """The same as SVG; ``prefix`` and ``ink`` as for ``svg_write.svg_text``."""
        drawn = self.sheet()
        return svg_text(
            drawn.shapes,
            drawn.size,
            title=self.title,
            description=self.description,
            prefix=prefix,
            ink=ink,
        )
