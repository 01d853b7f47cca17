"""What a chair maker sells: parts with their adjustment, and which go together.

Lengths are in mm, masses in kg, prices in the range's own currency. Makers state heights either
under a person (loaded) or with nobody on the seat (unloaded); everything asked of the range here
is answered for a seat somebody sits on.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from functools import reduce
from itertools import combinations
from operator import and_, or_
from typing import TYPE_CHECKING, Any, Literal

import numpy as np
from numpy.typing import NDArray

from consult.fit.rules import Number, Span
from consult.fit.workplace import Reach

if TYPE_CHECKING:
    from consult.fit.declared import Fitting

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


def has_feature(feature: str, has: Sequence[Number], rated: Sequence[Number]) -> Number:
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


@dataclass(frozen=True, slots=True)
class Range:
    """One maker's range file."""

    name: str
    maker: str
    version: str
    currency: str
    """Three letters: GBP."""
    parts: Mapping[Kind, tuple[Part, ...]]
    """Every part, discontinued ones too, in the order of the file."""
    vat: str = ""
    """Whether it is 'included' in the prices or 'excluded'; '' where the file does not say."""
    fitting: Fitting | None = None
    """What the parts make, where a file declares it; None: chairs."""
    kept: dict[str, Any] = field(default_factory=dict, init=False, repr=False, compare=False)
    """What was worked out from these parts alone."""

    @property
    def thing(self) -> str:
        """What is chosen, as screens and documents call it."""
        return self.fitting.thing if self.fitting is not None else "chair"

    def on_sale(self, kind: Kind) -> tuple[Part, ...]:
        """The parts of a kind that can be ordered."""
        listed = self.parts.get(kind, ())
        if kind == "base" and not listed:
            return (NO_BASE,)
        return tuple(part for part in listed if not part.discontinued)

    def model_of(self, codes: Collection[str]) -> Part | None:
        """The fixed model on sale that is made of these parts; others may be among them."""
        return next((m for m in self.on_sale("model") if m.made_of <= set(codes)), None)

    def sold_as(self, parts: Mapping[Kind, Part]) -> tuple[Part, ...]:
        """What is ordered and paid for these parts: a fixed model in place of those it has."""
        listed = [part for part in parts.values() if part.code]
        model = self.model_of([part.code for part in listed])
        if model is None:
            return tuple(listed)
        return (model, *(part for part in listed if part.code not in model.made_of))

    def price_of(self, parts: Mapping[Kind, Part], pieces: int = 1) -> float:
        """What these parts cost together, for one chair of so many."""
        return sum(round(part.price_for(pieces) * 100) for part in self.sold_as(parts)) / 100

    def delivery_to(self, country: str) -> Part | None:
        """What delivery to a country (GB, or GB-NIR) is; None where the list does not say."""
        entries = {part.country: part for part in self.on_sale("delivery")}
        return entries.get(country.partition("-")[0]) or entries.get("")

    def on(self, day: date) -> Range:
        """The range as it is on a day: parts whose last day is past are discontinued."""
        past = [
            part.code
            for parts in self.parts.values()
            for part in parts
            if part.until is not None and part.until < day and not part.discontinued
        ]
        return self._with({code: {"discontinued": True} for code in past})

    def priced_for(self, pieces: int) -> Range:
        """The range at the prices of so many pieces, so that the chair is chosen by them."""
        return self._with(
            {
                part.code: {"price": part.price_for(pieces)}
                for parts in self.parts.values()
                for part in parts
                if part.price_for(pieces) != part.price
            }
        )

    def _with(self, changes: Mapping[str, Mapping[str, Any]]) -> Range:
        """The range with something else of the parts with these codes; itself where there are
        none. Kept, for what is worked out of a range is kept with it."""
        if not changes:
            return self
        name = f"with {changes}"
        if name not in self.kept:
            parts = {
                kind: tuple(replace(part, **changes.get(part.code, {})) for part in of)
                for kind, of in self.parts.items()
            }
            self.kept[name] = replace(self, parts=parts)
        found: Range = self.kept[name]
        return found

    def compatible(self, one: Part, other: Part) -> bool:
        """Whether two parts of different kinds go on the same chair; either may object.

        Both go on a fixed model that has both, whatever they object to elsewhere.
        """
        if any({one.code, other.code} <= model.made_of for model in self.on_sale("model")):
            return True
        return self.go_freely(one, other)

    def go_freely(self, one: Part, other: Part) -> bool:
        """The same of a chair that is put together freely."""
        return not one.models_only and not other.models_only and self.agree(one, other)

    def agree(self, one: Part, other: Part) -> bool:
        """Whether neither part objects to the other."""
        return self._allows(one, other) and self._allows(other, one)

    def _allows(self, part: Part, other: Part) -> bool:
        if other.code in part.not_with:
            return False
        if not part.fits_with or other.code in part.fits_with:
            return True
        return not any(same.code in part.fits_with for same in self.parts.get(other.kind, ()))

    def reach(self) -> Reach:
        """Loaded seat heights and footrest heights that the parts on sale give, mm.

        Raises:
            ValueError: no seat, gas lift and castors on sale go together; a loaded range has some.
        """
        if "reach" not in self.kept:
            self.kept["reach"] = self._reach()
        reach: Reach = self.kept["reach"]
        return reach

    def _reach(self) -> Reach:
        spans = [
            loaded_seat_height(seat, lift, castors, base)
            for seat in self.on_sale("seat")
            for lift in self.on_sale("gas_lift")
            if self.compatible(seat, lift)
            for castors in self.on_sale("castors")
            if self.compatible(seat, castors) and self.compatible(lift, castors)
            for base in self.on_sale("base")
            if all(self.compatible(base, one) for one in (seat, lift, castors))
        ]
        if not spans:
            raise ValueError("no seat, gas lift and castors of this range go together")
        rests = [part.height for part in self.on_sale("footrest") if part.height is not None]
        return Reach(_around(spans), _around(rests) if rests else None)


def which_go_together(range_: Range) -> NDArray[np.bool_]:
    """Which chairs can be built, one axis a kind of CHAIR_KINDS, indexed as ``on_sale`` lists."""
    parts = [range_.on_sale(kind) for kind in CHAIR_KINDS]
    together = np.ones([len(of_kind) for of_kind in parts], dtype=np.bool_)
    for one, other in combinations(range(len(CHAIR_KINDS)), 2):
        pairs = [[range_.go_freely(a, b) for b in parts[other]] for a in parts[one]]
        shape = [1] * len(CHAIR_KINDS)
        shape[one], shape[other] = len(parts[one]), len(parts[other])
        together &= np.array(pairs, dtype=np.bool_).reshape(shape)
    for model in range_.on_sale("model"):
        together[model_place(model, parts)] = True
    return together


def model_place(model: Part, parts: Sequence[Sequence[Part]]) -> tuple[NDArray[np.intp], ...]:
    """Where a fixed model stands among all chairs; empty where a part of it is not on sale."""
    return np.ix_(
        *(
            [at for at, one in enumerate(of_kind) if one.code in model.made_of or one is NO_BASE]
            for of_kind in parts
        )
    )


def _around(spans: list[Span]) -> Span:
    return min(low for low, _ in spans), max(high for _, high in spans)
