"""How well chairs fit the true body of a caller, allowing for no more than a tape cannot tell.

The body is known exactly here, but no adviser can know it so: a chair that fits by a hair is no
better advice than one that misses by a hair. So P(fits) is taken over bodies that lie round the
true one within the error of self-measuring.
"""

from __future__ import annotations

from dataclasses import dataclass
from statistics import NormalDist
from typing import TYPE_CHECKING

import numpy as np

from consult.body.estimate import HIGH, LOW, Component, Dimension, Estimate
from consult.fit.range_model import CHAIR_KINDS
from consult.fit.request import FitRequest, NeedLine
from consult.fit.weigh import bits_of, weigh

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from consult.body.measured import Sex
    from consult.body.population import Population
    from consult.fit.range_model import Range
    from consult.fit.weigh import Weighed
    from consult.fit.workplace import Workplace

_BODIES = 1000
_NORMAL = NormalDist()


@dataclass(frozen=True, slots=True, eq=False)
class TrueFit:
    """Every chair of a range held against one true body."""

    round_it: Weighed
    """Bodies round the true one."""
    exact: Weighed
    """The true one alone."""

    @property
    def best(self) -> float:
        """P(fits) of the best chair that may be offered; 0 where none may."""
        return self.round_it.best

    def p_fits(self, codes: Sequence[str]) -> float:
        """P(fits) of the chair of these parts; 0 where it may not be offered to this caller."""
        return _p(self.round_it, codes)

    def fits(self, codes: Sequence[str]) -> bool:
        """Whether the chair of these parts fits the true body itself."""
        return _p(self.exact, codes) == 1.0


def true_fit(
    range_: Range,
    population: Population,
    body: Mapping[str, float],
    sex: Sex,
    workplace: Workplace,
    needs: Sequence[NeedLine],
) -> TrueFit:
    """Hold a range against a body, mm and kg, at a workplace, with the features it needs."""

    def weighed(scale: float, n: int) -> Weighed:
        there = known_exactly(population, body, sex, scale)
        return weigh(FitRequest(range_, there, workplace, needs, body["weight"], n=n))

    return TrueFit(weighed(1.0, _BODIES), weighed(0.0, 1))


def known_exactly(
    population: Population, body: Mapping[str, float], sex: Sex, scale: float = 1.0
) -> Estimate:
    """A body that is known, as an estimate: its spread is the error of self-measuring, scaled."""
    mean = np.array([body[name] for name in population.order], np.float64)
    sds = [scale * population.measurement_sd(name) for name in population.order]
    # What may be carried hangs on the mass, which is known: no margin on top of it.
    sds[population.index("weight")] = 0.0
    component = Component(sex, 1.0, mean, np.diag(np.square(sds)))
    dimensions = {}
    for name, sd in zip(population.order, sds, strict=True):
        low, high = (body[name] + _NORMAL.inv_cdf(end) * sd for end in (LOW, HIGH))
        dimensions[name] = Dimension(body[name], sd, low, high, "measured")
    return Estimate(population.name, dimensions, (component,), ())


def _p(weighed: Weighed, codes: Sequence[str]) -> float:
    """Share of the bodies that a chair fits, with its footrest if it has one."""
    chairs = weighed.chairs
    places = []
    for parts in chairs.parts[: len(CHAIR_KINDS)]:
        at = next((at for at, part in enumerate(parts) if part.code in codes), None)
        if at is None:
            return 0.0
        places.append(at)
    rows = np.flatnonzero((chairs.index == np.array(places)).all(axis=1))
    rows = np.intersect1d(rows, weighed.rows)
    if not len(rows):
        return 0.0
    rest = next((at for at, part in enumerate(weighed.rests, 1) if part.code in codes), 0)
    bits = bits_of(weighed.masks, chairs, rows[:1])[0, rest]
    return float(np.bitwise_count(bits).sum()) / weighed.n
