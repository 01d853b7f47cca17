"""A small drawing for each step of setting up: what to move, and how to see that it is right."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.picture import svg_steps
from consult.picture.study import Study
from consult.picture.svg_write import INK

if TYPE_CHECKING:
    from consult.picture.svg_shapes import Sheet


_STEPS = {
    "shoes": Study(
        "The shoes you work in",
        "A shoe on the floor; an arrow shows how high its heel is.",
        svg_steps.shoes,
    ),
    "seat_height": Study(
        "Height of the seat",
        "A person sits on a chair, the feet flat on the floor; an arrow beside the seat points"
        " up and down.",
        svg_steps.seat_height,
    ),
    "footrest": Study(
        "A footrest",
        "Both feet rest flat on a footrest in front of the chair; an arrow shows its height.",
        svg_steps.footrest,
    ),
    "seat_depth": Study(
        "Depth of the seat",
        "A hand reaches up between the front edge of the seat and the back of the knee: three"
        " fingers fit.",
        svg_steps.seat_depth,
    ),
    "back": Study(
        "The back",
        "A person leans back and the back of the chair follows; a curved arrow points there and"
        " back again.",
        svg_steps.back,
    ),
    "lumbar": Study(
        "Lumbar support",
        "The support fills the hollow of the back, just above the belt; an arrow beside it points"
        " up and down.",
        svg_steps.lumbar,
    ),
    "armrests": Study(
        "Armrests",
        "The upper arm hangs, the forearm is level and just touches the armrest; an arrow beside"
        " it points up and down.",
        svg_steps.armrests,
    ),
    "desk": Study(
        "Height of the desk",
        "A dashed line shows that the elbow is level with the top of the desk; an arrow on the"
        " desk points up and down.",
        svg_steps.desk,
    ),
    "screen": Study(
        "The screen",
        "A person touches the screen with an outstretched arm; a dashed line runs level from the"
        " eyes to the top of the screen.",
        svg_steps.screen,
    ),
    "breaks": Study(
        "Breaks",
        "A person stands beside the chair; on a clock, ten minutes of the hour are hatched.",
        svg_steps.breaks,
    ),
}

TOPICS = tuple(_STEPS)
"""The steps that have a drawing."""


def sheet(topic: str) -> Sheet | None:
    """The drawing for a step as shapes, 60 x 45 mm; None for a step that has none."""
    step = _STEPS.get(topic)
    return None if step is None else step.sheet()


def drawing(topic: str, *, prefix: str = "", ink: str = INK) -> str | None:
    """The same as SVG; ``prefix`` and ``ink`` as for ``svg_write.svg_text``."""
    step = _STEPS.get(topic)
    return None if step is None else step.svg(prefix=prefix, ink=ink)
