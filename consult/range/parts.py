"""The parts of a price list, what they adjust, and the features a chair has of them.

Lengths are in mm, masses in kg, prices in the range's own currency. Makers state heights either
under a person (loaded) or with nobody on the seat (unloaded); everything asked of parts here is
answered for a seat somebody sits on.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import reduce
from operator import and_, or_
from typing import Any, Literal

Span = tuple[float, float]
"""Lowest and highest; the same number twice where nothing moves."""

ANY: Span = (-math.inf, math.inf)

Kind = Literal[
    "seat",
    "gas_lift",
    "back",
    "lumbar",
    "arms",
    "castors",
    "base",
    "footrest",
    "desk_raiser",
    "headrest",
    "foot_ring",
    "fabric",
    "model",
    "delivery",
]


Stated = Literal["loaded", "unloaded"]


CHAIR_KINDS: tuple[Kind, ...] = ("seat", "gas_lift", "back", "lumbar", "arms", "castors", "base")
"""Every chair has one part of each, in the order they are built up."""


SECTIONS: Mapping[str, Kind] = {
    "seats": "seat",
    "gas_lifts": "gas_lift",
    "backs": "back",
    "lumbars": "lumbar",
    "arms": "arms",
    "castors": "castors",
    "bases": "base",
    "footrests": "footrest",
    "desk_raisers": "desk_raiser",
    "headrests": "headrest",
    "foot_rings": "foot_ring",
    "fabrics": "fabric",
    "models": "model",
    "deliveries": "delivery",
}
"""Section of the file -> the kind of part it lists."""


OPTIONS: tuple[Kind, ...] = ("headrest", "foot_ring", "fabric")
"""What a caller chooses where the order is placed; never a reason for or against a chair."""


FEATURES: Mapping[str, tuple[Kind, ...]] = {
    "seat_slide": ("seat",),
    "seat_angle": ("seat",),
    "tilts_forward": ("back",),
    "lumbar_height": ("lumbar",),
    "arms_slide_back": ("arms",),
    "arms_swing_away": ("arms",),
    "arms_height": ("arms",),
    "no_arms": ("arms",),
    "hard_castors": ("castors",),
    "soft_castors": ("castors",),
    "heavy_duty": ("seat", "gas_lift", "back", "arms", "castors", "base"),
}
"""Feature a tree may need -> the kinds of part that can have it."""


@dataclass(frozen=True, slots=True)
class Part:
    """One line of the price list. Fields below ``rating`` belong to some kinds only."""

    kind: Kind
    code: str
    name: str
    price: float
    lead_days: int
    find: str = ""
    """Where its adjustment is and what the hand feels; '' where it has none."""
    quantity_prices: tuple[tuple[int, float], ...] = ()
    """What one costs from so many pieces on, fewest pieces first."""
    photo: str = ""
    """Name of a picture file beside the range file; '' where there is none."""
    tilt: Span | None = None
    """Seat and back: how far it tilts, degrees; backwards above zero, forwards below."""
    tilt_find: str = ""
    """Seat and back: where the lever of the tilt is."""
    discontinued: bool = False
    """Kept so that older chairs can still be read; never offered."""
    until: date | None = None
    """The last day it can be ordered; None where no end is set."""
    fits_with: frozenset[str] = frozenset()
    """Codes; of each kind named here, only these go with the part."""
    not_with: frozenset[str] = frozenset()
    """Codes that never go with the part."""
    features: frozenset[str] = frozenset()
    rating: float | None = None
    """kg it may carry; None where it does not carry the person."""
    depth: Span | None = None
    """Seat: from the front edge to the back support."""
    width: float | None = None
    """Seat."""
    compression: float = 0.0
    """Seat: how far the foam sinks under a person."""
    seat_height: Span | None = None
    """Gas lift: height of the seat it gives, above the floor, as ``stated``."""
    height: Span | None = None
    """Lumbar and arms: above the seat; footrest: above the floor. Arms without one are no arms."""
    stated: Stated = "loaded"
    """Gas lift and arms: whether the foam was pressed down when the height was taken."""
    between: Span | None = None
    """Arms: clear width between the two."""
    adds: float = 0.0
    """Castors and base: what they add to the seat height that the gas lift states."""
    raises: Span | None = None
    """Desk raiser: what it adds to the height of the desk."""
    also: tuple[str, ...] = ()
    """Codes ordered with it at no price of their own, as of a right arm beside the left."""
    guarantee: str = ""
    """How long, as the maker words it: 5 years; '' where nothing is said."""
    models_only: bool = False
    """Sold in the fixed models that name it and in no other chair."""
    made_of: frozenset[str] = frozenset()
    """Model: codes of its parts, one of each kind of a chair."""
    group: str = ""
    """Fabric: its price group, as the maker calls it."""
    country: str = ""
    """Delivery: where to, two letters; '' anywhere that no other entry names."""
    free_from: float | None = None
    """Delivery: it costs nothing where the chair costs this much or more."""

    def price_for(self, pieces: int) -> float:
        """What one costs where so many are ordered."""
        return next((p for n, p in reversed(self.quantity_prices) if pieces >= n), self.price)


def has_feature(feature: str, has: Sequence[Any], rated: Sequence[Any]) -> Any:
    """Whether a chair has a feature, or which chairs have it: of each part whether it has, and
    whether it has a rating. Heavy duty is every part with a rating, anything else one part."""
    if feature != "heavy_duty":
        return reduce(or_, has, False)
    every = (yes >= carries for yes, carries in zip(has, rated, strict=True))
    return reduce(or_, rated, False) & reduce(and_, every)


def chair_has(chair: Iterable[Part], feature: str) -> bool:
    """Whether the chair of these parts has a feature."""
    parts = list(chair)
    has = [feature in part.features for part in parts]
    return bool(parts and has_feature(feature, has, [part.rating is not None for part in parts]))


NO_BASE = Part("base", "", "", 0.0, 0)
"""Stands for the base of every chair where a range lists none apart: nobody orders it."""


def loaded_seat_height(seat: Part, lift: Part, castors: Part, base: Part | None = None) -> Span:
    """Reach of the seat above the floor, mm, with somebody on it."""
    if lift.seat_height is None:
        raise ValueError(f"gas lift {lift.code} states no seat height")
    sinks = seat.compression if lift.stated == "unloaded" else 0.0
    low, high = lift.seat_height
    lifted = castors.adds + (base.adds if base is not None else 0.0) - sinks
    return low + lifted, high + lifted


def arms_above_loaded_seat(seat: Part, arms: Part) -> Span | None:
    """Reach of the armrests above the seat, mm, with somebody on it; None for no arms.

    Armrests are bolted to the frame: the seat sinks between them, so they stand higher above it.
    """
    if arms.height is None:
        return None
    sinks = seat.compression if arms.stated == "unloaded" else 0.0
    return arms.height[0] + sinks, arms.height[1] + sinks
