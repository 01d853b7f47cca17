"""What would have to be different about the body for another part to be right.

Each dimension in turn is taken to be really a little more or less than was estimated, as a nearly
exact measure would tell; the other dimensions follow it as they do among people. The smallest
such shift that changes the seat, gas lift or arms is what the choice hangs on. Where knowing the
dimension would change the choice without any shift, it is not the shift that matters: nothing is
told of it here, and asking for the measure is worth more.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from consult.fit.as_if import weighed_if
from consult.fit.range_model import CHAIR_KINDS, Kind, Part
from consult.fit.weigh import Weighed, weigh_bodies
from consult.sentence import Sentence

if TYPE_CHECKING:
    from consult.body.estimate import Estimate
    from consult.fit.choose import Candidate, Choice
    from consult.fit.request import FitRequest

BODIES = 512
"""Fewer than for the choice: only which chair is best is asked, and that many times over."""
STEP = 5.0
"""mm between the shifts tried; nobody measures a leg finer (common practice, no source)."""
FURTHEST = 40.0
"""mm of the largest shift tried."""
SPREADS = 2.0
"""Nor further than this many standard deviations: the caller is hardly ever that far off."""
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
class Turn:
    """A shift of one dimension at which another part is right."""

    dimension: str
    shift_mm: float
    """Of the mean; above zero: really more of it than was estimated."""
    kind: Kind
    """'seat', 'gas_lift' or 'arms'."""
    part: Part
    say: Sentence


def sensitivity(
    request: FitRequest, choice: Choice, *, labels: Mapping[str, str]
) -> tuple[Turn, ...]:
    """The shifts that would change the choice, the smallest first; at most one a dimension.

    ``labels`` are the dimensions in plain words. A shift is told only where the chair chosen fits
    the shifted body less often than another, beyond what drawing bodies can blur.

    Raises:
        ValueError: the range builds no chair at all; a range that was loaded builds some.
    """
    if choice.best is None:
        return ()
    estimate = request.estimate

    def weigh(other: Estimate) -> Weighed:
        return weigh_bodies(request, other, request.n or BODIES)

    found = []
    for dimension in _MORE_LESS:
        if dimension not in estimate.dimensions:
            continue

        def turned(
            steps: int, dimension: str = dimension, best: Candidate = choice.best
        ) -> _Turned:
            centre = estimate.dimensions[dimension].mean
            return _turned(weigh(weighed_if(estimate, dimension, centre + steps * STEP)), best)

        reach = min(FURTHEST, SPREADS * estimate.dimensions[dimension].sd)
        smallest = _smallest(turned, int(reach // STEP))
        if smallest is not None:
            label = labels.get(dimension, dimension.replace("_", " "))
            found.append(_turn(dimension, label, *smallest))
    return tuple(sorted(found, key=lambda turn: abs(turn.shift_mm)))


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
    return None if nearest is None else (nearest[0] * STEP, nearest[1])


def _turned(weighed: Weighed, best: Candidate) -> _Turned:
    """The parts that differ where another chair is clearly better than ``best``; else none."""
    if not len(weighed.rows):
        return ()
    ranked, tied = weighed.ranking()
    index = weighed.chairs.index
    wanted = [
        [part.code for part in of_kind].index(best.parts[kind].code)
        for kind, of_kind in zip(CHAIR_KINDS, weighed.chairs.parts, strict=True)
    ]
    axes = [CHAIR_KINDS.index(kind) for kind in _KINDS]
    # Among equals the one most like the best, so that one difference is told of.
    leaders = np.array([ranked[0], *tied])
    differs = index[weighed.rows[leaders]][:, axes] != np.array(wanted)[axes]
    nearest = int(np.argmin(differs.sum(axis=1)))
    if not differs[nearest].any():
        return ()
    new = int(leaders[nearest])
    rows = np.flatnonzero((index[weighed.rows] == wanted).all(axis=1))
    if len(rows) and not _clearly_better(weighed, new, int(rows[0])):
        return ()
    chair = weighed.chairs.chair(int(weighed.rows[new]))
    return tuple(
        (kind, chair[kind]) for kind, other in zip(_KINDS, differs[nearest], strict=True) if other
    )


def _clearly_better(weighed: Weighed, new: int, old: int) -> bool:
    """Whether the chair at one position fits more than that at another, beyond a tie."""
    sets = weighed.set_of[[new, old]]
    if weighed.miss is not None:
        return bool(weighed.miss[sets[0]] < weighed.miss[sets[1]])
    missed = weighed.missed(weighed.rows[[new, old]], weighed.rest[sets])
    suited = np.all([amounts == 0 for amounts in missed.values()], axis=0).astype(np.float64)
    ahead = suited[0] - suited[1]
    return bool(ahead.mean() > max(WORTH, float(ahead.std()) / np.sqrt(weighed.n)))


def _turn(dimension: str, label: str, shift: float, parts: _Turned) -> Turn:
    told = dict(parts)
    kind = _FIRST[dimension] if _FIRST[dimension] in told else parts[0][0]
    # The part told of first leads the sentence too.
    names = [told[kind].name, *(part.name for other, part in parts if other != kind)]
    are = "is" if len(names) == 1 else "are"
    together = " and ".join([", ".join(names[:-1]), names[-1]] if names[1:] else names)
    more, less = _MORE_LESS[dimension]
    said = (
        f"If the {label} is really <amount> {more if shift > 0 else less}, {together} {are} right."
    )
    return Turn(dimension, shift, kind, told[kind], Sentence(said, {"amount": abs(shift)}))
