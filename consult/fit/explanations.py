"""Why this chair: what speaks against another, and what of the body it hangs on.

A chair is told by the requirement it fails most often, by the amount of the median body among
those it fails.

For what the choice hangs on, each dimension in turn is taken to be really a little more or less
than was estimated, as a nearly exact measure would tell; the other dimensions follow it as they do
among people. The smallest such shift that changes the seat, gas lift or arms is told. Where
knowing the dimension would change the choice without any shift, it is not the shift that matters:
nothing is told of it, and asking for the measure is worth more.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from consult.body.estimate import as_if
from consult.fit.choose import Candidate, ChairChoice
from consult.fit.ranking import Weighed, weigh
from consult.fit.request import FitRequest
from consult.fit.scoring import all_met
from consult.fit.settings import reach_of, shortfall
from consult.problems import nearest
from consult.range.chairs import codes_of
from consult.range.model import Range
from consult.range.parts import CHAIR_KINDS, Kind, Part, chair_has
from consult.sentence import Sentence

if TYPE_CHECKING:
    from consult.body.population import Array


_RATING = Sentence("It is not rated to carry this weight, so it may not be offered.")

FEWER_BODIES = 512
"""Fewer than for the choice: only which chair is best is asked, and that many times over."""
SHIFT_STEP = 5.0
"""mm between the shifts tried; nobody measures a leg finer (common practice, no source)."""
FURTHEST = 40.0
"""mm of the largest shift tried."""
_SPREADS = 2.0
"""Nor further than this many standard deviations: the caller is hardly ever that far off."""
WEIGHED = ("weight",)
"""Of the dimensions it is the weight alone that chairs are weighed by besides the bodies."""
WORTH = 0.02
"""Another chair is right where it fits this much more often; less is not worth telling."""
_KINDS: tuple[Kind, ...] = ("seat", "gas_lift", "arms")
_MORE_LESS = {
    "popliteal_height": ("longer", "shorter"),
    "buttock_popliteal_length": ("longer", "shorter"),
    "elbow_rest_height": ("higher", "lower"),
    "hip_breadth_sitting": ("greater", "smaller"),
    "thigh_clearance": ("greater", "smaller"),
}
_FIRST: Mapping[str, Kind] = {
    "popliteal_height": "gas_lift",
    "buttock_popliteal_length": "seat",
    "elbow_rest_height": "arms",
    "hip_breadth_sitting": "seat",
    "thigh_clearance": "gas_lift",
}
"""The part a dimension bears on most; it is told of where several parts change."""
_Turned = tuple[tuple[Kind, Part], ...]


@dataclass(frozen=True, slots=True)
class Rejection:
    """What speaks against one chair."""

    requirement: str
    """The requirement failed most often; 'rating', 'feature', 'together', 'discontinued'."""
    mm: float
    """Whole mm at the median body it fails; 0 where it is no length."""
    share: float
    """Share of the bodies looked at that it fails; 1 for what no body changes."""
    say: Sentence


def why_not(
    request: FitRequest, chair: Candidate | Iterable[str], *, like: Candidate | None = None
) -> Rejection | None:
    """What speaks most against a chair; None where every body drawn would fit it.

    ``chair`` is a candidate or codes of parts; kinds of part not among the codes are taken from
    ``like``, usually the best.

    Raises:
        ValueError: in words, for a code the range does not have, two parts of one kind, or a kind
            that neither the codes nor ``like`` name.
    """
    if isinstance(chair, Candidate):
        parts = dict(chair.parts)
    else:
        parts = _parts(request.range, chair, like)
    barred = _barred(request, parts)
    return barred if barred is not None else _rejection(weigh(request), parts)


def near_misses(
    request: FitRequest, choice: ChairChoice
) -> dict[str, tuple[Candidate, Rejection | None]]:
    """The alternatives of a choice by name, each with what puts it behind the best.

    That is the requirement it fails most among the bodies the best fits: what both fail tells
    nothing. None beside one that fits as likely as the best: only compromises or price put it
    behind.
    """
    if choice.best is None:
        return {}
    weighed = weigh(request)
    suited = all_met(_missed(weighed, choice.best.parts))
    misses = {}
    for name, candidate in choice.alternatives.items():
        ahead = _clearly_ahead(suited, all_met(_missed(weighed, candidate.parts)))
        level = not ahead and suited.any()
        misses[name] = (candidate, None if level else _rejection(weighed, candidate.parts, suited))
    return misses


def _parts(range_: Range, codes: Iterable[str], like: Candidate | None) -> dict[Kind, Part]:
    known = {part.code: part for of_kind in range_.parts.values() for part in of_kind}
    asked: dict[Kind, Part] = {}
    for code in codes:
        if code not in known:
            hint = nearest(code, known)
            raise ValueError(f"This range has no part with the code '{code}'. {hint}".strip())
        part = known[code]
        if part.kind == "model":
            asked |= {own.kind: own for own in known.values() if own.code in own.made_of}
            continue
        if asked.get(part.kind, part) is not part:
            raise ValueError(
                f"'{asked[part.kind].code}' and '{code}' are parts of one kind; a chair has one."
            )
        asked[part.kind] = part
    parts = {**(like.parts if like else {}), **asked}
    lacking = [kind for kind in CHAIR_KINDS if kind not in parts and range_.parts.get(kind)]
    if lacking:
        what = lacking[0].replace("_", " ")
        raise ValueError(f"A whole chair needs every part; the {what} was not named.")
    return parts


def _barred(request: FitRequest, parts: Mapping[Kind, Part]) -> Rejection | None:
    """What keeps a chair from being offered to any body."""
    chair = [parts[kind] for kind in CHAIR_KINDS if kind in parts]
    limit, lowest = request.mass_limit, request.lowest_seat
    if any(part.rating is not None and part.rating < limit for part in chair):
        return Rejection("rating", 0.0, 1.0, _RATING)
    reach = reach_of(parts)["seat_height"]
    if lowest is not None and reach is not None and reach[1] < lowest:
        short = float(max(1, round(lowest - reach[1])))
        message = "At its highest the seat is <amount> lower than you may sit."
        return Rejection("seat_height", short, 1.0, Sentence(message, {"amount": short}))
    gone = next((part for part in parts.values() if part.discontinued), None)
    if gone is not None:
        return Rejection("discontinued", 0.0, 1.0, Sentence(f"{gone.name} is no longer sold."))
    if (apart := request.range.apart(chair)) is not None:
        message = f"{apart[0].name} and {apart[1].name} do not go on one chair."
        return Rejection("together", 0.0, 1.0, Sentence(message))
    for feature in request.musts:
        if not chair_has(chair, feature):
            what = feature.replace("_", " ")
            return Rejection("feature", 0.0, 1.0, Sentence(f"It lacks what is needed: {what}."))
    return None


def _missed(weighed: Weighed, parts: Mapping[Kind, Part]) -> dict[str, Array]:
    """Signed misses of one configuration by requirement, an entry a body."""
    codes = codes_of(parts)
    row = weighed.chairs.row_of(codes)
    assert row is not None  # what cannot be built was told of before
    rest = weighed.rest_of(codes)
    return {name: amounts[0] for name, amounts in weighed.missed([row], [rest]).items()}


def _rejection(
    weighed: Weighed, parts: Mapping[Kind, Part], among: NDArray[np.bool_] | None = None
) -> Rejection | None:
    """The worst failure among all bodies, or some; among all where those are none."""
    missed = _missed(weighed, parts)
    if among is not None and among.any():
        missed = {name: amounts[among] for name, amounts in missed.items()}
    failing = {name: int(np.count_nonzero(amounts)) for name, amounts in missed.items()}
    worst = max(failing, key=lambda name: failing[name])
    if not failing[worst]:
        return None
    amounts = missed[worst][missed[worst] != 0]
    # The median by size, not between two, so that it keeps its sign and is somebody's.
    middle = float(amounts[np.argsort(np.abs(amounts), kind="stable")[(len(amounts) - 1) // 2]])
    if abs(middle) < 1:
        middle = 1.0 if middle > 0 else -1.0  # below what is told in whole mm, yet a miss
    share = failing[worst] / len(missed[worst])
    if worst == "rating":
        return Rejection(worst, 0.0, share, _RATING)
    mm = float(abs(round(middle)))
    return Rejection(worst, mm, share, _miss_said(worst, middle, parts))


def _miss_said(requirement: str, miss: float, parts: Mapping[Kind, Part]) -> Sentence:
    """A requirement missed by just this much, in words."""
    amount = {"amount": float(abs(round(miss)))}
    if requirement == "footrest_height":
        if "footrest" in parts:
            message = "The footrest leaves the feet <amount> short of what the desk asks."
        else:
            message = "The seat has to be so high that the feet are <amount> above the floor, and "
            message += "there is no footrest for them."
        return Sentence(message, amount)
    if requirement == "keyboard_height":
        return Sentence("At its highest the seat is <amount> too low for the desk.", amount)
    return shortfall(requirement, miss, reach_of(parts)[requirement]).say


@dataclass(frozen=True, slots=True)
class TurningPoint:
    """A shift of one dimension at which another part is right."""

    dimension: str
    shift_mm: float
    """Of the mean; above zero: really more of it than was estimated."""
    kind: Kind
    """'seat', 'gas_lift' or 'arms'."""
    part: Part
    say: Sentence


def sensitivity(
    request: FitRequest, choice: ChairChoice, *, labels: Mapping[str, str]
) -> tuple[TurningPoint, ...]:
    """The shifts that would change the choice, the smallest first; at most one a dimension.

    ``labels`` are the dimensions in plain words. A shift is told only where the chair chosen fits
    the shifted body less often than another, beyond what drawing bodies can blur.

    Raises:
        ValueError: the range builds no chair at all; a range that was loaded builds some.
    """
    best, estimate = choice.best, request.estimate
    if best is None:
        return ()

    def turned(dimension: str, steps: int) -> _Turned:
        centre = estimate.dimensions[dimension].mean
        shifted = as_if(estimate, dimension, centre + steps * SHIFT_STEP, WEIGHED)
        n = min(request.n, FEWER_BODIES)
        return _turned(weigh(replace(request, estimate=shifted, n=n, kept={})), best)

    points = []
    for dimension in [name for name in _MORE_LESS if name in estimate.dimensions]:
        reach = min(FURTHEST, _SPREADS * estimate.dimensions[dimension].sd)
        smallest = _smallest(partial(turned, dimension), int(reach // SHIFT_STEP))
        if smallest is not None:
            label = labels.get(dimension, dimension.replace("_", " "))
            points.append(_turn(dimension, label, *smallest))
    return tuple(sorted(points, key=lambda turn: abs(turn.shift_mm)))


def _smallest(turned: Callable[[int], _Turned], most: int) -> tuple[float, _Turned] | None:
    """The smallest shift, mm, that turns the choice: a shift that turns it, taken further, still
    does, so each side is halved again and again rather than walked."""
    nearest: tuple[int, _Turned] | None = None
    if most < 1 or turned(0):
        return None
    for sign in (1, -1):
        # The other side is worth knowing only where it turns sooner.
        far = most if nearest is None else abs(nearest[0]) - 1
        parts = turned(sign * far) if far > 0 else ()
        if not parts:
            continue
        low, high = 0, far
        while high - low > 1:
            middle = (low + high) // 2
            closer = turned(sign * middle)
            if closer:
                high, parts = middle, closer
            else:
                low = middle
        nearest = (sign * high, parts)
    return None if nearest is None else (nearest[0] * SHIFT_STEP, nearest[1])


def _turned(weighed: Weighed, best: Candidate) -> _Turned:
    """The parts that differ where another chair is clearly better than ``best``; else none."""
    if not len(weighed.rows):
        return ()
    ranked, tied = weighed.ranking()
    index = weighed.chairs.index
    codes = codes_of(best.parts)
    wanted = index[weighed.chairs.row_of(codes)]
    axes = [CHAIR_KINDS.index(kind) for kind in _KINDS]
    # Among equals the one most like the best, so that one difference is told of.
    leaders = np.array([ranked[0], *tied])
    differs = index[weighed.rows[leaders]][:, axes] != wanted[axes]
    nearest = int(np.argmin(differs.sum(axis=1)))
    if not differs[nearest].any():
        return ()
    new = int(leaders[nearest])
    old = weighed.position_of(codes)
    if old is not None and not _clearly_better(weighed, new, old):
        return ()
    chair = weighed.chairs.chair(int(weighed.rows[new]))
    return tuple(
        (kind, chair[kind]) for kind, apart in zip(_KINDS, differs[nearest], strict=True) if apart
    )


def _clearly_better(weighed: Weighed, new: int, old: int) -> bool:
    """Whether the chair at one position fits more than that at another, beyond a tie."""
    sets = weighed.set_of[[new, old]]
    if weighed.miss is not None:
        return bool(weighed.miss[sets[0]] < weighed.miss[sets[1]])
    missed = weighed.missed(weighed.rows[[new, old]], weighed.rest[sets])
    new_met, old_met = all_met(missed)
    return _clearly_ahead(new_met, old_met, WORTH)


def _clearly_ahead(met: NDArray[np.bool_], other_met: NDArray[np.bool_], by: float = 0.0) -> bool:
    """Whether bodies are suited by one chair more often than by another, beyond chance."""
    ahead = met.astype(np.float64) - other_met
    return bool(ahead.mean() > max(by, float(ahead.std()) / math.sqrt(len(ahead))))


def _turn(dimension: str, label: str, shift: float, parts: _Turned) -> TurningPoint:
    by_kind = dict(parts)
    kind = _FIRST[dimension] if _FIRST[dimension] in by_kind else parts[0][0]
    # The part told of first leads the sentence too.
    names = [by_kind[kind].name, *(part.name for other, part in parts if other != kind)]
    are = "is" if len(names) == 1 else "are"
    together = " and ".join([", ".join(names[:-1]), names[-1]] if names[1:] else names)
    more, less = _MORE_LESS[dimension]
    message = (
        f"If the {label} is really <amount> {more if shift > 0 else less}, {together} {are} right."
    )
    return TurningPoint(
        dimension, shift, kind, by_kind[kind], Sentence(message, {"amount": abs(shift)})
    )
