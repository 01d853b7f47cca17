"""What else could be done about a desk too high or too low, or legs too short for the chair.

The chair stays the one chosen except for its gas lift and footrest, so that what is paid and what
is gained comes from the way out alone. All of it is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray

from consult.fit.ranking import FOOTREST_WORTH, NOTHING_FITS, Weighed, weigh
from consult.fit.rules import RuleSource, sitter_of
from consult.fit.seating import Seating
from consult.fit.workplace import Desk, Workplace
from consult.range.chairs import codes_of
from consult.range.model import Range, Reach
from consult.range.parts import CHAIR_KINDS, Kind, Part
from consult.sentence import Sentence

if TYPE_CHECKING:
    from consult.body.population import Array
    from consult.fit.choose import Candidate, ChairChoice
    from consult.fit.request import FitRequest


WayOut = Literal["footrest", "shorter_gas_lift", "lower_desk", "raise_desk"]
_Moved = Callable[..., Iterator["Option"]]
"""A way out with the desk at another height."""


@dataclass(frozen=True, slots=True)
class Option:
    """One way out, with what it brings and what it costs."""

    name: WayOut
    parts: Mapping[Kind, Part]
    """The chair chosen, with the gas lift, footrest or desk raiser of this way out."""
    p_fits: float
    """Share of the bodies the caller may have that it fits, the desk moved where it says so."""
    price_difference: float
    """Over the chair chosen, in the range's currency; below zero: cheaper. Work on the desk is
    not in it, a desk raiser on sale is."""
    cost: Sentence
    """What is given up for it."""
    reason: Sentence
    """What it is good for."""
    source: tuple[str, ...] = RuleSource.COMMON


@dataclass(frozen=True, slots=True, eq=False)
class LiftChoices:
    """The chosen chair with each gas lift it may have, held against the bodies at one desk."""

    best: Candidate
    weighed: Weighed
    rows: NDArray[np.intp]
    p: Array
    """Lift x footrest: none, then each on sale."""

    @property
    def reach(self) -> Array:
        """Lowest and highest loaded seat of each."""
        return self.weighed.chairs.heights[self.weighed.chairs.height_of[self.rows]]

    @property
    def cheapest(self) -> int:
        """The maker's ordinary gas lift."""
        return int(np.argmin(self.weighed.chairs.pence[self.rows]))

    def _own(self) -> tuple[int, int] | None:
        codes = codes_of(self.best.parts)
        places = np.flatnonzero(self.rows == self.weighed.chairs.row_of(codes))
        return (int(places[0]), self.weighed.rest_of(codes)) if len(places) else None

    def option(
        self,
        name: WayOut,
        at: tuple[int, int],
        cost: Sentence,
        reason: Sentence,
        raiser: Part | None = None,
    ) -> Option:
        """A way out by a gas lift and footrest, with its price."""
        lift, rest = at
        parts = self.weighed.chairs.chair(int(self.rows[lift]))
        if rest:
            parts["footrest"] = self.weighed.rests[rest - 1]
        if raiser is not None:
            parts["desk_raiser"] = raiser
        more = round(self.weighed.request.range.price_of(parts) - self.best.price, 2)
        return Option(name, parts, float(self.p[at]), more, cost, reason)

    def likeliest(self, usable: NDArray[np.bool_]) -> tuple[int, int] | None:
        """Lift and footrest that fit most often, to the percent; the cheaper among equals.

        The chosen one itself where it may be used and little is lost by it.
        """
        usable = usable & (self.p >= NOTHING_FITS)
        if not usable.any():
            return None
        own = self._own()
        if own is not None and usable[own] and self.p[own] >= self.p[usable].max() - FOOTREST_WORTH:
            return own
        rests = [0.0, *(part.price for part in self.weighed.rests)]
        pence = self.weighed.chairs.pence[self.rows][:, None] + np.round(100 * np.array(rests))
        places = np.argwhere(usable)
        keys = (pence[usable], -np.round(self.p[usable], 2))
        lift, rest = places[np.lexsort(keys)[0]]
        return int(lift), int(rest)


def lifts_of(weighed: Weighed, best: Candidate) -> LiftChoices:
    like = weighed.chairs.places_of(codes_of(best.parts))
    others = [axis for axis, kind in enumerate(CHAIR_KINDS) if kind != "gas_lift"]
    assert like is not None  # it was chosen from this range
    same = weighed.chairs.index[weighed.rows][:, others] == like[others]
    rows = weighed.rows[same.all(axis=1)]
    return LiftChoices(best, weighed, rows, weighed.counts(rows) / weighed.n)


def trade_offs(request: FitRequest, choice: ChairChoice) -> tuple[Option, ...]:
    """The ways out that apply, the likeliest to fit first; the one chosen may be among them.

    Empty where there is nothing to weigh: desk and legs suit the chair, or no chair was chosen. A
    desk that moves, or is not bought yet, is neither lowered nor raised here.

    Raises:
        ValueError: the range builds no chair at all; a range that was loaded builds some.
    """
    best = choice.best
    if best is None:
        return ()
    range_, estimate, workplace = request.range, request.estimate, request.workplace

    def at(place: Workplace) -> LiftChoices:
        there = request if place is workplace else replace(request, workplace=place, kept={})
        return lifts_of(weigh(there), best)

    here = at(workplace)
    reach = Reach((float(here.reach[:, 0].min()), float(here.reach[:, 1].max())))
    sitter = sitter_of(estimate, workplace)
    seated = Seating(sitter, workplace.desk, reach)
    suits = Seating(sitter, Desk(thickness=workplace.desk.thickness), reach).desk_height
    high = _desk_too_high(here.weighed)
    short = _legs_too_short(here)
    options = [*_at_the_chair(here, seated, high, short)]

    def moved(
        name: WayOut, height: float, cost: Sentence, reason: Sentence, raiser: Part | None = None
    ) -> Iterator[Option]:
        """The desk at another height, and no footrest."""
        there = at(replace(workplace, desk=replace(workplace.desk, height=height)))
        place = there.likeliest(np.arange(there.p.shape[1]) == 0)
        if place is not None:
            yield there.option(name, place, cost, reason, raiser)

    height = workplace.desk.height
    if workplace.desk.kind == "fixed" and height is not None:
        if high:
            options += _lowered(moved, height, suits)
        if seated.desk_raise:
            options += _raised(moved, range_, height, seated)
    return tuple(
        sorted(options, key=lambda option: (-round(option.p_fits, 2), option.price_difference))
    )


def _desk_too_high(weighed: Weighed) -> bool:
    """Too many bodies would hang their feet from the seat that the desk asks for."""
    asked = weighed.demands
    if asked.reach_up is None or asked.later is not None:
        return False
    return bool((asked.reach_up > asked.heights[0][1]).mean() >= FOOTREST_WORTH)


def _legs_too_short(here: LiftChoices) -> bool:
    """Too many bodies would hang their feet from the ordinary gas lift at its lowest."""
    lowest = here.reach[here.cheapest, 0]
    return bool((here.weighed.demands.heights[0][1] < lowest).mean() >= FOOTREST_WORTH)


def _at_the_chair(here: LiftChoices, seated: Seating, high: bool, short: bool) -> Iterator[Option]:
    """A footrest, a shorter gas lift."""
    if not (high or short):
        return
    ordinary, lows = here.cheapest, here.reach[:, 0]
    worth = here.p >= here.p[:, :1] + FOOTREST_WORTH
    if not high:
        # A longer gas lift than the ordinary one would make the very trouble a footrest cures.
        worth &= (lows <= lows[ordinary])[:, None]
    at = here.likeliest(worth)
    if at is not None:
        raised = seated.footrest if high else float(lows[at[0]]) - seated.legs
        yield here.option(
            "footrest",
            at,
            Sentence("You cannot move your feet freely; they stay on the footrest."),
            _footrest_reason(raised, high),
        )
    better = np.zeros(here.p.shape, np.bool_)
    if short:
        better[:, 0] = (lows < lows[ordinary]) & (
            here.p[:, 0] >= here.p[ordinary, 0] + FOOTREST_WORTH
        )
    at = here.likeliest(better)
    if at is not None:
        lowest, highest = (float(end) for end in here.reach[at[0]])
        less = float(here.reach[ordinary, 1]) - highest
        lengths, cost = {}, "The chair does not suit other people who are taller."
        if round(less) > 0:
            cost = "The seat rises <less> less, so the chair suits tall people less well."
            lengths["less"] = less
        if seated.too_high:
            cost += " The desk stays <high> too high for your arms."
            lengths["high"] = seated.too_high
        message = "The seat comes down to <lowest>, so your feet stand flat on the floor."
        reason = Sentence(message, {"lowest": max(lowest, seated.floor)})
        yield here.option("shorter_gas_lift", at, Sentence(cost, lengths), reason)


def _footrest_reason(raised: float, high: bool) -> Sentence:
    if round(raised) <= 0:
        # The likeliest body just does without; many of the others do not.
        return Sentence("Your feet may not reach the floor; a footrest carries them.")
    why = "The desk keeps the seat up" if high else "The seat does not go low enough for your legs"
    message = f"{why}; a footrest carries your feet <amount> above the floor."
    return Sentence(message, {"amount": raised})


def _lowered(moved: _Moved, height: float, suits: float) -> Iterator[Option]:
    amount = height - suits
    if round(amount) <= 0:
        return
    cost = Sentence("No footrest; the desk must lose <amount>.", {"amount": amount})
    message = "With the desk at <height> your elbows suit it while your feet stand on the floor."
    yield from moved("lower_desk", suits, cost, Sentence(message, {"height": suits}))


def _raised(moved: _Moved, range_: Range, height: float, seated: Seating) -> Iterator[Option]:
    amount = seated.desk_raise
    if round(amount) <= 0:
        return
    reaching = [
        part
        for part in range_.on_sale("desk_raiser")
        if part.raises is not None and part.raises[0] <= amount <= part.raises[1]
    ]
    cost = "The desk must stand <amount> higher, for everyone who works at it"
    if not reaching:
        cost += "; this range has nothing that raises it by so much"
    why = (
        "As it stands, the desk is <amount> too low for your arms."
        if seated.too_low
        else "As it stands, the desk leaves your thighs <amount> short of room."
    )
    lengths = {"amount": amount}
    raiser = min(reaching, key=lambda part: part.price, default=None)
    sentences = Sentence(f"{cost}.", lengths), Sentence(why, lengths)
    yield from moved("raise_desk", height + amount, *sentences, raiser)
