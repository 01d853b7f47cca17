"""Every chair a range can build, as flat arrays: one entry a chair.

Bodies are held against few numbers only - how high the seat goes, how deep it is, how high the
arms go, the weakest rating - and many chairs share them. Each distinct set of numbers is kept
once and chairs point to it, so that every test is made once per set and not once per chair.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from consult.fit.range_model import (
    CHAIR_KINDS,
    Kind,
    Part,
    Range,
    arms_above_loaded_seat,
    loaded_seat_height,
    which_go_together,
)

Array = NDArray[np.float64]
Index = NDArray[np.intp]

ANYTHING = (-math.inf, math.inf)
"""The reach of a part that states none: it is not tested."""
NOTHING = (math.inf, -math.inf)
"""The reach of arms that are not there: it meets no demand."""


@dataclass(frozen=True, slots=True, eq=False)
class Chairs:
    """All chairs that go together; mm, kg."""

    parts: tuple[tuple[Part, ...], ...]
    """On sale, a row a kind of CHAIR_KINDS."""
    index: Index
    """Chair -> place of its part in each row of ``parts``."""
    heights: Array
    """Distinct lowest and highest loaded seat heights."""
    seats: Array
    """Distinct shortest depth, longest depth and width."""
    arms: Array
    """Distinct lowest and highest armrest above the loaded seat (NOTHING where no arms) and
    widest room between the two."""
    ratings: Array
    """Distinct ratings of the weakest part, rising; infinite where no part has one."""
    height_of: Index
    seat_of: Index
    arms_of: Index
    rating_of: Index
    pence: NDArray[np.int64]
    lead_days: NDArray[np.int64]

    def chair(self, at: int) -> dict[Kind, Part]:
        """The parts of one chair by kind."""
        row = self.index[at]
        return {kind: self.parts[axis][int(row[axis])] for axis, kind in enumerate(CHAIR_KINDS)}

    @lru_cache(maxsize=64)  # noqa: B019 - of the few ranges of a run, a bounded number of answers
    def having(self, feature: str) -> NDArray[np.bool_]:
        """Which chairs have a feature, not to be written to; the twin of ``pick.chair_has``."""
        has = self._gathered([[feature in p.features for p in of_kind] for of_kind in self.parts])
        if feature != "heavy_duty":
            return np.asarray(has.any(axis=1))
        rated = self._gathered([[p.rating is not None for p in of_kind] for of_kind in self.parts])
        return np.asarray(rated.any(axis=1) & (has | ~rated).all(axis=1))

    def _gathered(self, flags: Sequence[Sequence[bool]]) -> NDArray[np.bool_]:
        columns = [np.array(row, np.bool_)[self.index[:, at]] for at, row in enumerate(flags)]
        return np.stack(columns, axis=1)


def chairs_of(range_: Range) -> Chairs:
    """Every chair of the parts on sale, in the order of the range file; listed once a range.

    Raises:
        ValueError: the range builds no chair at all; a range that was loaded builds some.
    """
    if "chairs" not in range_.kept:
        range_.kept["chairs"] = _listed(range_)
    chairs: Chairs = range_.kept["chairs"]
    return chairs


def _listed(range_: Range) -> Chairs:
    parts = tuple(range_.on_sale(kind) for kind in CHAIR_KINDS)
    index = np.argwhere(which_go_together(range_))
    if not len(index):
        raise ValueError("no chair of this range can be built")
    seats, lifts, _, _, arms, castors = parts
    seat, lift, _, _, arm, wheels = index.T
    heights, height_table = _distinct(
        [[[loaded_seat_height(s, up, c) for c in castors] for up in lifts] for s in seats]
    )
    at_seat, seat_table = _distinct([(*(s.depth or ANYTHING), _or_more(s.width)) for s in seats])
    at_arms, arms_table = _distinct([[_arms(s, pair) for pair in arms] for s in seats])
    weakest = _fold(parts, index, "rating").min(axis=1)
    ratings, rating_of = np.unique(weakest, return_inverse=True)
    return Chairs(
        parts=parts,
        index=index,
        heights=heights,
        seats=at_seat,
        arms=at_arms,
        ratings=ratings,
        height_of=height_table[seat, lift, wheels],
        seat_of=seat_table[seat],
        arms_of=arms_table[seat, arm],
        rating_of=rating_of.reshape(-1),
        pence=_fold(parts, index, "price").sum(axis=1).astype(np.int64),
        lead_days=_fold(parts, index, "lead_days").max(axis=1).astype(np.int64),
    )


def _arms(seat: Part, arms: Part) -> tuple[float, float, float]:
    low, high = arms_above_loaded_seat(seat, arms) or NOTHING
    return low, high, math.inf if arms.between is None else arms.between[1]


def _or_more(width: float | None) -> float:
    return math.inf if width is None else width


def _fold(parts: Sequence[Sequence[Part]], index: Index, what: str) -> Array:
    """A number of every part, laid out as ``index``; prices in pence, no rating as infinite."""

    def number(part: Part) -> float:
        if what == "price":
            return round(part.price * 100)
        if what == "lead_days":
            return part.lead_days
        return math.inf if part.rating is None else part.rating

    columns = [
        np.array([number(part) for part in of_kind], np.float64)[index[:, at]]
        for at, of_kind in enumerate(parts)
    ]
    return np.stack(columns, axis=1)


def _distinct(table: Sequence[object]) -> tuple[Array, Index]:
    """The distinct rows of a table, and the table with each row's place among them."""
    rows = np.array(table, np.float64)
    found, at = np.unique(rows.reshape(-1, rows.shape[-1]), axis=0, return_inverse=True)
    return found, at.reshape(rows.shape[:-1])
