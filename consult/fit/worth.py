"""What any answer is worth: how much more often the best chair fits once it is heard.

For a body measure as ``ask_next`` works it out, by quadrature over its readings. For a fact of
the workplace the workplaces drawn are sorted into the answers that may be given (a length into
equally likely sixths), and the best chair of each answer is held against the best chair of all.
The kind of desk counts with the height that is asked next, for alone it decides nothing. Nobody is
sold a footrest before the desk is known, so what tells of the desk counts with the footrest that
may then be sold. The chair is picked on one half of the draws and judged on the other, and the
other way round, so that picking among many chairs earns nothing by chance.

All are shares of the same thing, P(fits) of the chair and the footrest sold, and may be compared.
Of needs it is what it costs to have chosen before they were heard: a feature that must be there
and is not costs all of a chair's P(fits), one that is preferred as little as a footrest counts.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray

from consult.fit.ask_next import HOME_MEASURES, MOST, AskNext, Gain, ask_next
from consult.fit.ranking import FOOTREST_WORTH, Weighed, bits_of, weigh
from consult.fit.request import (
    NO_ARMS_WANTED,
    FitRequest,
    NeedLine,
    components_of,
    draw,
    normals,
)
from consult.fit.rules import dimensions_for
from consult.fit.scoring import Bits, masks, packed, without_gathering
from consult.fit.workplace import TAPE, Places, places
from consult.recall import recall

if TYPE_CHECKING:
    from consult.body.population import Array, Population
    from consult.range.chairs import Index


FACTS = ("desk_kind", "desk_height", "desk_lowest", "desk_thickness", "heel")
"""Facts of the workplace that P(fits) hangs on."""
SEX = "sex"
"""Whose averages are used; asked of a body, and drawn with it."""
OF_DESK = ("desk_kind", "desk_height", "desk_lowest")
"""With these it is known how low the desk stands, and whether a footrest can be sold."""
_PARTS = 6
"""Answers that a length is sorted into."""
_SEED = 99_000
"""Of the errors in what would be heard, apart from those of bodies and workplaces."""
Changed = Literal["gas_lift", "seat", "arms", "rating", "footrest"]
"""Of a chair: how high, how deep and wide, its arms, what it carries, the footrest beside it."""
_FEW = 24
"""Chairs that are sooner counted than looked through for those that another beats."""
_REMEMBERED = 64
"""Requests whose gains are kept with a range; when there are so many, all are forgotten."""
_CLEARLY = 0.04
"""P(fits) that keeping a part costs; the draws of one answer scatter by less."""


def worth(
    request: FitRequest, population: Population, asked: Iterable[str] | None = None
) -> dict[str, Gain]:
    """Question -> the rise in P(fits) expected of hearing its answer, the greatest first.

    ``asked`` are body dimensions and names of FACTS; None: all that are still open and can be
    told at home. What is known already gains nothing and is left out. Same request, same gains.

    Raises:
        ValueError: a name that is neither; or the range builds no chair at all.
    """
    names = list(open_questions(request) if asked is None else dict.fromkeys(asked))
    measures = [name for name in names if name not in (*FACTS, SEX)]
    unknown = [name for name in measures if name not in request.estimate.dimensions]
    if unknown:
        raise ValueError(f"No answer is worked out for '{unknown[0]}'.")
    known: dict[object, dict[str, Gain | None]] = request.range.kept.setdefault("worth", {})
    # Bodies are drawn for all measures together, so those that nobody takes at home count as well.
    besides = tuple(name for name in measures if name not in HOME_MEASURES)
    found = recall(known, (population, besides, *_decides(request)), _REMEMBERED, dict)
    missing = [name for name in names if name not in found]
    facts = [name for name in missing if name not in measures]
    added: dict[str, Gain | None] = {**dict.fromkeys(missing), **fact_gains(request, facts)}
    if len(facts) < len(missing):
        added |= {one.dimension: one for one in ask_next(request, population, also=measures).gains}
    found.update(added)
    told = {name: one for name in names if (one := found[name]) is not None}
    return dict(sorted(told.items(), key=lambda item: -item[1].gain))


def _decides(request: FitRequest) -> tuple[object, ...]:
    """All that gains hang on besides the range: most needs a caller tells of change none."""
    body = (request.estimate, request.mass, request.lowest, request.n, request.seed)
    there = (request.workplace.of_chair, request.open_places)
    return (*body, *there, frozenset(request.musts), request.armless)


def open_questions(request: FitRequest) -> tuple[str, ...]:
    """The measures not taken and the facts not told that can bear on the chair."""
    taken = {one.dimension for one in (*request.estimate.used, *request.estimate.set_aside)}
    measures = [name for name in HOME_MEASURES if name not in taken]
    return (*measures, *open_facts(request))


def open_facts(request: FitRequest) -> tuple[str, ...]:
    """The facts of the workplace not told, where they are not taken as they are."""
    desk, heel = request.workplace.desk, request.workplace.heel
    if not request.open_places:
        return ()
    told = {
        "desk_kind": desk.kind is not None,
        "desk_height": desk.height is not None or desk.kind not in (None, "fixed"),
        "desk_lowest": desk.lowest is not None or desk.kind not in (None, "adjustable"),
        "desk_thickness": desk.thickness is not None or desk.kind == "none",
        "heel": heel is not None,
    }
    return tuple(name for name in FACTS if not told[name])


def settled(asking: AskNext, facts: Mapping[str, Gain]) -> bool:
    """Whether no answer still open would add as much as the threshold: enough is known."""
    return asking.settled and all(one.gain < asking.threshold for one in facts.values())


@without_gathering
def fact_gains(request: FitRequest, names: Iterable[str]) -> dict[str, Gain]:
    """Fact -> what hearing it is expected to add; nothing for what is known already."""
    left = {*open_facts(request), *((SEX,) if len(request.estimate.components) > 1 else ())}
    asked = [name for name in names if name in left]
    if not asked:
        return {}
    weighed = weigh(request)
    if not len(weighed.rows):
        return {name: Gain(name, 0.0, 0.0) for name in asked}
    drawn = places(request.workplace.of_chair, weighed.n, request.seed)
    sets = np.argsort(-weighed.fits, kind="stable")[:MOST]
    undecided = weighed.demands.later is not None
    if undecided:
        fits, sold = weighed.bits_taken(weighed.masks, sets), as_sold(weighed, sets)
    else:
        fits = sold = fitting(weighed, sets)
    kept = unbeaten(fits)
    fits, sold = fits[kept], sold[kept]
    now = without = _chosen(fits, fits, _all_alike(weighed.n))
    if undecided:
        without = _chosen(fits, sold, _all_alike(weighed.n))
    found = {}
    for name in asked:
        if name == SEX:
            heard = Answered.of(components_of(request.estimate, weighed.n))
        else:
            heard = sorted_into(drawn, name, request.seed)
        gained = _chosen(fits, fits, heard) - now
        if undecided and name in OF_DESK:
            # A height says nothing of a desk that has none, and none of a desk that moves.
            gained += np.where(heard.answer > 0, now - without, 0.0)
        spread = float(gained.std()) / math.sqrt(weighed.n)
        found[name] = Gain(name, max(0.0, float(gained.mean())), spread)
    return found


@dataclass(frozen=True, slots=True, eq=False)
class Answered:
    """Draws by the answer that would be heard; not to be written to."""

    answer: NDArray[np.intp]
    """Draw -> answer, numbered from 0."""
    halves: Bits
    """Answer and half of the draws x words: 1 where the draw is one of them."""
    other: NDArray[np.intp]
    """Draw -> its place among the flags of all halves, in that of its answer it is not in."""

    @classmethod
    def of(cls, answer: NDArray[np.intp]) -> Answered:
        """``answer`` is that of each draw."""
        draw = np.arange(len(answer))
        half = 2 * answer + draw % 2
        halves = one_hot(half, 2 * int(answer.max()) + 2)
        return cls(answer, halves, (half ^ 1) * 64 * halves.shape[1] + draw)


@lru_cache(maxsize=4)
def _all_alike(n: int) -> Answered:
    """So many draws with one answer."""
    return Answered.of(np.zeros(n, np.intp))


def fitting(weighed: Weighed, sets: Index) -> Bits:
    """Chair, with each footrest it may have, x words: 1 where it fits a draw."""
    bits = bits_of(weighed.masks, weighed.chairs, weighed.sets[sets])
    return bits.reshape(-1, bits.shape[-1])


def as_sold(weighed: Weighed, sets: Index) -> Bits:
    """Chair, with the footrest it takes, x words: the same before any is added for the desk."""
    sold = masks(replace(weighed.demands, later=None), weighed.chairs)
    return weighed.bits_taken(sold, sets)


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


def one_hot(answer: NDArray[np.intp], count: int) -> Bits:
    """Answer, of so many, x words: 1 where a draw has it."""
    return packed(np.arange(count)[:, None] == answer)


def counted(fits: Bits, each: Bits) -> NDArray[np.int64]:
    """Chair x answer: how many of the draws with that answer (``one_hot``) it fits."""
    # Words first: a sum along a short last axis takes much longer.
    both = np.ascontiguousarray(fits.T)[:, :, None] & np.ascontiguousarray(each.T)[:, None]
    return np.asarray(np.bitwise_count(both).sum(axis=0, dtype=np.uint32), np.int64)


def _chosen(fits: Bits, judged: Bits, heard: Answered) -> Array:
    """Draw -> whether the chair chosen on its answer, on the other half of the draws, suits it."""
    best = np.argmax(counted(fits, heard.halves), axis=0)
    flags = np.unpackbits(np.ascontiguousarray(judged[best]).view(np.uint8))
    return flags.take(heard.other).astype(np.float64)


def sorted_into(drawn: Places, name: str, seed: int) -> Answered:
    """The draws by the answer that would be heard; lengths as a tape reads them.

    Most callers have the same before them, as what is asked is not known.
    """
    of = {"desk_thickness": drawn.thickness, "heel": drawn.heel}.get(name)
    if of is not None:
        return _sorted_length(name, of.tobytes(), seed)
    return _sorted_desk(name, drawn.kind.tobytes(), drawn.lowest.tobytes(), seed)


@lru_cache(maxsize=32)
def _sorted_length(name: str, lengths: bytes, seed: int) -> Answered:
    """Remembered by the lengths drawn."""
    of = np.frombuffer(lengths)
    return Answered.of(in_parts(of + TAPE[name] * normals(len(of), 1, seed + _SEED)[:, 0]))


@lru_cache(maxsize=32)
def _sorted_desk(name: str, kinds: bytes, lowest: bytes, seed: int) -> Answered:
    """Remembered by the desks drawn."""
    if name == "desk_kind":
        fixed = _sorted_desk("desk_height", kinds, lowest, seed).answer
        moving = _sorted_desk("desk_lowest", kinds, lowest, seed).answer
        # With no desk yet, nothing.
        return Answered.of(fixed + np.where(moving, moving + _PARTS, 0))
    of = np.frombuffer(kinds, np.int64) == (0 if name == "desk_height" else 1)
    error = TAPE[name] * normals(len(of), 1, seed + _SEED)[:, 0]
    found = np.zeros(len(of), np.intp)
    found[of] = 1 + in_parts((np.frombuffer(lowest) + error)[of])
    return Answered.of(found)


def in_parts(values: Array) -> NDArray[np.intp]:
    """Equally many values in each part, by size."""
    parts = np.empty(len(values), np.intp)
    parts[np.argsort(values, kind="stable")] = (
        np.arange(len(values)) * _PARTS // max(len(values), 1)
    )
    return parts


def could_change(request: FitRequest, name: str) -> tuple[Changed, ...]:
    """What a body dimension or a fact of the workplace could change, the most costly first.

    Nothing of a dimension that no demand is made of.
    """
    weighed = weigh(request)
    order = dimensions_for(request.estimate)
    if not len(weighed.rows) or name not in (*order, *FACTS):
        return ()
    drawn = places(request.workplace, weighed.n, request.seed)
    if name in FACTS:
        answer = sorted_into(drawn, name, request.seed).answer
    else:
        bodies = draw(request.estimate, order, weighed.n, request.seed)
        answer = in_parts(bodies.values[:, order.index(name)])
    many = np.bincount(answer)
    each = one_hot(answer, len(many))
    fits = fitting(weighed, np.arange(len(weighed.sets)))
    lost = _lost(weighed, counted(fits, each)[:, many > 0] / many[many > 0])
    if name in OF_DESK and weighed.demands.later is not None:
        at = weighed.set_of[weighed.ranking(1)[0]]
        apart = counted(weighed.bits_taken(weighed.masks, at), each)
        apart -= counted(as_sold(weighed, at), each)
        lost["footrest"] = float((apart[:, many > 0] / many[many > 0]).max())
    if name == "weight" and weighed.chairs.ratings[0] < request.mass_limit:
        # A lighter reading allows what the mass forbids now.
        lost["rating"] = 1.0
    found = [part for part, cost in lost.items() if cost >= _CLEARLY]
    return tuple(sorted(found, key=lambda part: -lost[part]))


def _lost(weighed: Weighed, share: Array) -> dict[Changed, float]:
    """Part -> what keeping it costs at the answer where it costs most."""
    chairs, rows = weighed.chairs, weighed.sets
    now = int(weighed.set_of[weighed.ranking(1)[0][0]])
    each = share.reshape(len(rows), -1, share.shape[1])
    numbers: dict[Changed, NDArray[np.intp]] = {
        "gas_lift": chairs.height_of[rows],
        "seat": chairs.seat_of[rows],
        "arms": chairs.arms_of[rows],
        "rating": chairs.rating_of[rows],
    }
    chair = each.max(axis=1)
    lost: dict[Changed, float] = {
        name: float((chair.max(axis=0) - chair[one == one[now]].max(axis=0)).max())
        for name, one in numbers.items()
    }
    by_rest = chair[now] - each[now, 0]
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
    _features: dict[tuple[str, bool], NDArray[np.bool_]] = field(default_factory=dict)
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
        value = fits.copy()
        for feature in heard.preferred:
            value -= FOOTREST_WORTH * ~self._having(feature, heard.armless)
        value = np.maximum(value, 0.0)
        for feature in heard.musts:
            value *= self._having(feature, heard.armless)
        at = int(np.searchsorted(rows, self._best))
        chosen = at < len(rows) and rows[at] == self._best
        return float(value.max() - (value[at] if chosen else 0.0))

    def _having(self, feature: str, armless: bool) -> NDArray[np.bool_]:
        """Which of the chairs that may be offered have a feature."""
        if (feature, armless) not in self._features:
            has = weigh(self.request).chairs.having(feature)[self._weighed[armless][0]]
            self._features[feature, armless] = has
        return self._features[feature, armless]

    def _fits(self, heard: FitRequest) -> tuple[Index, Array]:
        if heard.armless not in self._weighed:
            # Only the wish for no armrests changes which bodies a chair fits.
            wished: list[NeedLine] = [(NO_ARMS_WANTED, "prefer", "")] if heard.armless else []
            alike = heard.armless == self.request.armless and not self.request.musts
            weighed = weigh(self.request if alike else replace(heard, needs=wished, kept={}))
            fits = weighed.fits[weighed.set_of] / weighed.n
            self._weighed[heard.armless] = weighed.rows, fits
        return self._weighed[heard.armless]
