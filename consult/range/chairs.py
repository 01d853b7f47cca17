"""Every chair a range can build, as flat arrays: one entry a chair.

Bodies are held against few numbers only - how high the seat goes, how deep it is, how high the
arms go, the weakest rating - and many chairs share them. Each distinct set of numbers is kept
once and chairs point to it, so that every test is made once per set and not once per chair.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from consult.range.model import Range
from consult.range.parts import (
    ANY,
    CHAIR_KINDS,
    NO_BASE,
    Kind,
    Part,
    arms_above_loaded_seat,
    has_feature,
    loaded_seat_height,
)

if TYPE_CHECKING:
    from consult.body.population import Array


Index = NDArray[np.intp]

_NOTHING = (math.inf, -math.inf)
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

    @property
    def lowest(self) -> float:
        """The lowest loaded seat of all."""
        return float(self.heights[:, 0].min())

    def chair(self, at: int) -> dict[Kind, Part]:
        """The parts of one chair by kind; without a base where the range lists none apart."""
        row = self.index[at]
        parts = {kind: self.parts[axis][int(row[axis])] for axis, kind in enumerate(CHAIR_KINDS)}
        return {kind: part for kind, part in parts.items() if part is not NO_BASE}

    def places_of(self, codes: Collection[str]) -> Index | None:
        """Where the parts with these codes stand in each row of ``parts``; None where one lacks."""
        places = [
            next((at for at, p in enumerate(of_kind) if p is NO_BASE or p.code in codes), None)
            for of_kind in self.parts
        ]
        return None if None in places else np.array(places, np.intp)

    def row_of(self, codes: Collection[str]) -> int | None:
        """The chair of the parts with these codes; None where there is none."""
        places = self.places_of(codes)
        if places is None:
            return None
        return next(iter(np.flatnonzero((self.index == places).all(axis=1)).tolist()), None)

    def having(self, *features: str) -> NDArray[np.bool_]:
        """Which chairs have all of these features."""
        has = np.ones(len(self.index), np.bool_)
        for feature in features:
            has &= self._with(feature)
        return has

    @lru_cache(maxsize=64)  # noqa: B019 - of the few ranges of a run, a bounded number of answers
    def _with(self, feature: str) -> NDArray[np.bool_]:
        def flags(test: Callable[[Part], bool]) -> list[NDArray[np.bool_]]:
            return [column.astype(np.bool_) for column in _columns(self.parts, self.index, test)]

        has = flags(lambda part: feature in part.features)
        return np.asarray(has_feature(feature, has, flags(lambda part: part.rating is not None)))


def which_go_together(range_: Range) -> NDArray[np.bool_]:
    """Which chairs can be built, one axis a kind of CHAIR_KINDS, indexed as ``on_sale`` lists."""
    parts = [range_.on_sale(kind) for kind in CHAIR_KINDS]
    together = np.ones([len(of_kind) for of_kind in parts], dtype=np.bool_)
    for number, other in combinations(range(len(CHAIR_KINDS)), 2):
        pairs = [[range_.go_freely(a, b) for b in parts[other]] for a in parts[number]]
        shape = [1] * len(CHAIR_KINDS)
        shape[number], shape[other] = len(parts[number]), len(parts[other])
        together &= np.array(pairs, dtype=np.bool_).reshape(shape)
    for model in range_.on_sale("model"):
        together[model_place(model, parts)] = True
    return together


def model_place(model: Part, parts: Sequence[Sequence[Part]]) -> tuple[NDArray[np.intp], ...]:
    """Where a fixed model stands among all chairs; empty where a part of it is not on sale."""
    return np.ix_(
        *(
            [at for at, part in enumerate(of_kind) if part.code in model.made_of or part is NO_BASE]
            for of_kind in parts
        )
    )


def codes_of(parts: Mapping[Kind, Part]) -> frozenset[str]:
    """The codes of a chair's parts, and of what is sold beside it."""
    return frozenset(part.code for part in parts.values())


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
    together = which_go_together(range_)
    index = np.argwhere(together)
    if not len(index):
        raise ValueError("no chair of this range can be built")
    seats, lifts, _, _, arms, castors, bases = parts
    seat, lift, _, _, arm, wheels, base = index.T
    heights, height_table = _distinct(
        [
            [[[loaded_seat_height(s, up, c, b) for b in bases] for c in castors] for up in lifts]
            for s in seats
        ]
    )
    at_seat, seat_table = _distinct([(*(s.depth or ANY), _or_more(s.width)) for s in seats])
    at_arms, arms_table = _distinct([[_arms(s, pair) for pair in arms] for s in seats])
    rated = _columns(parts, index, lambda p: math.inf if p.rating is None else p.rating)
    ratings, rating_of = np.unique(np.min(rated, axis=0), return_inverse=True)
    pence = np.sum(_columns(parts, index, lambda p: round(p.price * 100)), axis=0).astype(np.int64)
    lead_days = np.max(_columns(parts, index, lambda p: p.lead_days), axis=0).astype(np.int64)
    # The first of the list last of all: it is the one that an order names.
    for model in reversed(range_.on_sale("model")):
        here = np.zeros(together.shape, np.bool_)
        here[model_place(model, parts)] = True
        rows = here[tuple(index.T)]
        pence[rows], lead_days[rows] = round(model.price * 100), model.lead_days
    return Chairs(
        parts=parts,
        index=index,
        heights=heights,
        seats=at_seat,
        arms=at_arms,
        ratings=ratings,
        height_of=height_table[seat, lift, wheels, base],
        seat_of=seat_table[seat],
        arms_of=arms_table[seat, arm],
        rating_of=rating_of.reshape(-1),
        pence=pence,
        lead_days=lead_days,
    )


def _arms(seat: Part, arms: Part) -> tuple[float, float, float]:
    low, high = arms_above_loaded_seat(seat, arms) or _NOTHING
    return low, high, math.inf if arms.between is None else arms.between[1]


def _or_more(width: float | None) -> float:
    return math.inf if width is None else width


def _columns(
    parts: Sequence[Sequence[Part]], index: Index, number: Callable[[Part], float]
) -> list[Array]:
    """A number of the parts of every chair, a column a kind."""
    return [
        np.array([number(part) for part in of_kind], np.float64)[index[:, at]]
        for at, of_kind in enumerate(parts)
    ]


def _distinct(table: Sequence[object]) -> tuple[Array, Index]:
    """The distinct rows of a table, and the table with each row's place among them."""
    rows = np.array(table, np.float64)
    distinct, at = np.unique(rows.reshape(-1, rows.shape[-1]), axis=0, return_inverse=True)
    return distinct, at.reshape(rows.shape[:-1])
