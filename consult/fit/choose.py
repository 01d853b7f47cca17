"""The configuration most likely to fit, out of everything the range can build.

P(fits) is the share of drawn bodies whose every demand a configuration meets. Chairs are compared
by P(fits) first - two that differ by less than the standard error of their difference are tied -
then by fewest compromises, then price, lead time and place in the range file. Compromises are
preferred features missing, and a footrest, for a lower chair comes before one.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from consult.fit.bodies import BODIES, SEED, draw
from consult.fit.chairs import Chairs, Index, chairs_of
from consult.fit.demands import Demands, demands, dimensions_for
from consult.fit.pick import chair_has
from consult.fit.verdicts import (
    Bits,
    Masks,
    arms_misses,
    height_misses,
    masks,
    misses,
    seat_misses,
)
from consult.sentence import Sentence

if TYPE_CHECKING:
    from consult.body.estimate import Estimate
    from consult.fit.pick import NeedLine
    from consult.fit.range_model import Kind, Part, Range
    from consult.fit.workplace import Workplace

FOOTREST_WORTH = 0.05
"""A footrest is offered where it makes the chair fit this much more often (common practice)."""
NOTHING_FITS = 0.05
"""Where the best P(fits) stays below this, the mm that chairs miss by decide in its place."""
RANKED = 10
_BLOCK = 8192
"""Distinct chairs at a time, to bound memory."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """One configuration that can be ordered."""

    parts: Mapping[Kind, Part]
    """The chair, and the footrest if it needs one."""
    p_fits: float
    """Share of the bodies the caller may have for whom everything fits."""
    se: float
    """Standard error of ``p_fits`` from drawing bodies."""
    per_requirement: Mapping[str, tuple[float, float]]
    """Requirement -> share of bodies that have it met, and its standard error."""
    compromises: tuple[str, ...]
    """Preferred features missing, and 'footrest' where one is needed."""
    price: float
    """In the range's currency."""
    lead_days: int


@dataclass(frozen=True, slots=True)
class Choice:
    """What to order, how sure that is, and what else came close."""

    best: Candidate | None
    """None where no chair may be offered; ``none_because`` says why."""
    tied: tuple[Candidate, ...]
    """The first of the others that fit as likely, with as few compromises; only price, lead time
    or place in the range file put them behind the best."""
    tied_count: int
    """All of those."""
    ranked: tuple[Candidate, ...]
    """The first ten, the best included."""
    alternatives: Mapping[str, Candidate]
    """'cheapest' of the eligible, and the best with another 'seat', 'gas_lift' or 'arms'."""
    eligible: int
    """Chairs that can be built, have the features needed and are rated for the caller."""
    left_out: Mapping[str, str]
    """Requirement that could not be tested -> why."""
    n: int
    seed: int
    none_because: Sentence | None = None


def choose(
    range_: Range,
    estimate: Estimate,
    workplace: Workplace,
    needs: Sequence[NeedLine],
    *,
    mass_heard: float | None = None,
    n: int = BODIES,
    seed: int = SEED,
) -> Choice:
    """The chair most likely to fit the caller, of all the range builds; same inputs, same choice.

    ``mass_heard`` is the mass said, kg, however odd: no chair rated below it, or below the upper
    end of the estimate, is ever offered.

    Raises:
        ValueError: the range builds no chair at all; a range that was loaded builds some.
    """
    weighed = weigh(range_, estimate, workplace, needs, mass_heard=mass_heard, n=n, seed=seed)
    left_out = weighed.demands.left_out
    if not len(weighed.rows):
        return Choice(None, (), 0, (), {}, 0, left_out, n, seed, weighed.none_because())
    ranked, tied = weighed.ranking()
    best = ranked[0]
    others = weighed.alternatives(best)
    wanted = list(dict.fromkeys([*ranked, *tied[:RANKED], *others.values()]))
    told = dict(zip(wanted, weighed.candidates(wanted), strict=True))
    return Choice(
        best=told[best],
        tied=tuple(told[at] for at in tied[:RANKED]),
        tied_count=len(tied),
        ranked=tuple(told[at] for at in ranked),
        alternatives={name: told[at] for name, at in others.items()},
        eligible=len(weighed.rows),
        left_out=left_out,
        n=n,
        seed=seed,
    )


def footrests_of(range_: Range) -> list[Part]:
    """The footrests on sale, the cheapest first."""
    found = [part for part in range_.on_sale("footrest") if part.height is not None]
    return sorted(found, key=lambda part: part.price)


def mass_limit(estimate: Estimate, heard: float | None) -> float:
    """kg a chair must be rated for before it may be offered at all."""
    return max(estimate.dimensions["weight"].high, heard or 0.0)


def musts(needs: Sequence[NeedLine]) -> list[str]:
    """The features a chair may not lack, each once."""
    return list(dict.fromkeys(name for name, strength, _ in needs if strength == "must"))


def having(chairs: Chairs, features: Sequence[str]) -> NDArray[np.bool_]:
    """Which chairs have all of these features."""
    has = np.ones(len(chairs.index), np.bool_)
    for feature in features:
        has &= chairs.having(feature)
    return has


def distinct(chairs: Chairs, rows: Index) -> tuple[Index, Index]:
    """One row for each distinct set of numbers among ``rows``, and the set of each row."""
    sizes = (len(chairs.heights), len(chairs.seats), len(chairs.arms), len(chairs.ratings))
    each = (chairs.height_of, chairs.seat_of, chairs.arms_of, chairs.rating_of)
    keys = np.ravel_multi_index([one[rows] for one in each], sizes)
    _, first, at = np.unique(keys, return_index=True, return_inverse=True)
    return rows[first], at.reshape(-1)


def bits_of(found: Masks, chairs: Chairs, rows: Index) -> Bits:
    """Bodies that each chair suits: chair x footrest x words."""
    rest = found.seats[chairs.seat_of[rows]]
    rest &= found.arms[chairs.arms_of[rows]]
    rest &= found.ratings[chairs.rating_of[rows]]
    bits = found.heights[chairs.height_of[rows]]
    bits &= rest[:, None, :]
    return bits


def weigh(
    range_: Range,
    estimate: Estimate,
    workplace: Workplace,
    needs: Sequence[NeedLine],
    *,
    mass_heard: float | None = None,
    n: int = BODIES,
    seed: int = SEED,
) -> Weighed:
    """Every chair against every body; see ``choose``."""
    rests = footrests_of(range_)
    order = dimensions_for(estimate)
    bodies = draw(estimate, order, n, seed)
    asked = demands(bodies.values, order, workplace, [part.height for part in rests if part.height])
    chairs = chairs_of(range_)
    limit = mass_limit(estimate, mass_heard)
    able = having(chairs, musts(needs)) & (chairs.ratings[chairs.rating_of] >= limit)
    weighed = Weighed(
        chairs, asked, masks(asked, chairs), rests, needs, limit, np.flatnonzero(able)
    )
    weighed.weigh()
    return weighed


@dataclass(slots=True, eq=False)
class Weighed:
    """All eligible chairs with how often each fits; positions count along ``rows``."""

    chairs: Chairs
    demands: Demands
    masks: Masks
    rests: Sequence[Part]
    needs: Sequence[NeedLine]
    limit: float
    rows: Index
    sets: Index = field(init=False)
    """A row of ``chairs`` for each distinct set of numbers among the eligible."""
    set_of: Index = field(init=False)
    rest: Index = field(init=False)
    """Footrest of each set: 0 none, else place in ``rests`` plus one."""
    count: NDArray[np.int64] = field(init=False)
    """Bodies that each set fits, with its footrest."""
    miss: NDArray[np.float64] | None = field(init=False, default=None)
    """Where nothing fits: whole mm each set misses by, on average."""
    compromises: NDArray[np.int64] = field(init=False)
    pence: NDArray[np.int64] = field(init=False)

    @property
    def n(self) -> int:
        return len(self.demands.mass)

    def weigh(self) -> None:
        """Count the bodies each set fits and settle which footrest it needs."""
        self.sets, self.set_of = distinct(self.chairs, self.rows)
        counts = np.concatenate(
            [np.zeros((0, len(self.rests) + 1), np.int64)]
            + [
                np.bitwise_count(bits_of(self.masks, self.chairs, rows)).sum(axis=2, dtype=np.int64)
                for rows in _blocks(self.sets)
            ]
        )
        self.rest = _needed(counts / self.n, FOOTREST_WORTH)
        self.count = counts[np.arange(len(counts)), self.rest]
        if len(counts) and self.count.max() < NOTHING_FITS * self.n:
            missed = self._mean_misses()
            self.rest = _needed(-missed, 1.0)
            each = np.arange(len(counts))
            self.count, self.miss = counts[each, self.rest], np.round(missed[each, self.rest])
        rest = self.rest[self.set_of]
        must = musts(self.needs)
        self.compromises = (rest > 0).astype(np.int64)
        for feature in dict.fromkeys(name for name, *_ in self.needs if name not in must):
            self.compromises += ~self.chairs.having(feature)[self.rows]
        prices = np.array([0, *(round(part.price * 100) for part in self.rests)], np.int64)
        self.pence = self.chairs.pence[self.rows] + prices[rest]

    def ranking(self) -> tuple[list[int], list[int]]:
        """Positions of the first ten, and of those the best is tied with."""
        score = self.count if self.miss is None else -self.miss
        left = np.ones(len(self.sets), np.bool_)
        ranked: list[int] = []
        tied: list[int] = []
        while len(ranked) < RANKED and left.any():
            leader = int(np.argmax(np.where(left, score, -np.inf)))
            level = left & self._level_with(leader)
            left &= ~level
            group = self._ordered(np.flatnonzero(level[self.set_of]))
            if not ranked:
                same = self.compromises[group] == self.compromises[group[0]]
                tied = [int(at) for at in group[same][1:]]
            ranked += [int(at) for at in group[: RANKED - len(ranked)]]
        return ranked, tied

    def alternatives(self, best: int) -> dict[str, int]:
        """Positions of the cheapest, and of the best chairs with another seat, lift or arms."""
        score = (self.count if self.miss is None else -self.miss)[self.set_of]
        found = {"cheapest": int(np.lexsort((-score, self.pence))[0])}
        index = self.chairs.index[self.rows]
        for axis, kind in ((0, "seat"), (1, "gas_lift"), (4, "arms")):
            others = np.flatnonzero(index[:, axis] != index[best, axis])
            if len(others):
                others = others[score[others] == score[others].max()]
                found[kind] = int(self._ordered(others)[0])
        return found

    def candidates(self, positions: Sequence[int]) -> list[Candidate]:
        """The chairs at these positions, told in full."""
        at = np.array(positions, np.intp)
        rests = self.rest[self.set_of[at]]
        missed = misses(self.demands, self.chairs, self.rows[at], rests)
        met = {name: (amount == 0).mean(axis=1) for name, amount in missed.items()}
        return [
            self._candidate(int(one), int(rest), {k: float(p[i]) for k, p in met.items()})
            for i, (one, rest) in enumerate(zip(at, rests, strict=True))
        ]

    def none_because(self) -> Sentence:
        """Why no chair may be offered."""
        lacking = [one for one in musts(self.needs) if not self.chairs.having(one).any()]
        if not having(self.chairs, musts(self.needs)).any():
            what = (lacking or musts(self.needs))[0].replace("_", " ")
            also = "" if lacking else " together with everything else that is needed"
            return Sentence(f"No chair of this range has the feature '{what}'{also}.")
        return Sentence(
            "No chair of this range that has what is needed is rated to carry this weight; "
            "none of them may be offered."
        )

    def _candidate(self, at: int, rest: int, met: Mapping[str, float]) -> Candidate:
        parts = self.chairs.chair(int(self.rows[at]))
        must = musts(self.needs)
        short = [
            name
            for name in dict.fromkeys(name for name, *_ in self.needs)
            if name not in must and not chair_has(parts.values(), name)
        ]
        if rest:
            parts["footrest"] = self.rests[rest - 1]
            short.append("footrest")
        p = int(self.count[self.set_of[at]]) / self.n
        return Candidate(
            parts=parts,
            p_fits=p,
            se=_se(p, self.n),
            per_requirement={name: (share, _se(share, self.n)) for name, share in met.items()},
            compromises=tuple(short),
            price=int(self.pence[at]) / 100,
            lead_days=max(part.lead_days for part in parts.values()),
        )

    def _level_with(self, leader: int) -> NDArray[np.bool_]:
        """Sets that cannot be told from the leader."""
        if self.miss is not None:
            return np.asarray(self.miss == self.miss[leader])
        ahead = (self.count[leader] - self.count) / self.n
        own = self._bits(np.array([leader]))
        apart = np.concatenate(
            [
                np.bitwise_count(self._bits(block) ^ own).sum(axis=1, dtype=np.int64)
                for block in _blocks(np.arange(len(self.sets)))
            ]
        )
        # Bodies fitted by one of the two only make the variance of a paired difference.
        variance = np.maximum(apart / self.n - ahead**2, 0.0)
        return np.asarray(ahead <= np.sqrt(variance / self.n))

    def _bits(self, sets: Index) -> Bits:
        bits = bits_of(self.masks, self.chairs, self.sets[sets])
        return np.asarray(bits[np.arange(len(sets)), self.rest[sets]])

    def _ordered(self, positions: Index) -> Index:
        lead = self.chairs.lead_days[self.rows[positions]]
        keys = (lead, self.pence[positions], self.compromises[positions])
        return positions[np.lexsort(keys)]

    def _mean_misses(self) -> NDArray[np.float64]:
        """mm that each set misses by, all requirements added up and averaged: set x footrest."""
        chairs, asked = self.chairs, self.demands
        at_seat = _mean(seat_misses(asked, chairs.seats))[chairs.seat_of[self.sets]]
        at_arms = _mean(arms_misses(asked, chairs.arms))[chairs.arms_of[self.sets]]
        columns = []
        for rest in range(len(self.rests) + 1):
            rests = np.full(len(chairs.heights), rest)
            height = _mean(height_misses(asked, chairs.heights, rests))
            columns.append(height[chairs.height_of[self.sets]] + at_seat + at_arms)
        return np.stack(columns, axis=1)


def _needed(score: NDArray[np.float64], worth: float) -> Index:
    """Column of the footrest to take, cheapest first: only one worth more than a simpler choice."""
    rest = np.zeros(len(score), np.intp)
    best = score[:, 0].copy()
    for at in range(1, score.shape[1]):
        better = score[:, at] >= best + worth
        rest[better], best[better] = at, score[better, at]
    return rest


def _mean(missed: Mapping[str, NDArray[np.float64]]) -> NDArray[np.float64]:
    return np.asarray(sum(np.abs(amount).mean(axis=1) for amount in missed.values()))


def _se(share: float, n: int) -> float:
    return float(np.sqrt(share * (1 - share) / n))


def _blocks(rows: Index) -> Iterator[Index]:
    for start in range(0, len(rows), _BLOCK):
        yield rows[start : start + _BLOCK]
