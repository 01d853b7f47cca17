"""The chair for a call: the choice under uncertainty, how to set it, and what to ask next.

Separate from the state because it takes ten times as long: the call screen runs it in a thread.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from consult.call.agreed import Agreed, agreed_chair
from consult.fit.ask_next import AskNext, Gain, ask_next
from consult.fit.choose import Candidate, ChairChoice, choose
from consult.fit.explanations import Rejection, near_misses, why_not
from consult.fit.range_model import CHAIR_KINDS
from consult.fit.settings import Picked, Shortfall, made_ready
from consult.fit.worth import fact_gains, open_facts, settled

if TYPE_CHECKING:
    from consult.body.population import Population
    from consult.fit.range_model import Part, Range
    from consult.fit.request import FitRequest, NeedLine
    from consult.fit.requirements import Fit
    from consult.sentence import Sentence


@dataclass(frozen=True, slots=True)
class Request:
    """Parts the caller asked for, and what is against them."""

    codes: tuple[str, ...]
    against: Rejection | None
    """None where everybody with these measures would fit."""


@dataclass(frozen=True, slots=True, eq=False)
class Chosen:
    """What to order, how sure, why not the others, and what to ask next."""

    choice: ChairChoice
    picked: Picked
    """The best chair made ready; without parts where no chair may be offered."""
    asking: AskNext
    facts: Mapping[str, Gain]
    """What hearing each open fact of the workplace would add."""
    chosen_for: FitRequest
    request: Request | None = None
    agreed: Agreed | None = None
    """The chair the caller agreed on instead of the best; then ``picked`` is that, if possible."""

    def others(self) -> Mapping[str, tuple[Candidate, Rejection | None]]:
        """'cheapest', and the best with another 'seat', 'gas_lift' or 'arms', with what failed.

        Takes a third of the time of the choice, and only a reader of reasons wants it.
        """
        return near_misses(self.chosen_for, self.choice)

    @property
    def settled(self) -> bool:
        """Whether no open answer would change the choice by much."""
        return settled(self.asking, self.facts)

    @property
    def worth_asking(self) -> Gain | None:
        """The answer worth most, of the body or of the workplace; None where all is known."""
        gains = [*self.facts.values(), *self.asking.gains]
        return max(gains, key=lambda one: one.gain, default=None)

    @property
    def ordered(self) -> Candidate | None:
        """The chair to order: the one agreed, else the best; None where there is none."""
        return self.agreed.candidate if self.agreed else self.choice.best


def chosen(
    request: FitRequest,
    population: Population,
    fit: Fit,
    codes: Sequence[str] = (),
    agreed: Sequence[str] | None = None,
) -> Chosen:
    """Choose a chair for what is known; same inputs, same choice.

    ``codes`` are parts the caller asks for, ``agreed`` those settled on (None: the best as it is);
    the rest of that chair is as chosen.
    ValueError in words for codes the range does not have, or two parts of one kind.
    """
    needs = tuple(request.needs)
    choice = choose(request)
    asking, facts = ask_next(request, population), fact_gains(request, open_facts(request))
    best = choice.best
    if best is None:
        return Chosen(choice, _none(choice.none_because, needs), asking, facts, request)
    ready = made_ready(request.range, fit, best.parts, needs)
    asked = Request(tuple(codes), why_not(request, codes, like=best)) if codes else None
    taken = None
    if agreed is not None:
        taken = agreed_chair(request, fit, agreed, like=best)
        ready = taken.picked or _none(taken.trouble, needs)
    return Chosen(choice, ready, asking, facts, request, asked, taken)


def _none(why: Sentence | None, needs: tuple[NeedLine, ...]) -> Picked:
    """No chair, and why."""
    short = (Shortfall(None, "rating", 0.0, why),) if why else ()
    return Picked({}, {}, short, 0.0, 0, (), needs)


def _plain(text: str) -> str:
    """As codes and names are compared: a slash or a point in a code is a gap, as said aloud."""
    return " ".join(re.split(r"[^a-z0-9-]+", text.casefold()))


def parts_named(range_: Range, text: str) -> tuple[str, ...]:
    """Codes of the parts on sale whose code or name stands in a text; the first of each kind.

    A fixed model stands for all its parts, but for those that are named beside it.
    """
    said = f" {_plain(text)} "

    def named(part: Part) -> bool:
        return any(f" {name} " in said for name in (_plain(part.code), _plain(part.name)) if name)

    found: dict[str, str] = {}
    models = [model for model in range_.on_sale("model") if named(model)]
    for kind in CHAIR_KINDS:
        parts = range_.on_sale(kind)
        wanted = [part for part in parts if named(part)]
        wanted += [part for part in parts for model in models if part.code in model.made_of]
        if wanted:
            found[kind] = wanted[0].code
    return tuple(found.values())
