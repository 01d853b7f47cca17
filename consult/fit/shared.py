"""One chair for several people who sit on it in turn, and what each has to change.

Everyone's body is drawn apart from the others', so how often a chair fits all of them is the
product of how often it fits each. Otherwise chairs are compared as for one person.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from consult.fit.bodies import BODIES, SEED, Array
from consult.fit.choose import choose
from consult.fit.hand_over import handed_over, settings_for
from consult.fit.pick import chair_has
from consult.fit.range_model import Kind, Part
from consult.fit.request import FitRequest, NeedLine
from consult.fit.weigh import NOTHING_FITS, NOTICEABLE, bits_of, weigh
from consult.fit.why_not import Rejection, why_not

if TYPE_CHECKING:
    from consult.body.estimate import Estimate
    from consult.fit.chairs import Index
    from consult.fit.range_model import Range
    from consult.fit.verdicts import Bits
    from consult.fit.weigh import Weighed
    from consult.fit.workplace import Workplace
    from consult.sentence import Sentence

FAILS = 0.5
"""A chair that fits a person less often than this is said to fail them."""
_APART = 1000
"""Between the seeds of two people, so that their bodies have nothing in common."""
_BLOCK = 4096
"""Distinct chairs at a time, to bound memory."""


@dataclass(frozen=True, slots=True, eq=False)
class Sharer:
    """One of the people who share the chair."""

    name: str
    estimate: Estimate
    workplace: Workplace
    mass: float | None = None
    """kg that the chair must carry besides what the estimate says."""


@dataclass(frozen=True, slots=True)
class Turned:
    """How the chair serves one person."""

    name: str
    p_fits: float
    footrest: Part | None
    fails: Rejection | None
    """Why it more likely than not fails this person; None where it fits well enough."""
    settings: Mapping[str, float]
    """seat_height (loaded), seat_depth, armrest_height (above the loaded seat), footrest_height:
    those that can be set -> mm, within reach of the parts."""
    changes: tuple[Sentence, ...]
    """At the start of the shift, in order; all settings for the first person, then those that
    the people before left 5 mm or more away."""


@dataclass(frozen=True, slots=True)
class Shared:
    """The chair that most likely fits everyone, and how each has to set it."""

    parts: Mapping[Kind, Part]
    """The chair; empty where none may be offered."""
    footrests: tuple[Part, ...]
    """Those that at least one person needs, the cheapest first."""
    p_fits: float
    """Chance that it fits every one of them."""
    se: float
    """Standard error of ``p_fits`` from drawing bodies."""
    compromises: tuple[str, ...]
    """Preferred features missing, and 'footrest' where anyone needs one."""
    price: float
    """In the range's currency, footrests included."""
    lead_days: int
    people: tuple[Turned, ...]
    """In the order they were given, which is that of the shifts."""
    none_because: Sentence | None = None


def share(
    range_: Range,
    sitters: Sequence[Sharer],
    needs: Sequence[NeedLine],
    *,
    n: int = BODIES,
    seed: int = SEED,
) -> Shared:
    """The chair most likely to fit all sitters; for one sitter, the chair ``choose`` gives.

    No chair rated below any sitter's mass is offered. Same inputs, same chair.

    Raises:
        ValueError: no sitter; or the range builds no chair, though a loaded range builds some.
    """
    if not sitters:
        raise ValueError("Nobody was named who would sit on the chair.")
    plain = [
        FitRequest(range_, one.estimate, one.workplace, needs, one.mass, n=n) for one in sitters
    ]
    # The same limits for all give everyone the same chairs at the same positions.
    mass = max(one.mass_limit for one in plain)
    lowest = max((one.lowest_seat for one in plain if one.lowest_seat is not None), default=None)
    requests = [
        replace(one, mass=mass, lowest=lowest, seed=seed + _APART * number, kept={})
        for number, one in enumerate(plain)
    ]
    weighed = [weigh(one) for one in requests]
    if not len(weighed[0].rows):
        return Shared({}, (), 0.0, 0.0, (), 0.0, 0, (), choose(requests[0]).none_because)
    used = _rests_used(weighed)
    at = _best(weighed, used)
    first, at_set = weighed[0], int(weighed[0].set_of[at])
    parts = first.chairs.chair(int(first.rows[at]))
    rests = [one.rests[int(one.rest[at_set]) - 1] if one.rest[at_set] else None for one in weighed]
    p = np.array([one.fits[at_set] / n for one in weighed])
    settings = [
        settings_for(one.estimate, one.workplace, parts, rest)
        for one, rest in zip(sitters, rests, strict=True)
    ]
    fails = [
        why_not(one, [part.code for part in (*parts.values(), *([rest] if rest else ()))])
        if share < FAILS
        else None
        for one, rest, share in zip(requests, rests, p, strict=True)
    ]
    footrests = tuple(
        rest for rest, is_used in zip(first.rests, used[at_set], strict=True) if is_used
    )
    bought = (*parts.values(), *footrests)
    lacking = [name for name in requests[0].preferred if not chair_has(parts.values(), name)]
    said = handed_over(settings, rests)
    return Shared(
        parts=parts,
        footrests=footrests,
        p_fits=float(p.prod()),
        se=math.sqrt(float((_others(p) ** 2 * p * (1 - p)).sum()) / n),
        compromises=(*lacking, *(["footrest"] if footrests else [])),
        price=sum(round(part.price * 100) for part in bought) / 100,
        lead_days=max(part.lead_days for part in bought),
        people=tuple(
            Turned(one.name, float(share), rest, fail, own, changes)
            for one, share, rest, fail, own, changes in zip(
                sitters, p, rests, fails, settings, said, strict=True
            )
        ),
    )


def _best(weighed: Sequence[Weighed], used: NDArray[np.bool_]) -> int:
    """Position of the chair to offer; the order is that of ``Weighed.ranking``."""
    one = weighed[0]
    prices = np.array([round(part.price * 100) for part in one.rests], np.int64)
    pence = one.chairs.pence[one.rows] + (used @ prices)[one.set_of]
    raised = np.any([each.raised for each in weighed], axis=0)
    compromises = (used.any(axis=1).astype(np.int64) + raised)[one.set_of]
    for feature in one.request.preferred:
        compromises += ~one.chairs.having(feature)[one.rows]
    positions = np.flatnonzero(_level(weighed)[one.set_of])
    lead = one.chairs.lead_days[one.rows[positions]]
    return int(positions[np.lexsort((lead, pence[positions], compromises[positions]))[0]])


def _level(weighed: Sequence[Weighed]) -> NDArray[np.bool_]:
    """Sets that cannot be told from the one that fits everyone most often."""
    n = weighed[0].n
    p = np.stack([one.fits / n for one in weighed])
    joint = p.prod(axis=0)
    if joint.max() < NOTHING_FITS or any(one.miss is not None for one in weighed):
        missed = np.sum([_mean_misses(one) for one in weighed], axis=0)
        return np.asarray(missed == missed.min())
    leader = int(np.argmax(joint))
    both = np.stack([_with_leader(one, leader) for one in weighed]) / n
    # A product varies with each of its factors in proportion to the others; bodies that both
    # chairs fit, or both do not, say nothing of which is ahead.
    own, its = _others(p), _others(p[:, leader])[:, None]
    ahead = its * p[:, leader, None] - own * p
    square = its**2 * p[:, leader, None] + own**2 * p - 2 * its * own * both
    variance = np.maximum(square - ahead**2, 0.0).sum(axis=0)
    # The tolerance of ``Weighed.ranking``, so that one person gets the chair of one.
    by_chance = np.sqrt(variance / max(n - 1, 1)) + 1e-12
    return np.asarray(joint[leader] - joint <= np.maximum(by_chance, NOTICEABLE))


def _others(p: Array) -> Array:
    """For each person, the product over all the others."""
    each = [np.delete(p, number, axis=0).prod(axis=0) for number in range(len(p))]
    return np.asarray(np.stack(each), np.float64)


def _with_leader(weighed: Weighed, leader: int) -> NDArray[np.int64]:
    """Bodies of one person that each set and the leader both fit."""
    its = _bits(weighed, np.array([leader]))
    return np.concatenate(
        [
            np.bitwise_count(_bits(weighed, block) & its).sum(axis=1, dtype=np.int64)
            for block in _blocks(weighed)
        ]
    )


def _bits(weighed: Weighed, sets: Index) -> Bits:
    bits = bits_of(weighed.masks, weighed.chairs, weighed.sets[sets])
    return np.asarray(bits[np.arange(len(sets)), weighed.rest[sets]])


def _mean_misses(weighed: Weighed) -> Array:
    """Whole mm that each set misses one person by, on average."""
    if weighed.miss is not None:
        return weighed.miss
    found = []
    for block in _blocks(weighed, _BLOCK // 16):
        missed = weighed.missed(weighed.sets[block], weighed.rest[block])
        found.append(
            sum(np.abs(mm).mean(axis=1) for name, mm in missed.items() if name != "rating")
        )
    return np.round(np.concatenate(found))


def _blocks(weighed: Weighed, size: int = _BLOCK) -> list[Index]:
    return [
        np.arange(start, min(start + size, len(weighed.sets)))
        for start in range(0, len(weighed.sets), size)
    ]


def _rests_used(weighed: Sequence[Weighed]) -> NDArray[np.bool_]:
    """Set x footrest on sale: somebody needs it with this chair."""
    places = np.arange(1, len(weighed[0].rests) + 1)
    return np.asarray(np.any([one.rest[:, None] == places for one in weighed], axis=0))
