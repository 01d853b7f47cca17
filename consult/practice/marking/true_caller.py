"""What a chair is worth to the true body at the true desk, whatever was measured of it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING

from consult.call.state import state_so_far
from consult.fit.true_fit import TrueFit, true_fit
from consult.practice.effects import FIGURES
from consult.practice.marking.table import AS_GOOD, SEAT_OFF

if TYPE_CHECKING:
    from consult.call.basis import Basis
    from consult.practice.acts import Recommend
    from consult.practice.marking.led import Led
    from consult.practice.model import Persona


@dataclass(frozen=True, slots=True)
class Worth:
    """A recommendation held against the true caller."""

    p: float
    """P(fits): share of people with the caller's true measures whom the chair fits."""
    best: float
    """The same of the best chair of the range that may be offered."""
    exact: bool
    """It fits the true body itself."""
    seat_off: float | None
    """mm that the seat was set too high, or too low below 0; None where either is not known."""

    @property
    def chair_fits(self) -> bool:
        """It fits the true body, or as well as any of the range."""
        return self.exact or self.p >= self.best - AS_GOOD

    @property
    def seat_fits(self) -> bool:
        """The seat was set near enough to where the true body needs it."""
        return self.seat_off is None or abs(self.seat_off) <= SEAT_OFF


def worth(basis: Basis, persona: Persona, best: Led, said: Recommend) -> Worth | None:
    """What a recommendation is worth; None without a range of chairs, or without a chair.

    ``best`` is a good adviser's call, which knows what is asked of this caller.
    """
    found, seat = _held(basis, persona, best)
    if found is None or not said.parts:
        return None
    off = None if seat is None or said.seat_height is None else said.seat_height - seat
    return Worth(found.p_fits(said.parts), found.best, found.fits(said.parts), off)


@lru_cache(maxsize=32)
def _held(basis: Basis, persona: Persona, best: Led) -> tuple[TrueFit | None, float | None]:
    """The range against the true body at the true desk, and the seat height it needs, mm."""
    if basis.range is None:
        return None, None
    questions, call = basis.tree.questions, best.state.call
    answers = tuple(
        replace(one, said=persona.truth[one.question])
        if questions[one.question].answer in FIGURES
        else one
        for one in call.answers
    )
    true = state_so_far(basis, replace(call, answers=answers))
    needs = tuple((need.feature, need.strength, need.because) for need in true.needs)
    seat = true.fit.quantities.get("seat_height") if true.fit else None
    height = float(seat) if seat is not None and not isinstance(seat, bool) else None
    found = true_fit(
        basis.range, basis.population, persona.body, persona.sex, true.workplace, needs
    )
    return found, height
