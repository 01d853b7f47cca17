"""The side view for the written call summary, as SVG.

``side_view(scene, "both", prefix="chair-")`` is a whole SVG; ``sheet(scene, "both")`` is the same
drawing as shapes, from which a PDF or a picture is made (``svg_png.png``).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.picture import svg_words
from consult.picture.svg_pair import pair
from consult.picture.svg_side import sheet
from consult.picture.svg_words import description
from consult.picture.svg_write import INK, svg_text

if TYPE_CHECKING:
    from collections.abc import Set

    from consult.picture.model import Scene
    from consult.picture.svg_shapes import Shape
    from consult.units import System

__all__ = ["before_after", "description", "pair", "shapes", "sheet", "side_view", "svg_text"]

TITLE = "You on the chair at your desk, from the side"
PAIR_TITLE = "You at your desk now, and set up as advised"


def shapes(
    scene: Scene, system: System, *, width_mm: float = 170.0, labels: bool = True
) -> tuple[Shape, ...]:
    """The shapes of the side view; ``sheet`` has them together with their size."""
    return sheet(scene, system, width_mm=width_mm, labels=labels).shapes


def side_view(
    scene: Scene,
    system: System,
    *,
    width_mm: float = 170.0,
    labels: bool = True,
    title: str = TITLE,
    description: str | None = None,
    prefix: str = "",
    ink: str = INK,
) -> str:
    """The side view as SVG, ``width_mm`` wide; its height follows from what is in it.

    ``description`` is what a screen reader says, by default the numbers in sentences. ``prefix``
    and ``ink`` as for ``svg_text``. ValueError for a width that is not above 0.
    """
    drawn = sheet(scene, system, width_mm=width_mm, labels=labels)
    said = svg_words.description(scene, system) if description is None else description
    return svg_text(drawn.shapes, drawn.size, title=title, description=said, prefix=prefix, ink=ink)


def before_after(
    before: Scene,
    after: Scene,
    system: System,
    *,
    unknown: Set[str] = frozenset(),
    width_mm: float = 170.0,
    title: str = PAIR_TITLE,
    description: str | None = None,
    prefix: str = "",
    ink: str = INK,
) -> str:
    """Both scenes beside each other as SVG, at one scale on one floor.

    ``unknown`` names the dimensions that ``before`` only borrows (see ``present.scene_now``); the
    rest is as for ``side_view``.
    """
    drawn = pair(before, after, system, width_mm=width_mm, unknown=unknown)
    said = description
    if said is None:
        said = svg_words.pair_description(before, after, system, unknown)
    return svg_text(drawn.shapes, drawn.size, title=title, description=said, prefix=prefix, ink=ink)
