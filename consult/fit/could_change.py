"""Which parts of the chair chosen now hearing one answer could change.

The draws are sorted into the answers that may be heard, as for the worth of a fact. A part could
change where, on some answer, the best chair that keeps it fits clearly less often than the best.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray

from consult.fit.bodies import draw
from consult.fit.demands import dimensions_for
from consult.fit.places import places
from consult.fit.weigh import FOOTREST_WORTH, weigh
from consult.fit.worth import FACTS, OF_DESK, counted, fitting, in_parts, on_the_floor, sorted_into

if TYPE_CHECKING:
    from consult.fit.request import FitRequest
    from consult.fit.weigh import Weighed

Changed = Literal["gas_lift", "seat", "arms", "rating", "footrest"]
"""Of a chair: how high, how deep and wide, its arms, what it carries, the footrest beside it."""

_CLEARLY = 0.04
"""P(fits) that keeping a part costs; the draws of one answer scatter by less."""


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
        answer = sorted_into(drawn, name, request.seed)
    else:
        bodies = draw(request.estimate, order, weighed.n, request.seed)
        answer = in_parts(bodies.values[:, order.index(name)])
    many = np.bincount(answer)
    fits = fitting(weighed, weighed.masks, np.arange(len(weighed.sets)))
    lost = _lost(weighed, counted(fits, answer)[:, many > 0] / many[many > 0])
    if name in OF_DESK and weighed.demands.rest_later:
        at = weighed.set_of[weighed.ranking()[0][:1]]
        apart = counted(fits[at], answer) - counted(on_the_floor(weighed, at), answer)
        lost["footrest"] = float((apart[:, many > 0] / many[many > 0]).max())
    if name == "weight" and weighed.chairs.ratings[0] < request.mass_limit:
        # A lighter reading allows what the mass forbids now.
        lost["rating"] = 1.0
    found = [each for each, cost in lost.items() if cost >= _CLEARLY]
    return tuple(sorted(found, key=lambda each: -lost[each]))


def _lost(weighed: Weighed, share: NDArray[np.float64]) -> dict[Changed, float]:
    """Part -> what keeping it costs at the answer where it costs most."""
    chairs, rows = weighed.chairs, weighed.sets
    now = int(weighed.set_of[weighed.ranking()[0][0]])
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
