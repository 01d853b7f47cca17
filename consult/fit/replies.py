"""What a caller would answer: how likely each answer is, for every draw of body and workplace.

A length or a weight is told with an error of its own. Of ten equally likely readings a draw may be
told as any, the nearer the likelier. So an answer is a weighting of the bodies and workplaces that
the chair is chosen by, and what is left after it is worked out without drawing anew.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
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
    from consult.fit.workplace import Workplace

DrawShares = NDArray[np.float32]
"""Row x draw: 1 or 0, or a share where it is either by chance."""
FACTS = ("desk_kind", "desk_height", "desk_lowest", "desk_thickness", "heel")
"""Facts of the workplace that P(fits) hangs on."""
OF_DESK = ("desk_kind", "desk_height", "desk_lowest")
"""With these it is known how low the desk stands, and whether a footrest can be sold."""
SEX = "sex"
"""Whose averages are used; asked of a body, and drawn with it."""
_READINGS = 10
_UNLIKELY = -60.0
"""The logarithm of odds that are as good as none."""
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
    names: Sequence[str],
    population: Population | None = None,
    besides: tuple[str, ...] = (),
    many: int = _READINGS,
) -> list[Replies]:
    """The answers to each of some of FACTS, SEX or body dimensions.

    ``population`` says how well callers measure; None: nearly exactly. ``besides`` are dimensions
    drawn with those of which something is demanded; ``many`` are the readings of a length.
    """
    n, estimate, place = request.n, request.estimate, request.workplace.of_chair
    measures = [name for name in names if name not in (*FACTS, SEX)]
    replies = dict(
        zip(measures, _of_body(request, measures, population, besides, many), strict=True)
    )
    for name in names:
        if name in FACTS:
            replies[name] = Replies(_of_workplace(place, name, n, request.seed, many))
        elif name == SEX:
            replies[name] = Replies(sex_said(estimate, n))
    return [replies[name] for name in names]


def _of_body(
    request: FitRequest,
    measures: Sequence[str],
    population: Population | None,
    besides: tuple[str, ...],
    many: int,
) -> Iterator[Replies]:
    if not measures:
        return
    estimate = request.estimate
    order = (*dimensions_for(estimate), *besides)
    drawn = draw(estimate, order, request.n, request.seed).values
    middles = [estimate.dimensions[name].mean for name in measures]
    errors = [
        NEARLY_EXACT if population is None else population.told_sd(name, middle)
        for name, middle in zip(measures, middles, strict=True)
    ]
    by_measure = told_as(drawn.T[[order.index(name) for name in measures]], errors, many)
    for name, error, odds, readings in zip(measures, errors, *by_measure, strict=True):
        yield Replies(odds, readings + RATED_FOR * error if name == "weight" else 0.0)


@lru_cache(maxsize=32)
def _of_workplace(place: Workplace, fact: str, n: int, seed: int, many: int) -> DrawShares:
    """Not to be written to. Of a desk the first answer is that it has no such height."""
    drawn = places(place, n, seed)
    if fact in ("desk_thickness", "heel"):
        length = np.asarray(drawn.heel if fact == "heel" else drawn.thickness)
        return np.asarray(told_as(length[None], [TAPE[fact]], many)[0][0])
    # The kind of desk counts with the height that is asked next, for alone it decides nothing.
    kinds = {"desk_height": (0,), "desk_lowest": (1,)}.get(fact, (0, 1))
    answers = [np.asarray(~np.isin(drawn.kind, kinds), np.float32)[None]]
    for kind in kinds:
        of = drawn.kind == kind
        odds = np.zeros((many, n), np.float32)
        odds[:, of] = told_as(np.asarray(drawn.lowest)[None, of], [TAPE["desk_height"]], many)[0][0]
        answers.append(odds)
    return np.concatenate(answers)


def sex_said(estimate: Estimate, n: int) -> DrawShares:
    """Of draws from an estimate, which component each comes of."""
    of = components_of(estimate, n)
    return np.asarray(np.arange(of[-1] + 1)[:, None] == of, np.float32)


def told_as(values: Array, errors: Sequence[float], many: int) -> tuple[DrawShares, Array]:
    """As which of so many equally likely readings lengths are told, and the readings.

    ``values`` has a row a length and a column a draw; the first result is length x reading x draw,
    the second length x reading.
    """
    rows, n = values.shape
    if not n:
        return np.zeros((rows, many, 0), np.float32), np.zeros((rows, many))
    sd = np.asarray(errors)[:, None]
    lengths_told = np.sort(values + sd * normals(n, 1, _SEED)[:, 0], axis=1)
    readings = lengths_told[:, np.arange(1, 2 * many, 2) * n // (2 * many)]
    # Each stands for the lengths about it.
    steps = np.diff(readings, axis=1)
    width = np.concatenate(
        [steps[:, :1], (steps[:, 1:] + steps[:, :-1]) / 2, steps[:, -1:]], axis=1
    )
    width = np.maximum(width, NEARLY_EXACT / n).astype(np.float32)
    # As single numbers lengths are told apart only about their middle.
    middle = values.mean(axis=1, keepdims=True)
    read, true = (((lengths - middle) / sd).astype(np.float32) for lengths in (readings, values))
    odds = read[:, :, None] - true[:, None, :]
    odds *= odds
    odds *= -0.5
    odds -= odds.max(axis=1, keepdims=True)
    # Processors are twenty times slower with numbers that are all but nothing.
    np.maximum(odds, _UNLIKELY, out=odds)
    np.exp(odds, out=odds)
    odds *= width[:, :, None]
    odds /= odds.sum(axis=1, keepdims=True)
    return odds, readings
