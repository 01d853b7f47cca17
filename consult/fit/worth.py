"""What any answer is worth: how much more often the best chair fits once it is heard.

Every answer is a weighting of the draws (``replies_to``). The best chair of each answer is held
against the best chair of all, over the same draws. Where an answer tells of the weight, chairs
come in or go out by their rating. Nobody is sold a footrest before the desk is known, so what tells
of the desk counts with the footrest that may then be sold. The chair is picked on one half of the
draws and judged on the other, and the other way round, so that picking among many chairs earns
nothing by chance.

All are shares of the same thing, P(fits) of the chair and the footrest sold, and may be compared.
Of needs it is what it costs to have chosen before they were heard: a feature that must be there
and is not costs all of a chair's P(fits), one that is preferred as little as a footrest counts.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray

from consult.fit.ranking import (
    FOOTREST_WORTH,
    Weighed,
    bits_of,
    counts_of,
    distinct,
    met,
    suited,
    weigh,
)
from consult.fit.replies import FACTS, OF_DESK, SEX, replies_to
from consult.fit.request import NO_ARMS_WANTED, RATED_FOR, FitRequest, NeedLine
from consult.fit.rules import dimensions_for
from consult.fit.scoring import Bits, height_masks, packed, without_gathering
from consult.range.chairs import chairs_of
from consult.recall import recall

if TYPE_CHECKING:
    from consult.body.population import Array, Population
    from consult.fit.replies import DrawShares, Replies
    from consult.fit.scoring import Masks
    from consult.range.chairs import Chairs, Index

HOME_MEASURES = (
    "stature",
    "popliteal_height",
    "buttock_popliteal_length",
    "elbow_rest_height",
    "thigh_clearance",
    "hip_breadth_sitting",
    "weight",
)
"""What a caller can measure at home with a tape, a book and a scale."""
THRESHOLD = 0.02
"""Where no answer would add as much, enough is known."""
Changed = Literal["gas_lift", "seat", "arms", "rating", "footrest"]
"""Of a chair: how high, how deep and wide, its arms, what it carries, the footrest beside it."""
_MOST = 512
"""Chairs with distinct numbers that are compared, or unpacked at a time."""
_FEW = 24
"""Chairs that are sooner counted than looked through for those that another beats."""
_NOBODY = 1e-6
"""Draws; an answer that fewer give is given by none."""
_REMEMBERED = 64
"""Requests whose gains are kept with a range; when there are so many, all are forgotten."""
_CLEARLY = 0.04
"""P(fits) that keeping a part costs; the draws of a sixth scatter by less."""
_COARSE = 6
"""Readings of a length by which that is judged: each has draws enough."""


@dataclass(frozen=True, slots=True)
class Gain:
    """What hearing an answer is expected to add to the best P(fits)."""

    dimension: str
    """A body dimension, SEX or one of FACTS."""
    gain: float
    se: float
    """Standard error from drawing bodies."""


def worth(
    request: FitRequest, population: Population, asked: Iterable[str] | None = None
) -> dict[str, Gain]:
    """Question -> the rise in P(fits) expected of hearing its answer, the greatest first.

    ``asked`` are body dimensions, SEX and names of FACTS; None: all that are still open and can be
    told at home. What is known already gains nothing and is left out, and so is all where no chair
    has what is needed. ``population`` says how well callers measure. Same request, same gains.

    Raises:
        ValueError: a name that is none of these; or the range builds no chair at all.
    """
    names = list(open_questions(request) if asked is None else dict.fromkeys(asked))
    for name in names:
        if name not in (*FACTS, SEX, *request.estimate.dimensions):
            raise ValueError(f"No answer is worked out for '{name}'.")
    known: dict[object, dict[str, Gain | None]] = request.range.kept.setdefault("worth", {})
    gains = recall(known, (population, *_decides(request)), _REMEMBERED, dict)
    missing = [name for name in names if name not in gains]
    gains.update({**dict.fromkeys(missing), **_gains(request, population, missing)})
    gained = {name: gain for name in names if (gain := gains[name]) is not None}
    return dict(sorted(gained.items(), key=lambda item: -item[1].gain))


def _decides(request: FitRequest) -> tuple[object, ...]:
    """All that gains hang on besides the range: most needs a caller tells of change none."""
    body = (request.estimate, request.mass, request.lowest, request.n, request.seed)
    there = (request.workplace.of_chair, request.open_places)
    return (*body, *there, frozenset(request.musts), request.armless)


def open_questions(request: FitRequest) -> tuple[str, ...]:
    """The measures not taken and the facts not told that can bear on the chair."""
    return (*open_measures(request), *open_facts(request))


def open_measures(request: FitRequest) -> tuple[str, ...]:
    """The measures not taken, of those that can be taken at home."""
    return tuple(name for name in HOME_MEASURES if name not in _taken(request))


def _taken(request: FitRequest) -> set[str]:
    return {measure.dimension for measure in (*request.estimate.used, *request.estimate.set_aside)}


def open_facts(request: FitRequest) -> tuple[str, ...]:
    """The facts of the workplace not told, where they are not taken as they are."""
    desk, heel = request.workplace.desk, request.workplace.heel
    if not request.open_places:
        return ()
    known = {
        "desk_kind": desk.kind is not None,
        "desk_height": desk.height is not None or desk.kind not in (None, "fixed"),
        "desk_lowest": desk.lowest is not None or desk.kind not in (None, "adjustable"),
        "desk_thickness": desk.thickness is not None or desk.kind == "none",
        "heel": heel is not None,
    }
    return tuple(name for name in FACTS if not known[name])


def settled(gains: Iterable[Gain]) -> bool:
    """Whether none of these would add as much as the threshold: enough is known."""
    return all(gain.gain < THRESHOLD for gain in gains)


@without_gathering
def _gains(request: FitRequest, population: Population, names: Iterable[str]) -> dict[str, Gain]:
    """Of what is not known; nothing where no chair has what is needed."""
    known = {*_taken(request), *FACTS}.difference(open_facts(request))
    if len(request.estimate.components) == 1:
        known.add(SEX)
    left = [name for name in names if name not in known]
    if not left or not suited(request, chairs_of(request.range)).any():
        return {}
    usual, gains = (*FACTS, SEX, *dimensions_for(request.estimate)), dict[str, Gain]()
    # A dimension of which nothing is demanded is drawn with those that count.
    groups: list[tuple[tuple[str, ...], list[str]]] = [
        ((), [name for name in left if name in usual])
    ]
    groups += [((name,), [name]) for name in left if name not in usual]
    for besides, names in groups:
        if names:
            replies = replies_to(request, names, population, besides)
            gains |= _gains_in(_contest(request, besides), names, replies)
    return gains


@dataclass(frozen=True, slots=True, eq=False)
class _Contest:
    """The chairs that may be the best once more is heard, each with any footrest, on the draws."""

    request: FitRequest
    mass: Array
    """kg, of each draw."""
    rated: Array
    """kg, of each chair; those that fit most often first."""
    fits: tuple[DrawShares, DrawShares]
    """Every second draw, and the others: a product of what lies apart takes ten times as long."""
    sold: tuple[DrawShares, DrawShares]
    """Before any footrest is added for the desk."""


def _contest(request: FitRequest, besides: tuple[str, ...]) -> _Contest:
    chairs, n, (asked, masks) = chairs_of(request.range), request.n, met(request, besides)
    # A lighter reading may allow what the mass forbids now, so any rating may come in.
    rows, _ = distinct(chairs, np.flatnonzero(suited(request, chairs)))
    rows = _contenders(masks, chairs, rows)
    bits = bits_of(masks, chairs, rows)
    rated = chairs.ratings[chairs.rating_of[rows]].repeat(bits.shape[1])
    fits = sold = bits.reshape(-1, bits.shape[-1])
    if asked.later is not None:
        bare = replace(masks, heights=height_masks(replace(asked, later=None), chairs))
        sold = bits_of(bare, chairs, rows)[:, 0]
    order = np.argsort(-np.bitwise_count(fits).sum(axis=1, dtype=np.int64), kind="stable")
    # One that carries less beats no other.
    both = np.concatenate([fits, packed(rated[:, None] >= chairs.ratings)], axis=1)
    kept = order[unbeaten(both[order])]
    halves = (_halves(_flags(odds[kept], n)) for odds in (fits, sold))
    return _Contest(request, asked.mass, rated[kept], *halves)


def _halves(of: DrawShares) -> tuple[DrawShares, DrawShares]:
    return np.ascontiguousarray(of[:, ::2]), np.ascontiguousarray(of[:, 1::2])


def _contenders(masks: Masks, chairs: Chairs, rows: Index) -> Index:
    """Of very many those that fit most often, and the best of each height, seat, arms, rating."""
    if len(rows) <= _MOST:
        return rows
    ranked = rows[np.argsort(-counts_of(masks, chairs, rows).max(axis=1), kind="stable")]
    kinds = (chairs.height_of, chairs.seat_of, chairs.arms_of, chairs.rating_of)
    leaders = [ranked[np.unique(kind[ranked], return_index=True)[1]] for kind in kinds]
    first = dict.fromkeys(np.concatenate([*leaders, ranked]).tolist())
    return np.array(list(first)[:_MOST], np.intp)


def _gains_in(
    contest: _Contest, names: Sequence[str], replies: Sequence[Replies]
) -> dict[str, Gain]:
    """What is gained by hearing each answer, with the rating that it then takes; the answers to
    all questions are rows of one array, which is twice as fast as one by one."""
    request, rated = contest.request, contest.rated
    odds = np.concatenate([reply.odds for reply in replies])
    many = [len(reply.odds) for reply in replies]
    of, rows = np.arange(len(names)).repeat(many), np.arange(len(odds))
    of_each = np.asarray(np.arange(len(names))[:, None] == of, np.float32)
    masses = np.concatenate([reply.mass + np.zeros(len(reply.odds)) for reply in replies])
    told_of_body = np.maximum(_heaviest(contest.mass, odds), np.maximum(request.told_mass, masses))
    of_body = np.array([name not in FACTS for name in names])[of]
    limit = np.where(of_body, told_of_body, request.mass_limit)
    may = np.asarray(rated >= limit[:, None], np.float32)
    offered = np.asarray(rated >= request.mass_limit, np.float32)
    # Once it is known how low the desk stands, the chair chosen now went out without a footrest.
    bare = np.array([name in OF_DESK for name in names])[of]
    bare &= np.diff(of, prepend=-1) == 0
    halves, gained_in = _halves(odds), []
    for here, other in ((0, 1), (1, 0)):
        # Machines add up in orders of their own: what is equal must come out equal.
        p = np.round(_counted(contest.fits[other], halves[other]), 2) * may
        best = p.argmax(axis=1)
        now = (np.round(of_each @ p, 2) * offered).argmax(axis=1)[of]
        then = contest.fits[here][best] * may[rows, best][:, None]
        stays = contest.fits[here][now]
        stays[bare] = contest.sold[here][now[bare]]
        then -= stays * (may[rows, now] * offered[now])[:, None]
        then *= halves[here]
        gained_in.append(of_each @ then)
    gained = np.concatenate(gained_in, axis=1)
    means, ses = gained.mean(axis=1), gained.std(axis=1) / math.sqrt(request.n)
    return {
        name: Gain(name, max(0.0, float(mean)), float(se))
        for name, mean, se in zip(names, means, ses, strict=True)
    }


def _counted(fits: DrawShares, odds: DrawShares) -> DrawShares:
    """Answer x chair: how many of the draws with that answer it fits."""
    return np.asarray(odds @ fits.T)


def _heaviest(mass: Array, odds: DrawShares) -> Array:
    """kg that those who give each answer may well weigh."""
    off = (mass - mass.mean()).astype(np.float32)
    many, sums, squares = (odds @ np.stack([np.ones_like(off), off, off**2], axis=1)).T
    mean, square = sums / np.maximum(many, _NOBODY), squares / np.maximum(many, _NOBODY)
    spread = np.sqrt(np.maximum(square - mean**2, 0.0))
    return np.asarray(mass.mean() + mean + RATED_FOR * spread)


def _flags(bits: Bits, n: int) -> DrawShares:
    flags = np.unpackbits(np.ascontiguousarray(bits).view(np.uint8), axis=1)
    return np.asarray(flags[:, :n], np.float32)


def unbeaten(fits: Bits) -> Index:
    """The chairs that fit a draw which no chair kept before them fits, and some few others.

    Whatever the answer, the first of those that fit most often is one of these: about one in ten.
    """
    left, kept = np.arange(len(fits)), []
    while len(left) > _FEW:
        kept.append(left[0])
        more = np.bitwise_or.reduce(fits & ~fits[0], axis=1) != 0
        left, fits = left[more], fits[more]
    return np.array([*kept, *left], np.intp)


def could_change(request: FitRequest, name: str) -> tuple[Changed, ...]:
    """What a body dimension or a fact of the workplace could change, the most costly first.

    Nothing of a dimension that no demand is made of.
    """
    weighed = weigh(request)
    if not len(weighed.rows) or name not in (*dimensions_for(request.estimate), *FACTS):
        return ()
    odds = replies_to(request, [name], many=_COARSE)[0].odds
    odds = odds[odds.sum(axis=1) > _NOBODY]
    shares = _shares(weighed.bits(np.arange(len(weighed.sets))), odds)
    # Of an answer that few give, a part must cost more before it can be told from chance.
    lost = _lost(weighed, shares, np.minimum(np.sqrt(odds.mean(axis=1) * _COARSE), 1.0))
    if name in OF_DESK and weighed.demands.later is not None:
        at = weighed.set_of[weighed.ranking(1)[0]]
        sold = height_masks(replace(weighed.demands, later=None), weighed.chairs)[:, :1]
        bare = bits_of(replace(weighed.masks, heights=sold), weighed.chairs, weighed.sets[at])
        lost["footrest"] = float((_shares(weighed.bits(at), odds) - _shares(bare, odds)).max())
    if name == "weight" and weighed.chairs.ratings[0] < request.mass_limit:
        # A lighter reading allows what the mass forbids now.
        lost["rating"] = 1.0
    parts = [part for part, cost in lost.items() if cost >= _CLEARLY]
    return tuple(sorted(parts, key=lambda part: -lost[part]))


def _shares(bits: Bits, odds: DrawShares) -> Array:
    """Set x footrest x answer: how often it fits those who give that answer."""
    rows, n = bits.reshape(-1, bits.shape[-1]), odds.shape[1]
    blocks = (rows[start : start + _MOST] for start in range(0, len(rows), _MOST))
    share = np.concatenate([_counted(_flags(block, n), odds).T for block in blocks])
    share /= odds.sum(axis=1)
    return np.asarray(share.reshape(*bits.shape[:2], -1), np.float64)


def _lost(weighed: Weighed, gained: Array, sure: Array) -> dict[Changed, float]:
    """Part -> what keeping it costs at the answer where it costs most."""
    chairs, rows = weighed.chairs, weighed.sets
    now = int(weighed.set_of[weighed.ranking(1)[0][0]])
    numbers: dict[Changed, NDArray[np.intp]] = {
        "gas_lift": chairs.height_of[rows],
        "seat": chairs.seat_of[rows],
        "arms": chairs.arms_of[rows],
        "rating": chairs.rating_of[rows],
    }
    chair = gained.max(axis=1)
    lost: dict[Changed, float] = {
        name: float(((chair.max(axis=0) - chair[number == number[now]].max(axis=0)) * sure).max())
        for name, number in numbers.items()
    }
    by_rest = chair[now] - gained[now, 0]
    if weighed.rest[now]:
        # A footrest in the box takes nothing from the fit, but nobody would be sold it.
        lost["footrest"] = _CLEARLY if by_rest.min() < FOOTREST_WORTH else 0.0
    else:
        lost["footrest"] = float(by_rest.max())
    return lost


@dataclass(slots=True, eq=False)
class NeedsPrice:
    """The chair chosen now, held against what would be chosen for other needs."""

    request: FitRequest
    """With the needs known now."""
    _weighed: dict[bool, tuple[Index, Array]] = field(default_factory=dict)
    """Armless or not -> rows of all chairs that may be offered, and their P(fits)."""
    _rises: dict[frozenset[tuple[str, str]], float] = field(default_factory=dict)
    """Needs -> rise: many answers call for the same."""
    _best: int = field(init=False)
    _slack: float = field(init=False)

    def __post_init__(self) -> None:
        weighed = weigh(self.request)
        self._best = int(weighed.rows[weighed.ranking(1)[0][0]]) if len(weighed.rows) else -1
        # Of chairs that cannot be told apart the likeliest is not always the one chosen.
        self._slack = self._lost(self.request.needs)

    def rise(self, needs: Sequence[NeedLine]) -> float:
        """How much better the best chair for these needs is than the one chosen now, 0 to 1."""
        key = frozenset((feature, strength) for feature, strength, _ in needs)
        if key not in self._rises:
            self._rises[key] = max(0.0, self._lost(needs) - self._slack)
        return self._rises[key]

    def _lost(self, needs: Sequence[NeedLine]) -> float:
        heard = replace(self.request, needs=needs, kept={})
        rows, fits = self._fits(heard)
        if not len(rows):
            return 0.0
        having, value = weigh(self.request).chairs.having, fits.copy()
        for feature in heard.preferred:
            value -= FOOTREST_WORTH * ~having(feature)[rows]
        value = np.maximum(value, 0.0) * having(*heard.musts)[rows]
        at = int(np.searchsorted(rows, self._best))
        chosen = at < len(rows) and rows[at] == self._best
        return float(value.max() - (value[at] if chosen else 0.0))

    def _fits(self, heard: FitRequest) -> tuple[Index, Array]:
        if heard.armless not in self._weighed:
            # Only the wish for no armrests changes which bodies a chair fits.
            wished: list[NeedLine] = [(NO_ARMS_WANTED, "prefer", "")] if heard.armless else []
            alike = heard.armless == self.request.armless and not self.request.musts
            weighed = weigh(self.request if alike else replace(heard, needs=wished, kept={}))
            fits = weighed.fits[weighed.set_of] / weighed.n
            self._weighed[heard.armless] = weighed.rows, fits
        return self._weighed[heard.armless]
