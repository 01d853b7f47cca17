"""The chosen chair with each gas lift and footrest it may have, and what each would bring."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray

from consult.fit import sources
from consult.fit.range_model import CHAIR_KINDS, Kind, Part
from consult.fit.weigh import FOOTREST_WORTH, NOTHING_FITS, Weighed, bits_of
from consult.sentence import Sentence

if TYPE_CHECKING:
    from consult.fit.choose import Candidate

Way = Literal["footrest", "shorter_gas_lift", "lower_desk", "raise_desk"]


@dataclass(frozen=True, slots=True)
class Option:
    """One way out, with what it brings and what it costs."""

    name: Way
    parts: Mapping[Kind, Part]
    """The chair chosen, with the gas lift, footrest or desk raiser of this way out."""
    p_fits: float
    """Share of the bodies the caller may have that it fits, the desk moved where it says so."""
    price_difference: float
    """Over the chair chosen, in the range's currency; below zero: cheaper. Work on the desk is
    not in it, a desk raiser on sale is."""
    cost: Sentence
    """What is given up for it."""
    reason: Sentence
    """What it is good for."""
    source: tuple[str, ...] = sources.COMMON


@dataclass(frozen=True, slots=True, eq=False)
class Lifts:
    """The chosen chair with each gas lift it may have, held against the bodies at one desk."""

    best: Candidate
    weighed: Weighed
    rows: NDArray[np.intp]
    p: NDArray[np.float64]
    """Lift x footrest: none, then each on sale."""

    @property
    def reach(self) -> NDArray[np.float64]:
        """Lowest and highest loaded seat of each."""
        return self.weighed.chairs.heights[self.weighed.chairs.height_of[self.rows]]

    @property
    def cheapest(self) -> int:
        """The maker's ordinary gas lift."""
        return int(np.argmin(self.weighed.chairs.pence[self.rows]))

    def _own(self) -> tuple[int, int] | None:
        lifts = self.weighed.chairs.parts[CHAIR_KINDS.index("gas_lift")]
        of_row = self.weighed.chairs.index[self.rows][:, CHAIR_KINDS.index("gas_lift")]
        codes = [lifts[int(at)].code for at in of_row]
        rest = self.best.parts.get("footrest")
        rests = [None, *(part.code for part in self.weighed.rests)]
        if self.best.parts["gas_lift"].code not in codes:
            return None
        return codes.index(self.best.parts["gas_lift"].code), rests.index(
            rest.code if rest else None
        )

    def option(
        self,
        name: Way,
        at: tuple[int, int],
        cost: Sentence,
        reason: Sentence,
        raiser: Part | None = None,
    ) -> Option:
        """A way out by a gas lift and footrest, with its price."""
        lift, rest = at
        parts = self.weighed.chairs.chair(int(self.rows[lift]))
        if rest:
            parts["footrest"] = self.weighed.rests[rest - 1]
        if raiser is not None:
            parts["desk_raiser"] = raiser
        pence = sum(round(part.price * 100) for part in parts.values())
        more = (pence - round(self.best.price * 100)) / 100
        return Option(name, parts, float(self.p[at]), more, cost, reason)

    def likeliest(self, usable: NDArray[np.bool_]) -> tuple[int, int] | None:
        """Lift and footrest that fit most often, to the percent; the cheaper among equals.

        The chosen one itself where it may be used and little is lost by it.
        """
        usable = usable & (self.p >= NOTHING_FITS)
        if not usable.any():
            return None
        own = self._own()
        if own is not None and usable[own] and self.p[own] >= self.p[usable].max() - FOOTREST_WORTH:
            return own
        rests = [0.0, *(part.price for part in self.weighed.rests)]
        pence = self.weighed.chairs.pence[self.rows][:, None] + np.round(100 * np.array(rests))
        places = np.argwhere(usable)
        keys = (pence[usable], -np.round(self.p[usable], 2))
        lift, rest = places[np.lexsort(keys)[0]]
        return int(lift), int(rest)


def lifts_of(weighed: Weighed, best: Candidate) -> Lifts:
    like = [
        [part.code for part in of_kind].index(best.parts[kind].code)
        for kind, of_kind in zip(CHAIR_KINDS, weighed.chairs.parts, strict=True)
    ]
    others = [axis for axis, kind in enumerate(CHAIR_KINDS) if kind != "gas_lift"]
    same = weighed.chairs.index[weighed.rows][:, others] == np.array(like)[others]
    rows = weighed.rows[same.all(axis=1)]
    counts = np.bitwise_count(bits_of(weighed.masks, weighed.chairs, rows)).sum(axis=2)
    return Lifts(best, weighed, rows, counts / weighed.n)
