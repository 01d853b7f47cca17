"""The chair for a call: chosen under uncertainty, made ready, and what would settle it.

Apart from the state because it takes ten times as long: the desk works it out beside the call.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from consult.call.agreed import Agreed, agreed_chair
from consult.fit.ask_next import AskNext, ask_next
from consult.fit.choose import Candidate, Choice, choose
from consult.fit.pick import NeedLine, Picked, made_ready
from consult.fit.range_model import CHAIR_KINDS
from consult.fit.shortfall import Shortfall
from consult.fit.weigh import RATED_FOR
from consult.fit.why_not import Rejection, near_misses, why_not

if TYPE_CHECKING:
    from consult.body.estimate import Estimate
    from consult.body.population import Population
    from consult.fit.range_model import Range
    from consult.fit.result import Fit
    from consult.fit.workplace import Workplace
    from consult.sentence import Sentence


@dataclass(frozen=True, slots=True)
class Request:
    """Parts the caller asked for, and what speaks against them."""

    codes: tuple[str, ...]
    against: Rejection | None
    """None where everybody with these measures would fit."""


@dataclass(frozen=True, slots=True, eq=False)
class Chosen:
    """What to order, how sure, why not the others, and what to ask next."""

    choice: Choice
    picked: Picked
    """The best chair made ready; without parts where no chair may be offered."""
    others: Mapping[str, tuple[Candidate, Rejection | None]]
    """'cheapest', and the best with another 'seat', 'gas_lift' or 'arms', with what failed."""
    asking: AskNext
    needs: tuple[NeedLine, ...]
    """The features it was chosen for."""
    request: Request | None = None
    agreed: Agreed | None = None
    """What the caller settled on instead of the best; then ``picked`` is that, if it can be."""

    @property
    def ordered(self) -> Candidate | None:
        """The chair to order: the one agreed, else the best; None where there is none."""
        return self.agreed.candidate if self.agreed else self.choice.best


def chosen(
    range_: Range,
    population: Population,
    estimate: Estimate,
    workplace: Workplace,
    fit: Fit,
    needs: tuple[NeedLine, ...],
    request: Sequence[str] = (),
    agreed: Sequence[str] | None = None,
) -> Chosen:
    """Choose a chair for what is known; same inputs, same choice.

    ``request`` are the codes of parts the caller asks for, ``agreed`` of those settled on (None:
    the best as it is); the rest of that chair is as chosen.
    ValueError in words for codes the range does not have, or two parts of one kind.
    """
    mass = mass_heard(estimate)
    choice = choose(range_, estimate, workplace, needs, mass_heard=mass)
    others = near_misses(range_, estimate, workplace, needs, choice, mass_heard=mass)
    asking = ask_next(range_, estimate, workplace, needs, population, mass_heard=mass)
    if choice.best is not None:
        ready = made_ready(range_, fit, choice.best.parts, needs)
        asked = None
        if request:
            like = choice.best
            against = why_not(
                range_, estimate, workplace, needs, request, like=like, mass_heard=mass
            )
            asked = Request(tuple(request), against)
        settled = None
        if agreed is not None:
            settled = agreed_chair(
                range_,
                estimate,
                workplace,
                fit,
                needs,
                agreed,
                like=choice.best,
                mass_heard=mass,
            )
            ready = settled.picked or _none(settled.trouble, needs)
        return Chosen(choice, ready, others, asking, needs, asked, settled)
    return Chosen(choice, _none(choice.none_because, needs), others, asking, needs)


def _none(why: Sentence | None, needs: tuple[NeedLine, ...]) -> Picked:
    """No chair, and why."""
    short = (Shortfall(None, "rating", 0.0, why),) if why else ()
    return Picked({}, {}, short, 0.0, 0, (), needs)


def mass_heard(estimate: Estimate) -> float | None:
    """The most the caller may well weigh by what was said, kg, believed or not: 19 in 20 who say
    as much weigh less. Ratings must cover it."""
    measures = (*estimate.used, *estimate.set_aside)
    told = (one.value + RATED_FOR * one.sd for one in measures if one.dimension == "weight")
    return max(told, default=None)


def parts_named(range_: Range, text: str) -> tuple[str, ...]:
    """Codes of the parts on sale whose code or name stands in a text; the first of each kind."""
    said = f" {' '.join(re.split(r'[^a-z0-9-]+', text.casefold()))} "
    found: dict[str, str] = {}
    for kind in CHAIR_KINDS:
        for part in range_.on_sale(kind):
            names = (part.code.casefold(), part.name.casefold())
            if any(f" {name} " in said for name in names):
                found.setdefault(kind, part.code)
    return tuple(found.values())
