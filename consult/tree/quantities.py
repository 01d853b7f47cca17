"""The quantities a condition or a text may ask of the fit, the body estimate and the range, and
the figures of the fit that a tree may change."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, cast

from consult.scale import from_unit

if TYPE_CHECKING:
    from consult.tree.draft import Block

LOWEST_SEAT = "lowest_seat"
"""The lowest seat that the caller may sit on, where it is known."""
KEPT_UP = "seat_kept_up"
"""The caller may not sit lower than told, or than today."""
FIT_QUANTITIES: dict[str, str] = {
    "seat_height": "cm",
    "seat_depth": "cm",
    "armrest_height": "cm",
    "keyboard_height": "cm",
    "desk_height": "cm",
    "footrest_height": "cm",
    "screen_top": "cm",
    "seat_width": "cm",
    "standing_desk_height": "cm",
    "leg_seat_height": "cm",
    "desk_raise": "cm",
    "desk_excess": "cm",
    LOWEST_SEAT: "cm",
    "footrest_needed": "yes-no",
    "desk_too_high": "yes-no",
    "desk_too_low": "yes-no",
    "thigh_room_short": "yes-no",
    "arms_meet_desk": "yes-no",
    "seat_out_of_reach": "yes-no",
    "desk_out_of_reach": "yes-no",
    "footrest_out_of_reach": "yes-no",
    KEPT_UP: "yes-no",
    "settled": "yes-no",
}
"""``fit.<name>``; lengths read in cm."""

BODY_DIMENSIONS: dict[str, str] = {
    "stature": "cm",
    "weight": "kg",
    "popliteal_height": "cm",
    "buttock_popliteal_length": "cm",
    "elbow_rest_height": "cm",
    "thigh_clearance": "cm",
    "hip_breadth_sitting": "cm",
    "eye_height_sitting": "cm",
    "knee_height_sitting": "cm",
    "sitting_height": "cm",
    "acromion_radiale_length": "cm",
    "forearm_forearm_breadth": "cm",
    "hand_breadth": "cm",
    "elbow_height_standing": "cm",
}
"""``body.<name>`` and what ``measures`` may name; the unit a condition reads it in."""

HIGHEST_RATING = "range.highest_rating"
"""What the strongest whole chair on sale is rated for."""
HEAVIEST_CALLER = "range.heaviest_caller"
"""The highest weight a caller may say and still be offered a chair: people weigh more than they
say, so it lies below the highest rating."""
_LIMITS = {
    "highest_rating": "kg",
    "heaviest_caller": "kg",
    "heavy_duty": "yes-no",
    "headrest": "yes-no",
}
"""``range.<name>``: the limits of the chairs on sale, which no condition and no text repeats as a
figure of its own."""

QUANTITIES = {"fit": FIT_QUANTITIES, "body": BODY_DIMENSIONS, "range": _LIMITS}
"""Owner, as written before the point, to its names, each with its unit or ``yes-no``."""


def unit_named(name: str) -> str:
    """The unit of a dotted name, or ``yes-no``; what a file beside the tree declares is in cm."""
    owner, _, rest = name.partition(".")
    return QUANTITIES.get(owner, {}).get(rest, "cm" if owner == "fit" else "")


LENGTH_UNITS = ("cm", "mm", "m", "in")
MASS_UNITS = ("kg", "st", "lb")


# -- figures of the fit that advice and needs change: ``heel + 3 cm, at most 6 cm`` ---------------
# ``heel`` is what is under the feet, ``cushion`` what lies on the seat of the chair.

AdjustedFigure = Literal["heel", "cushion"]
FIGURES: Mapping[AdjustedFigure, float] = {"heel": 120.0, "cushion": 100.0}
"""What may be changed, and the most of it in all, mm; common practice, no source."""

_NAME = r"[a-z][a-z0-9_]*"
_FIGURE = r"[0-9]{1,3}(?:\.[0-9]{1,2})?"
UNITS_ADDED = "cm|mm|in"
"""What such a figure may be written in, as a pattern."""
_ADJUSTS = re.compile(
    rf"(?P<figure>{_NAME}) \+ "
    rf"(?:(?P<amount>{_FIGURE}) (?P<unit>{UNITS_ADDED})|(?P<question>{_NAME})), "
    rf"at most (?P<most>{_FIGURE}) (?P<most_unit>{UNITS_ADDED})"
)


@dataclass(frozen=True, slots=True)
class Adjusts:
    """How a piece of a tree changes a figure while it applies; mm."""

    figure: AdjustedFigure
    amount: float | None
    """What it adds; None: the answer to ``question``."""
    question: str
    at_most: float
    """The figure is not raised beyond this in all."""


def parse_adjusts(text: str) -> Adjusts | None:
    """A change of a figure as a tree writes it; None for what is written otherwise."""
    match = _ADJUSTS.fullmatch(" ".join(text.split()))
    if match is None:
        return None
    amount = from_unit(float(match["amount"]), match["unit"]) if match["amount"] else None
    most = from_unit(float(match["most"]), match["most_unit"])
    return Adjusts(cast("AdjustedFigure", match["figure"]), amount, match["question"] or "", most)


def adjusts_of(block: Block) -> Adjusts | None:
    """What a piece of advice or a need changes; None where it changes nothing, or is misspelt."""
    text = block.text("adjusts")
    return parse_adjusts(text) if text else None
