"""Every chair a range builds held against every drawn body, and the order that puts them in."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from consult.fit.request import FitRequest, draw
from consult.fit.rules import dimensions_for
from consult.fit.scoring import (
    Bits,
    Demands,
    Masks,
    Misses,
    demands,
    masks,
    mean_misses,
    misses,
    without_gathering,
)
from consult.fit.workplace import places
from consult.range.chairs import Chairs, Index, chairs_of
from consult.recall import recall

if TYPE_CHECKING:
    from consult.body.population import Array
    from consult.range.model import Range
    from consult.range.parts import Part


FOOTREST_WORTH = 0.02
"""A footrest is offered where it makes the chair fit this much more often (common practice, no
source): with one, a chair never fits fewer bodies, so chance alone would always add it."""
NOTICEABLE = 0.005
"""A chair that fits this much more often, or less, is no reason to pay or wait more (common
practice, no source)."""
NOTHING_FITS = 0.05
"""Where the best P(fits) stays below this, the mm that chairs miss by decide in its place."""
RANKED = 10
_REMEMBERED = 16
"""Bodies and workplaces kept with a range; when there are so many, all are forgotten."""
_BLOCK = 8192
"""Distinct chairs at a time, to bound memory."""


def footrests_of(range_: Range) -> list[Part]:
    """The footrests on sale, the cheapest first."""
    parts = [part for part in range_.on_sale("footrest") if part.height is not None]
    return sorted(parts, key=lambda part: part.price)


def distinct(chairs: Chairs, rows: Index) -> tuple[Index, Index]:
    """One row for each distinct set of numbers among ``rows``, and the set of each row.

    Neither is to be written to: most callers have the same chairs before them.
    """
    return _distinct(chairs, rows.tobytes())


@lru_cache(maxsize=16)
def _distinct(chairs: Chairs, as_bytes: bytes) -> tuple[Index, Index]:
    rows = np.frombuffer(as_bytes, np.intp)
    sizes = (len(chairs.heights), len(chairs.seats), len(chairs.arms), len(chairs.ratings))
    row = (chairs.height_of, chairs.seat_of, chairs.arms_of, chairs.rating_of)
    keys = np.ravel_multi_index([place_of[rows] for place_of in row], sizes)
    _, first, at = np.unique(keys, return_index=True, return_inverse=True)
    return rows[first], at.reshape(-1)


def bits_of(suits: Masks, chairs: Chairs, rows: Index) -> Bits:
    """Bodies that each chair suits: chair x footrest x words."""
    rest = suits.seats[chairs.seat_of[rows]]
    rest &= suits.arms[chairs.arms_of[rows]]
    rest &= suits.ratings[chairs.rating_of[rows]]
    bits = suits.heights[chairs.height_of[rows]]
    bits &= rest[:, None, :]
    return bits


def counts_of(suits: Masks, chairs: Chairs, rows: Index) -> NDArray[np.int64]:
    """Bodies that each chair suits: chair x footrest."""
    return np.concatenate([_counted(bits_of(suits, chairs, block)) for block in _blocks(rows)])


def suited(request: FitRequest, chairs: Chairs) -> NDArray[np.bool_]:
    """Which chairs have the features needed and go up to the lowest seat the caller may sit on."""
    lowest = request.lowest_seat
    fits = chairs.having(*request.musts)
    if lowest is not None:
        fits &= (chairs.heights[:, 1] >= lowest)[chairs.height_of]
    return fits


def carrying(request: FitRequest, chairs: Chairs) -> NDArray[np.bool_]:
    """Which chairs are rated for what the caller may well weigh."""
    return np.asarray(chairs.ratings[chairs.rating_of] >= request.mass_limit)


@without_gathering
def weigh(request: FitRequest) -> Weighed:
    """Every chair against every body; see ``choose``. Worked out once a request."""
    if "weighed" not in request.kept:
        chairs, (asked, suits) = chairs_of(request.range), met(request)
        rows = np.flatnonzero(suited(request, chairs) & carrying(request, chairs))
        rests = [] if asked.later is not None else footrests_of(request.range)
        request.kept["weighed"] = Weighed(chairs, asked, suits, rests, request, rows)
    weighed: Weighed = request.kept["weighed"]
    return weighed


def met(request: FitRequest, besides: tuple[str, ...] = ()) -> tuple[Demands, Masks]:
    """What bodies drawn demand, and which sets of numbers meet it.

    ``besides`` are dimensions drawn along, of which nothing is demanded. Kept with the range by
    body and workplace: most needs that a caller tells of change neither.
    """
    known: dict[object, tuple[Demands, Masks]] = request.range.kept.setdefault("met", {})
    estimate, place, n, seed = request.estimate, request.workplace.of_chair, request.n, request.seed
    armless, open_places = request.armless, request.open_places

    def worked_out() -> tuple[Demands, Masks]:
        chairs, order = chairs_of(request.range), (*dimensions_for(estimate), *besides)
        asked = demands(
            draw(estimate, order, n, seed).values,
            order,
            place,
            [part.height for part in footrests_of(request.range) if part.height],
            armless=armless,
            drawn=places(place, n, seed) if open_places else None,
            chairs_from=chairs.lowest,
        )
        return asked, masks(asked, chairs)

    key = (estimate, place, open_places, n, seed, armless, besides)
    return recall(known, key, _REMEMBERED, worked_out)


@dataclass(slots=True, eq=False)
class Weighed:
    """All eligible chairs with how often each fits; positions count along ``rows``."""

    chairs: Chairs
    demands: Demands
    masks: Masks
    rests: Sequence[Part]
    request: FitRequest
    rows: Index
    sets: Index = field(init=False)
    """A row of ``chairs`` for each distinct set of numbers among the eligible."""
    set_of: Index = field(init=False)
    rest: Index = field(init=False)
    """Footrest of each set: 0 none, else place in ``rests`` plus one."""
    fits: NDArray[np.int64] = field(init=False)
    """Bodies that each set fits, with its footrest."""
    raised: NDArray[np.bool_] = field(init=False)
    """Of each set: most bodies need its footrest, as it stays too high or the desk is."""
    miss: Array | None = field(init=False, default=None)
    """Where nothing fits: whole mm each set misses by, on average."""
    compromises: NDArray[np.int64] = field(init=False)
    pence: NDArray[np.int64] = field(init=False)

    @property
    def n(self) -> int:
        return len(self.demands.mass)

    @property
    def best(self) -> float:
        """P(fits) of the best chair that may be offered; 0 where none may."""
        return float(self.fits.max()) / self.n if len(self.fits) else 0.0

    @property
    def score(self) -> Array | NDArray[np.int64]:
        """Of each set, what chairs are compared by first."""
        return self.fits if self.miss is None else -self.miss

    def __post_init__(self) -> None:
        """Count the bodies each set fits and settle which footrest it needs."""
        self.sets, self.set_of = distinct(self.chairs, self.rows)
        counts = self.counts(self.sets)
        self.rest = _needed(counts / self.n, FOOTREST_WORTH)
        self.fits = counts[np.arange(len(counts)), self.rest]
        if len(counts) and self.fits.max() < NOTHING_FITS * self.n:
            missed = self.mean_misses()
            self.rest = _needed(-missed, 1.0)
            numbers = np.arange(len(counts))
            self.fits, self.miss = counts[numbers, self.rest], np.round(missed[numbers, self.rest])
        self.raised = (self.rest > 0) & (2 * counts[:, 0] < self.n)
        self.compromises, self.pence = self.with_rests(self.rests_used(), self.raised)

    def counts(self, rows: Index) -> NDArray[np.int64]:
        """Bodies that some rows of ``chairs`` fit, with each footrest: none, then each on sale."""
        return counts_of(self.masks, self.chairs, rows)

    def rests_used(self) -> NDArray[np.bool_]:
        """Set x footrest on sale: it is taken with this set."""
        return np.asarray(self.rest[:, None] == np.arange(1, len(self.rests) + 1))

    def with_rests(
        self, used: NDArray[np.bool_], raised: NDArray[np.bool_]
    ) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """Compromises and pence of each chair, with the footrests used of each set.

        ``raised``: sets whose footrest most bodies need; it counts twice.
        """
        compromises = (used.any(axis=1).astype(np.int64) + raised)[self.set_of]
        for feature in self.request.preferred:
            compromises += ~self.chairs.having(feature)[self.rows]
        prices = np.array([round(part.price * 100) for part in self.rests], np.int64)
        return compromises, self.chairs.pence[self.rows] + (used @ prices)[self.set_of]

    def ranking(self, most: int = RANKED) -> tuple[list[int], list[int]]:
        """Positions of the first, so many at most, and of those the best is tied with."""
        score = self.score
        left = np.ones(len(self.sets), np.bool_)
        ranked: list[int] = []
        tied: list[int] = []
        while len(ranked) < most and left.any():
            top = left & (score == score[left].max())
            leader = int(self.set_of[self._ordered(np.flatnonzero(top[self.set_of]))[0]])
            alike = level_with([self], leader) if self.miss is None else score == score[leader]
            level = left & alike
            left &= ~level
            group = self._ordered(np.flatnonzero(level[self.set_of]))
            if not ranked:
                same = self.compromises[group] == self.compromises[group[0]]
                tied = [int(at) for at in group[same][1:]]
            ranked += [int(at) for at in group[: most - len(ranked)]]
        return ranked, tied

    def alternatives(self, best: int) -> dict[str, int]:
        """Positions of the cheapest, and of the best chairs with another seat, lift or arms."""
        score = self.score[self.set_of]
        best_of = {"cheapest": int(np.lexsort((-score, self.pence))[0])}
        index = self.chairs.index[self.rows]
        equal = NOTICEABLE * self.n if self.miss is None else 0.0
        for axis, kind in ((0, "seat"), (1, "gas_lift"), (4, "arms")):
            others = np.flatnonzero(index[:, axis] != index[best, axis])
            if len(others):
                # Among equals the one most like the best, so that one difference is told of.
                others = others[score[others] >= score[others].max() - equal]
                changed = (index[others] != index[best]).sum(axis=1)
                keys = (self.pence[others], -score[others], changed)
                best_of[kind] = int(others[np.lexsort(keys)[0]])
        return best_of

    def missed(self, rows: Sequence[int] | Index, rests: Sequence[int] | Index) -> Misses:
        """Signed misses of some rows of ``chairs``, each with its footrest, by requirement."""
        at, with_rest = np.asarray(rows, np.intp), np.asarray(rests, np.intp)
        return misses(self.demands, self.chairs, at, with_rest)

    def mean_misses(self) -> Array:
        """mm that each set misses by, on average: set x footrest."""
        return mean_misses(self.demands, self.chairs, self.sets, len(self.rests))

    def with_leader(self, leader: int) -> NDArray[np.int64]:
        """Bodies that each set and a leading one both fit."""
        its = self._taken(np.array([leader]))
        blocks = _blocks(np.arange(len(self.sets)))
        return np.concatenate([_counted(self._taken(sets) & its) for sets in blocks])

    def position_of(self, codes: Collection[str]) -> int | None:
        """The eligible chair of the parts with these codes; None where it may not be offered."""
        row = self.chairs.row_of(codes)
        return next(iter(np.flatnonzero(self.rows == row).tolist()), None)

    def rest_of(self, codes: Collection[str]) -> int:
        """The footrest among these codes: 0 none, else place in ``rests`` plus one."""
        return next((at for at, part in enumerate(self.rests, 1) if part.code in codes), 0)

    def p_fits(self, codes: Collection[str]) -> float:
        """P(fits) of the chair and footrest of these codes; 0 where it may not be offered."""
        at = self.position_of(codes)
        if at is None:
            return 0.0
        return float(self.counts(self.rows[[at]])[0, self.rest_of(codes)]) / self.n

    def bits(self, sets: Index) -> Bits:
        """Set x footrest, none first, x words: 1 where it fits a draw."""
        return bits_of(self.masks, self.chairs, self.sets[sets])

    def _taken(self, sets: Index) -> Bits:
        """The same with the footrest that each takes."""
        return np.asarray(self.bits(sets)[np.arange(len(sets)), self.rest[sets]])

    def _ordered(self, positions: Index) -> Index:
        return self.ordered(positions, self.compromises, self.pence)

    def ordered(
        self, positions: Index, compromises: NDArray[np.int64], pence: NDArray[np.int64]
    ) -> Index:
        """Fewest compromises first, then the cheapest, then the soonest."""
        lead = self.chairs.lead_days[self.rows[positions]]
        return positions[np.lexsort((lead, pence[positions], compromises[positions]))]


def level_with(weighed: Sequence[Weighed], leader: int) -> NDArray[np.bool_]:
    """Sets that cannot be told from the leader, or fit everyone hardly less often.

    Bodies of several people are drawn apart from each other, so how often a set fits all of them
    is the product of how often it fits each.
    """
    n = weighed[0].n
    p = np.stack([person.fits / n for person in weighed])
    both = np.stack([person.with_leader(leader) for person in weighed]) / n
    # A product varies with each of its factors in proportion to the others; bodies that both
    # chairs fit, or both do not, say nothing of which is ahead.
    own, its = others(p), others(p[:, leader])[:, None]
    ahead = its * p[:, leader, None] - own * p
    square = its**2 * p[:, leader, None] + own**2 * p - 2 * its * own * both
    variance = np.maximum(square - ahead**2, 0.0).sum(axis=0)
    by_chance = np.sqrt(variance / max(n - 1, 1))
    joint = p.prod(axis=0)
    # A hair of tolerance: one body out of all is as much as its own standard error, a tie.
    return np.asarray(joint[leader] - joint <= np.maximum(by_chance, NOTICEABLE) + 1e-12)


def others(p: Array) -> Array:
    """For each person, the product over all the others."""
    if len(p) == 1:
        return np.ones_like(p)
    products = [np.delete(p, number, axis=0).prod(axis=0) for number in range(len(p))]
    return np.asarray(np.stack(products), np.float64)


def _counted(bits: Bits) -> NDArray[np.int64]:
    return np.asarray(np.bitwise_count(bits).sum(axis=-1, dtype=np.int64))


def _needed(score: Array, worth: float) -> Index:
    """Column of the footrest to take, cheapest first: only one worth more than a simpler choice."""
    rest = np.zeros(len(score), np.intp)
    best = score[:, 0].copy()
    for at in range(1, score.shape[1]):
        better = score[:, at] >= best + worth
        rest[better], best[better] = at, score[better, at]
    return rest


def _blocks(rows: Index) -> Iterator[Index]:
    """One at least, though it be empty."""
    for start in range(0, max(len(rows), 1), _BLOCK):
        yield rows[start : start + _BLOCK]
