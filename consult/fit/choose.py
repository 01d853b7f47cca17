"""The configuration most likely to fit, out of everything the range can build.

P(fits) is the share of drawn bodies whose every demand a configuration meets. Chairs are compared
by P(fits) first, then by fewest compromises, then price, lead time and place in the range file. Two
are tied that differ by less than half in 100, or than the standard error of their difference.
Compromises are preferred features missing, and a footrest, for a lower chair comes before one; a
footrest that most bodies need counts twice.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from consult.body.estimate import Component, Estimate, dimension_at
from consult.fit.ranking import RANKED, Weighed, carrying, weigh
from consult.fit.request import FitRequest, NeedLine
from consult.range.model import Range
from consult.range.parts import Kind, Part, chair_has
from consult.sentence import Sentence

if TYPE_CHECKING:
    from consult.body.measured import Sex
    from consult.body.population import Population
    from consult.fit.workplace import Workplace

_ROUND_IT = 1000
"""Bodies drawn round the true one."""


@dataclass(frozen=True)
class Candidate:
    """One configuration that can be ordered."""

    parts: Mapping[Kind, Part]
    """The chair, and the footrest if it needs one."""
    p_fits: float
    """Share of the bodies the caller may have for whom everything fits."""
    se: float
    """Standard error of ``p_fits`` from drawing bodies."""
    compromises: tuple[str, ...]
    """Preferred features missing, and 'footrest' where one is needed."""
    price: float
    """In the range's currency."""
    lead_days: int
    n: int
    """Bodies drawn."""
    shares: Callable[[], Mapping[str, float]] = field(repr=False, compare=False)
    """Requirement -> share of them that have it met; worked out when somebody reads it."""

    @cached_property
    def per_requirement(self) -> Mapping[str, tuple[float, float]]:
        """The shares with their standard errors."""
        return {name: (share, share_error(share, self.n)) for name, share in self.shares().items()}


@dataclass(frozen=True)
class ChairChoice:
    """What to order, how sure that is, and what else came close.

    What else came close is told when it is first asked for: it takes as long as the choice itself.
    """

    best: Candidate | None
    """None where no chair may be offered; ``none_because`` says why."""
    tied_count: int
    """All of the others that fit as likely as the best, with as few compromises."""
    eligible: int
    """Chairs that can be built, have the features needed and are rated for the caller."""
    left_out: Mapping[str, str]
    """Requirement that could not be tested -> why."""
    n: int
    seed: int
    none_because: Sentence | None = None
    _weighed: Weighed | None = field(default=None, repr=False, compare=False)
    _first: Sequence[int] = ()
    """Place of the best among the weighed; ``_tied`` are those of the others."""
    _tied: Sequence[int] = ()

    @cached_property
    def ranked(self) -> tuple[Candidate, ...]:
        """The first ten, the best included."""
        return self._told(self._weighed.ranking()[0]) if self._weighed else ()

    @cached_property
    def tied(self) -> tuple[Candidate, ...]:
        """The first ten of the tied; only price, lead time or place in the range file put them
        behind the best."""
        return self._told(self._tied)

    @cached_property
    def alternatives(self) -> Mapping[str, Candidate]:
        """'cheapest' of the eligible, and the best with another 'seat', 'gas_lift' or 'arms'."""
        if self._weighed is None:
            return {}
        others = self._weighed.alternatives(self._first[0])
        return dict(zip(others, self._told([*others.values()]), strict=True))

    def _told(self, places: Sequence[int]) -> tuple[Candidate, ...]:
        return tuple(_candidate(self._weighed, at) for at in places) if self._weighed else ()


def choose(request: FitRequest) -> ChairChoice:
    """The chair most likely to fit the caller, of all the range builds; same inputs, same choice.

    No chair rated below what the caller may well weigh, or that stays below the lowest seat they
    may sit on, is ever offered.

    Raises:
        ValueError: the range builds no chair at all; a range that was loaded builds some.
    """
    weighed = weigh(request)
    left_out, n, seed = weighed.demands.left_out, weighed.n, request.seed
    if not len(weighed.rows):
        return ChairChoice(None, 0, 0, left_out, n, seed, _none_because(weighed))
    first, tied = weighed.ranking(1)
    return ChairChoice(
        best=_candidate(weighed, first[0]),
        tied_count=len(tied),
        eligible=len(weighed.rows),
        left_out=left_out,
        n=n,
        seed=seed,
        _weighed=weighed,
        _first=first,
        _tied=tied[:RANKED],
    )


def _candidate(weighed: Weighed, at: int) -> Candidate:
    """The chair at this position, told in full."""
    row, of, n = int(weighed.rows[at]), int(weighed.set_of[at]), weighed.n
    parts, rest = weighed.chairs.chair(row), int(weighed.rest[of])
    short = [name for name in weighed.request.preferred if not chair_has(parts.values(), name)]
    if rest:
        parts["footrest"] = weighed.rests[rest - 1]
        short.append("footrest")

    def shares() -> dict[str, float]:
        missed = weighed.missed([row], [rest])
        return {name: float((amount == 0).mean()) for name, amount in missed.items()}

    p = int(weighed.fits[of]) / n
    return Candidate(
        parts=parts,
        p_fits=p,
        se=share_error(p, n),
        compromises=tuple(short),
        price=int(weighed.pence[at]) / 100,
        lead_days=max(part.lead_days for part in parts.values()),
        n=n,
        shares=shares,
    )


def _none_because(weighed: Weighed) -> Sentence:
    """Why no chair may be offered."""
    request, chairs = weighed.request, weighed.chairs
    must, lowest = request.musts, request.lowest_seat
    featured = chairs.having(*must)
    if featured.any():
        carries = featured & carrying(request, chairs)
        if carries.any() and lowest is not None:
            return Sentence(
                "No seat of this range that has what is needed goes up to <lowest>, and you may "
                "sit no lower; none of them may be offered.",
                {"lowest": lowest},
            )
        return Sentence(
            "No chair of this range that has what is needed is rated to carry this weight; "
            "none of them may be offered."
        )
    lacking = [name for name in must if not chairs.having(name).any()]
    if lacking:
        return Sentence(f"No chair of this range has what is needed: {_words(lacking)}.")
    return Sentence(f"No chair of this range has all of what is needed: {_words(must)}.")


def _words(features: Sequence[str]) -> str:
    return ", ".join(name.replace("_", " ") for name in features)


def share_error(share: float, n: int) -> float:
    """Standard error of a share of so many bodies drawn."""
    return math.sqrt(share * (1 - share) / n)


@dataclass(frozen=True, slots=True, eq=False)
class TrueFit:
    """Every chair of a range held against one true body."""

    request: FitRequest
    """For bodies round the true one."""
    exact: Weighed
    """The true one alone."""

    @property
    def round_it(self) -> Weighed:
        """Bodies round the true one, weighed when they are first asked for."""
        return weigh(self.request)

    @property
    def best(self) -> float:
        """P(fits) of the best chair that may be offered; 0 where none may."""
        return self.round_it.best

    def p_fits(self, codes: Sequence[str]) -> float:
        """P(fits) of the chair of these parts; 0 where it may not be offered to this caller."""
        return self.round_it.p_fits(codes)

    def fits(self, codes: Sequence[str]) -> bool:
        """Whether the chair of these parts fits the true body itself."""
        return self.exact.p_fits(codes) == 1.0


def true_fit(
    range_: Range,
    population: Population,
    body: Mapping[str, float],
    sex: Sex,
    workplace: Workplace,
    needs: Sequence[NeedLine],
) -> TrueFit:
    """Hold a range against a body, mm and kg, at a workplace, with the features it needs."""

    def known(scale: float, n: int) -> FitRequest:
        there = known_exactly(population, body, sex, scale)
        return FitRequest(range_, there, workplace, needs, body["weight"], n=n)

    return TrueFit(known(1.0, _ROUND_IT), weigh(known(0.0, 1)))


def known_exactly(
    population: Population, body: Mapping[str, float], sex: Sex, scale: float = 1.0
) -> Estimate:
    """A body that is known, as an estimate: its spread is the error of self-measuring, scaled."""
    mean = np.array([body[name] for name in population.order], np.float64)
    sds = [scale * population.measurement_sd(name) for name in population.order]
    # What may be carried hangs on the mass, which is known: no margin on top of it.
    sds[population.index("weight")] = 0.0
    component = Component(sex, 1.0, mean, np.diag(np.square(sds)))
    dimensions = {
        name: dimension_at((component,), at, "measured") for at, name in enumerate(population.order)
    }
    return Estimate(population.name, dimensions, (component,), ())
