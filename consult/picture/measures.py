"""A drawing for each measure a call may ask for, by body dimension or fact of the workplace."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.picture import svg_measures
from consult.picture.study import Study
from consult.picture.svg_write import INK

if TYPE_CHECKING:
    from consult.picture.svg_shapes import Sheet


_MEASURES = {
    "stature": Study(
        "Height",
        "A person stands against a wall with a book flat on the head. The tape starts on the floor"
        " and ends level with the underside of the book.",
        svg_measures.stature,
    ),
    "popliteal_height": Study(
        "Lower leg",
        "A person sits with bare feet flat. The tape starts on the floor and ends level with the"
        " crease behind the knee.",
        svg_measures.popliteal_height,
    ),
    "buttock_popliteal_length": Study(
        "Thigh length",
        "A person sits with the bottom against a wall. The tape starts at the wall, runs level"
        " along the thigh and ends at the crease behind the knee.",
        svg_measures.buttock_popliteal_length,
    ),
    "elbow_rest_height": Study(
        "Elbow height",
        "A person sits upright, the upper arm hanging, the forearm level. The tape starts on the"
        " seat and ends level with the underside of the elbow.",
        svg_measures.elbow_rest_height,
    ),
    "hip_breadth_sitting": Study(
        "Hip width",
        "A person sits, seen from the front, a book standing against each hip. The tape starts at"
        " one book and ends at the other.",
        svg_measures.hip_breadth_sitting,
    ),
    "thigh_clearance": Study(
        "Thigh thickness",
        "A person sits with a ruler flat across the thigh. The tape starts on the seat and ends at"
        " the underside of the ruler.",
        svg_measures.thigh_clearance,
    ),
    "eye_height_sitting": Study(
        "Eye height",
        "A person sits upright and looks straight ahead. The tape starts on the seat and ends level"
        " with the eyes.",
        svg_measures.eye_height_sitting,
    ),
    "desk_height": Study(
        "Desk height",
        "A desk from the side. The tape starts on the floor and ends level with the top, at the"
        " front edge.",
        svg_measures.desk_height,
    ),
    "desk_thickness": Study(
        "Desk thickness",
        "The front of a desk with a drawer under it, above a thigh. The tape starts level with the"
        " top and ends level with the underside of the drawer.",
        svg_measures.desk_thickness,
    ),
    "heel": Study(
        "Heel of the shoe",
        "A shoe on a table. The tape starts on the table and ends level with the sole inside, at"
        " the back.",
        svg_measures.heel,
    ),
}

MEASURES = tuple(_MEASURES)
"""The measures that have a drawing."""


def words(measure: str) -> str:
    """What the drawing of a measure shows, for people who do not see it; KeyError for others."""
    return _MEASURES[measure].description


def sheet(measure: str) -> Sheet:
    """The drawing of a measure as shapes, 60 x 45 mm; KeyError for one that has none."""
    return _MEASURES[measure].sheet()


def drawing(measure: str, *, prefix: str = "", ink: str = INK) -> str:
    """The same as SVG; ``prefix`` and ``ink`` as for ``svg_write.svg_text``."""
    return _MEASURES[measure].svg(prefix=prefix, ink=ink)
