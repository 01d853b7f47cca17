"""What a caller would answer: how likely each answer is, for every draw of body and workplace.

A length or a weight is told with an error of its own. Of ten equally likely readings a draw may be
told as any, the nearer the likelier. So an answer is a weighting of the bodies and workplaces that
the chair is chosen by, and what is left after it is worked out without drawing anew.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from consult.body.estimate import NEARLY_EXACT
from consult.fit.request import RATED_FOR, components_of, draw, normals
from consult.fit.rules import dimensions_for
from consult.fit.workplace import TAPE, places

if TYPE_CHECKING:
    from consult.body.estimate import Estimate
    from consult.body.population import Array, Population
    from consult.fit.request import FitRequest

DrawShares = NDArray[np.float32]
"""Row x draw: 1 or 0, or a share where it is either by chance."""
FACTS = ("desk_kind", "desk_height", "desk_lowest", "desk_thickness", "heel")
"""Facts of the workplace that P(fits) hangs on."""
OF_DESK = ("desk_kind", "desk_height", "desk_lowest")
"""With these it is known how low the desk stands, and whether a footrest can be sold."""
SEX = "sex"
"""Whose averages are used; asked of a body, and drawn with it."""
READINGS = 10
_SEED = 99_000
"""Of the errors in what would be heard, apart from those of bodies and workplaces."""


@dataclass(frozen=True, slots=True, eq=False)
class Replies:
    """The answers to a question."""

    odds: DrawShares
    """Answer x draw: how likely the draw is told so; those of a draw add up to 1."""
    mass: Array | float = 0.0
    """kg that a chair must carry by what was said, each answer apart."""


def replies_to(
    request: FitRequest,
    name: str,
    population: Population | None = None,
    besides: tuple[str, ...] = (),
    many: int = READINGS,
) -> Replies:
    """The answers to one of FACTS, SEX or a body dimension.

    ``population`` says how well callers measure; None: nearly exactly. ``besides`` are dimensions
    drawn with those of which something is demanded; ``many`` are the readings of a length.
    """
    n, estimate = request.n, request.estimate
    if name in FACTS:
        return Replies(_of_workplace(request, name, n, many))
    if name == SEX:
        return Replies(sex_said(estimate, n))
    order = (*dimensions_for(estimate), *besides)
    values = draw(estimate, order, n, request.seed).values[:, order.index(name)]
    middle = estimate.dimensions[name].mean
    error = NEARLY_EXACT if population is None else population.told_sd(name, middle)
    odds, readings = told_as(values, error, many)
    return Replies(odds, readings + RATED_FOR * error if name == "weight" else 0.0)


def _of_workplace(request: FitRequest, fact: str, n: int, many: int) -> DrawShares:
    """Of a desk the first answer is that it has no such height."""
    drawn = places(request.workplace.of_chair, n, request.seed)
    if fact in ("desk_thickness", "heel"):
        return told_as(drawn.heel if fact == "heel" else drawn.thickness, TAPE[fact], many)[0]
    # The kind of desk counts with the height that is asked next, for alone it decides nothing.
    kinds = {"desk_height": (0,), "desk_lowest": (1,)}.get(fact, (0, 1))
    answers = [np.asarray(~np.isin(drawn.kind, kinds), np.float32)[None]]
    for kind in kinds:
        of = drawn.kind == kind
        found = np.zeros((many, n), np.float32)
        found[:, of] = told_as(drawn.lowest[of], TAPE["desk_height"], many)[0]
        answers.append(found)
    return np.concatenate(answers)


def sex_said(estimate: Estimate, n: int) -> DrawShares:
    """Of draws from an estimate, which component each comes of."""
    of = components_of(estimate, n)
    return np.asarray(np.arange(of[-1] + 1)[:, None] == of, np.float32)


def told_as(values: Array, error: float, many: int) -> tuple[DrawShares, Array]:
    """As which of so many equally likely readings each length is told, and the readings."""
    if not len(values):
        return np.zeros((many, 0), np.float32), np.zeros(many)
    told = np.sort(values + error * normals(len(values), 1, _SEED)[:, 0])
    readings = told[np.arange(1, 2 * many, 2) * len(told) // (2 * many)]
    odds = ((readings[:, None] - values) / error).astype(np.float32) ** 2 / -2
    # Each stands for the lengths about it.
    width = np.maximum(np.gradient(readings), NEARLY_EXACT / len(values)).astype(np.float32)
    odds = np.exp(odds - odds.max(axis=0)) * width[:, None]
    return np.asarray(odds / odds.sum(axis=0)), readings
