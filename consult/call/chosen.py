"""The chair for a call: the choice under uncertainty, how to set it, and what to ask next.

Separate from the state because it takes ten times as long: the call screen runs it in a thread.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

from consult.body.plausibility import read_body
from consult.body.population_file import available, load_named
from consult.fit.assess import assess
from consult.fit.choose import Candidate, ChairChoice, choose
from consult.fit.explanations import Rejection, near_misses, why_not
from consult.fit.request import NO_ARMS_WANTED, FitRequest
from consult.fit.settings import Picked, Shortfall, made_ready
from consult.fit.worth import THRESHOLD, Gain, open_facts, open_questions, settled, worth
from consult.range.model import Range
from consult.range.parts import CHAIR_KINDS, OPTIONS, Kind, Part
from consult.recall import recall
from consult.sentence import Sentence

if TYPE_CHECKING:
    from consult.body.estimate import Estimate
    from consult.body.population import Population
    from consult.fit.request import NeedLine
    from consult.fit.requirements import Fit
    from consult.fit.workplace import Workplace
    from consult.range.model import Reach
    from consult.tree.model import Need

_REQUESTS = 16
"""Requests that are kept with a range; when there are so many, all of them are forgotten."""
SURE = 1 - THRESHOLD * 3 / 4
"""P(fits) from which nothing that is heard can add the threshold, which leaves a quarter of it for
the scatter of the bodies drawn."""


@dataclass(frozen=True, slots=True)
class Request:
    """Parts the caller asked for, and what is against them."""

    codes: tuple[str, ...]
    against: Rejection | None
    """None where everybody with these measures would fit."""


@dataclass(frozen=True, eq=False)
class Chosen:
    """What to order, how sure, why not the others, and what to ask next.

    What to ask next is worked out when it is first read: it takes longer than the choice.
    """

    choice: ChairChoice
    picked: Picked
    """The best chair made ready; without parts where no chair may be offered."""
    chosen_for: FitRequest
    still_open: Callable[[], Iterable[Gain]]
    """What is not known and what hearing it would add, the greatest first."""
    request: Request | None = None
    agreed: Agreed | None = None
    """The chair the caller agreed on instead of the best; then ``picked`` is that, if possible."""
    sure: bool = True
    """False: something is left to ask of which nobody works out what it would add."""

    @cached_property
    def asking(self) -> tuple[Gain, ...]:
        """What is not known, the most worth asking first."""
        return tuple(self.still_open())

    @cached_property
    def others(self) -> Mapping[str, tuple[Candidate, Rejection | None]]:
        """'cheapest', and the best with another 'seat', 'gas_lift' or 'arms', with what failed.

        Takes a third of the time of the choice, and only a reader of reasons wants it.
        """
        if self.chosen_for.range.fitting is not None:
            return {}
        return near_misses(self.chosen_for, self.choice)

    @property
    def settled(self) -> bool:
        """Whether no open answer would change the choice by much."""
        return self.sure and settled(self.asking)

    @property
    def worth_asking(self) -> Gain | None:
        """The answer worth most, of the body or of the workplace; None where all is known."""
        return next(iter(self.asking), None)

    @property
    def ordered(self) -> Candidate | None:
        """The chair to order: the one agreed, else the best; None where there is none."""
        return self.agreed.candidate if self.agreed else self.choice.best


def lines_of(needs: Sequence[Need]) -> tuple[NeedLine, ...]:
    """Needs as a chair is chosen for them."""
    return tuple((need.feature, need.strength, need.because) for need in needs)


def request_for(
    range_: Range, estimate: Estimate, workplace: Workplace, needs: Sequence[Need]
) -> FitRequest:
    """What a chair of this range is chosen for: the same object for the same, so that what is
    worked out of it for the next question serves the chair as well, and another tree."""
    lines = lines_of(needs)
    known: dict[object, FitRequest] = range_.kept.setdefault("requests", {})

    def made() -> FitRequest:
        return FitRequest(range_, estimate, workplace, lines, open_places=True)

    return recall(known, (estimate, workplace, lines), _REQUESTS, made)


def chosen(
    request: FitRequest,
    population: Population,
    fit: Fit,
    codes: Sequence[str] = (),
    agreed: Sequence[str] | None = None,
    *,
    nobody_asked: bool = False,
) -> Chosen:
    """Choose a chair for what is known; same inputs, same choice.

    ``codes`` are parts the caller asks for, ``agreed`` those settled on (None: the best as it is);
    the rest of that chair is as chosen. Where ``nobody_asked``, no measure is looked at that can
    no longer add enough to matter: half the work.
    ValueError in words for codes the range does not have, or two parts of one kind.
    """
    needs = tuple(request.needs)
    choice = choose(request)
    best = choice.best
    sure = nobody_asked and best is not None and best.p_fits > SURE and _weighed(request)
    asked = open_facts(request) if sure else open_questions(request)

    def still_open() -> Iterable[Gain]:
        return worth(request, population, asked).values()

    if best is None:
        return Chosen(choice, _none(choice.none_because), request, still_open)
    ready = made_ready(request.range, fit, best.parts, needs)
    wanted = Request(tuple(codes), why_not(request, codes, like=best)) if codes else None
    taken = None
    if agreed is not None:
        taken = agreed_chair(request, fit, agreed, like=best)
        ready = taken.picked or _none(taken.trouble)
    return Chosen(choice, ready, request, still_open, wanted, taken)


def _weighed(request: FitRequest) -> bool:
    """Whether the weight was heard; till then a rating may stand or fall with it."""
    return any(measure.dimension == "weight" for measure in request.estimate.used)


def _none(why: Sentence | None) -> Picked:
    """No chair, and why."""
    short = (Shortfall(None, "rating", 0.0, why),) if why else ()
    return Picked({}, {}, short, 0.0, 0, ())


def _plain(text: str) -> str:
    """As codes and names are compared: a slash or a point in a code is a gap, as said aloud."""
    return " ".join(re.split(r"[^a-z0-9-]+", text.casefold()))


def parts_named(range_: Range, text: str) -> tuple[str, ...]:
    """Codes of the parts on sale whose code or name stands in a text; the first of each kind.

    A fixed model stands for all its parts, but for those that are named beside it.
    """
    if not text.strip():
        return ()
    message = f" {_plain(text)} "

    def named(part: Part) -> bool:
        return any(
            f" {name} " in message for name in (_plain(part.code), _plain(part.name)) if name
        )

    codes: dict[str, str] = {}
    models = [model for model in range_.on_sale("model") if named(model)]
    kinds = CHAIR_KINDS if range_.fitting is None else range_.parts
    for kind in kinds:
        parts = range_.on_sale(kind)
        wanted = [part for part in parts if named(part)]
        wanted += [part for part in parts for model in models if part.code in model.made_of]
        if wanted:
            codes[kind] = wanted[0].code
    return tuple(codes.values())


# -- the chair the caller agreed on, if it is not the one suggested -------------------------------
# Every requirement is tested on it as on any other, and what it does not meet is reported. A
# chair that is not rated for the person who will sit on it cannot be agreed.

NEVER_WAIVED = "heavy_duty"


@dataclass(frozen=True, slots=True)
class Agreed:
    """A chair of parts the caller named."""

    codes: tuple[str, ...]
    """The parts named; the others are as suggested, or the likeliest that go with them."""
    candidate: Candidate | None
    """How likely it fits; None where it may not be offered, or cannot be built."""
    picked: Picked | None
    trouble: Sentence | None = None
    """Why there is no such chair; '' if there is."""


def agreed_chair(request: FitRequest, fit: Fit, codes: Sequence[str], *, like: Candidate) -> Agreed:
    """The suggested chair (``like``) with some parts replaced by these (codes of the range).

    A suggested part that does not go with them gives way to the likeliest that does.
    """
    range_, needs = request.range, request.needs
    if not codes:
        message = Sentence("That names no part of the price list. Type a part's name or code.")
        return Agreed((), None, None, message)
    named = {p.kind: p for kind in range_.parts for p in range_.on_sale(kind) if p.code in codes}
    parts: dict[Kind, Part] = {
        kind: part for kind, part in like.parts.items() if kind in CHAIR_KINDS
    } | named
    while (apart := range_.apart(parts[kind] for kind in parts if kind in CHAIR_KINDS)) is not None:
        # What was only suggested gives way to what was named.
        free = [part.kind for part in apart if part.kind not in named]
        if not free:
            message = Sentence(f"{apart[0].name} does not go with {apart[1].name}.")
            return Agreed(tuple(codes), None, None, message)
        del parts[free[0]]
    waived: list[NeedLine] = [
        (feature, strength if feature == NEVER_WAIVED else "prefer", because)
        for feature, strength, because in needs
    ]
    if "arms" in parts and NO_ARMS_WANTED in parts["arms"].features:
        # Who settles on a chair without armrests wants none: it fits body and desk as well as any,
        # and that the elbows rest on nothing is told beside it.
        waived.append((NO_ARMS_WANTED, "prefer", ""))
    alone = replace(range_, parts=_only(range_.parts, parts))
    chair_choice = choose(replace(request, range=alone, needs=waived, kept={}))
    if chair_choice.best is None:
        return Agreed(tuple(codes), None, None, chair_choice.none_because)
    return Agreed(
        tuple(codes), chair_choice.best, made_ready(alone, fit, chair_choice.best.parts, needs)
    )


def _only(
    every: Mapping[Kind, tuple[Part, ...]], parts: Mapping[Kind, Part]
) -> dict[Kind, tuple[Part, ...]]:
    """The range with no other parts of the kinds chosen."""
    return {kind: (parts[kind],) if kind in parts else of for kind, of in every.items()}


# -- how much the choice of population changes a recommendation -----------------------------------

NOTICED = 5.0
"""mm; less is below what anybody sets a chair to (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Moved:
    """What another population would have recommended instead."""

    population: str
    """Its id."""
    name: str
    by: Mapping[str, float]
    """Requirement -> mm that its target lies higher (lower: negative), where that is noticed."""
    parts: tuple[str, ...]
    """Codes of the chair it would have chosen, where that is another; else empty."""


def moved(
    population: Population,
    estimate: Estimate,
    workplace: Workplace,
    fit: Fit,
    *,
    reach: Reach | None = None,
    request: FitRequest | None = None,
    now: Chosen | None = None,
) -> tuple[Moved, ...]:
    """The results from every other population, if they differ.

    ``reach`` is what ``fit`` was worked out with, ``request`` what ``now`` was chosen for.
    """
    measures = (*estimate.used, *estimate.set_aside)
    groups = [component.group for component in estimate.components]
    sex = groups[0] if len(groups) == 1 else None
    moveds = []
    for other_id in available():
        if other_id == population.id:
            continue
        people = load_named(other_id)
        body, _ = read_body(people, measures, sex)
        then = assess(body, workplace, reach)
        by = dict(_differences(fit, then))
        parts: tuple[str, ...] = ()
        if request is not None and now is not None:
            codes = _chair(replace(request, estimate=body, kept={}), then)
            parts = codes if codes != _codes(now.picked) else ()
        if by or parts:
            moveds.append(Moved(other_id, people.name, by, parts))
    return tuple(moveds)


def _differences(fit: Fit, then: Fit) -> Iterator[tuple[str, float]]:
    for name, requirement in fit.requirements.items():
        after = then.requirements.get(name)
        if after is not None and abs(after.target - requirement.target) >= NOTICED:
            yield name, after.target - requirement.target


def _chair(request: FitRequest, fit: Fit) -> tuple[str, ...]:
    best = choose(request).best
    if best is None:
        return ()
    ready = made_ready(request.range, fit, best.parts, request.needs)
    return _codes(ready)


def _codes(picked: Picked) -> tuple[str, ...]:
    """The parts that depend on the body."""
    return tuple(part.code for kind, part in picked.parts.items() if kind not in OPTIONS)
