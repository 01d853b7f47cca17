"""The configuration most likely to fit, out of everything the range can build.

P(fits) is the share of drawn bodies whose every demand a configuration meets. Chairs are compared
by P(fits) first - two that differ by less than the standard error of their difference are tied -
then by fewest compromises, then price, lead time and place in the range file. Compromises are
preferred features missing, and a footrest, for a lower chair comes before one.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from consult.fit.pick import chair_has
from consult.fit.weigh import RANKED, carrying, having, weigh
from consult.sentence import Sentence

if TYPE_CHECKING:
    from consult.fit.range_model import Kind, Part
    from consult.fit.request import FitRequest
    from consult.fit.weigh import Weighed


@dataclass(frozen=True, slots=True)
class Candidate:
    """One configuration that can be ordered."""

    parts: Mapping[Kind, Part]
    """The chair, and the footrest if it needs one."""
    p_fits: float
    """Share of the bodies the caller may have for whom everything fits."""
    se: float
    """Standard error of ``p_fits`` from drawing bodies."""
    per_requirement: Mapping[str, tuple[float, float]]
    """Requirement -> share of bodies that have it met, and its standard error."""
    compromises: tuple[str, ...]
    """Preferred features missing, and 'footrest' where one is needed."""
    price: float
    """In the range's currency."""
    lead_days: int


@dataclass(frozen=True, slots=True)
class Choice:
    """What to order, how sure that is, and what else came close."""

    best: Candidate | None
    """None where no chair may be offered; ``none_because`` says why."""
    tied: tuple[Candidate, ...]
    """The first of the others that fit as likely, with as few compromises; only price, lead time
    or place in the range file put them behind the best."""
    tied_count: int
    """All of those."""
    ranked: tuple[Candidate, ...]
    """The first ten, the best included."""
    alternatives: Mapping[str, Candidate]
    """'cheapest' of the eligible, and the best with another 'seat', 'gas_lift' or 'arms'."""
    eligible: int
    """Chairs that can be built, have the features needed and are rated for the caller."""
    left_out: Mapping[str, str]
    """Requirement that could not be tested -> why."""
    n: int
    seed: int
    none_because: Sentence | None = None


def choose(request: FitRequest) -> Choice:
    """The chair most likely to fit the caller, of all the range builds; same inputs, same choice.

    No chair rated below what the caller may well weigh, or that stays below the lowest seat they
    may sit on, is ever offered.

    Raises:
        ValueError: the range builds no chair at all; a range that was loaded builds some.
    """
    weighed = weigh(request)
    left_out, n, seed = weighed.demands.left_out, weighed.n, request.seed
    if not len(weighed.rows):
        return Choice(None, (), 0, (), {}, 0, left_out, n, seed, _none_because(weighed))
    ranked, tied = weighed.ranking()
    best = ranked[0]
    others = weighed.alternatives(best)
    wanted = list(dict.fromkeys([*ranked, *tied[:RANKED], *others.values()]))
    told = dict(zip(wanted, _candidates(weighed, wanted), strict=True))
    return Choice(
        best=told[best],
        tied=tuple(told[at] for at in tied[:RANKED]),
        tied_count=len(tied),
        ranked=tuple(told[at] for at in ranked),
        alternatives={name: told[at] for name, at in others.items()},
        eligible=len(weighed.rows),
        left_out=left_out,
        n=n,
        seed=seed,
    )


def _candidates(weighed: Weighed, positions: Sequence[int]) -> list[Candidate]:
    """The chairs at these positions, told in full."""
    sets = weighed.set_of[positions]
    missed = weighed.missed(weighed.rows[positions], weighed.rest[sets])
    met = {name: (amount == 0).mean(axis=1).tolist() for name, amount in missed.items()}
    return [
        _candidate(weighed, at, {name: shares[place] for name, shares in met.items()})
        for place, at in enumerate(positions)
    ]


def _candidate(weighed: Weighed, at: int, met: Mapping[str, float]) -> Candidate:
    parts = weighed.chairs.chair(int(weighed.rows[at]))
    short = [name for name in weighed.request.preferred if not chair_has(parts.values(), name)]
    rest = int(weighed.rest[weighed.set_of[at]])
    if rest:
        parts["footrest"] = weighed.rests[rest - 1]
        short.append("footrest")
    n = weighed.n
    p = int(weighed.fits[weighed.set_of[at]]) / n
    return Candidate(
        parts=parts,
        p_fits=p,
        se=_se(p, n),
        per_requirement={name: (share, _se(share, n)) for name, share in met.items()},
        compromises=tuple(short),
        price=int(weighed.pence[at]) / 100,
        lead_days=max(part.lead_days for part in parts.values()),
    )


def _none_because(weighed: Weighed) -> Sentence:
    """Why no chair may be offered."""
    request, chairs = weighed.request, weighed.chairs
    must, lowest = request.musts, request.lowest_seat
    featured = having(chairs, must)
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


def _se(share: float, n: int) -> float:
    return math.sqrt(share * (1 - share) / n)
