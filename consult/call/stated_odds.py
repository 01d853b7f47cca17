"""The odds a call ended with, as a line of the finished call, to be compared with what happened."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from consult.call.private import without_health
from consult.call.state import OTHER, state_so_far, with_chair
from consult.call.worth import call_seconds

if TYPE_CHECKING:
    from consult.call.basis import Basis
    from consult.call.state import State

_TEXT = re.compile(
    r"(\d{1,3}(?:\.\d)?) of 100 fit; (\d{1,4}) questions"
    r"(?:; (\d{1,6}) s)?(?:; parts ([A-Z0-9./, -]+))?"
)


@dataclass(frozen=True, slots=True)
class StatedOdds:
    """How sure consult was of the chair that was agreed."""

    fits: float
    """Chance that it fits, and that no part known to fail comes back, 0 to 1."""
    questions: int
    """How many were answered, those about health apart."""
    parts: tuple[str, ...] = ()
    """Codes of the chair; empty where health answers bear on them."""
    seconds: int | None = None
    """The answers timed, together; None where none was."""

    @property
    def text(self) -> str:
        """As it is stored; ``read_odds`` reads it."""
        took = "" if self.seconds is None else f"; {self.seconds} s"
        parts = f"; parts {', '.join(self.parts)}" if self.parts else ""
        return f"{100 * self.fits:.1f} of 100 fit; {self.questions} questions{took}{parts}"


def read_odds(text: str) -> StatedOdds | None:
    """What a stored line says; None where it is none."""
    found = _TEXT.fullmatch(text)
    if found is None or float(found[1]) > 100:
        return None
    parts = tuple(found[4].split(", ")) if found[4] else ()
    seconds = int(found[3]) if found[3] else None
    return StatedOdds(float(found[1]) / 100, int(found[2]), parts, seconds)


def stated_odds(basis: Basis, now: State) -> StatedOdds | None:
    """The odds of the chair agreed on; None where none was, or the call was stopped.

    ``now`` is a finished call with its chair chosen. Parts are stored only if they would be the
    same without any health answer, so that they tell nothing about health.
    """
    taken = _agreed_parts(now)
    if taken is None or now.chosen is None or now.chosen.ordered is None:
        return None
    open_to_all = [step for step in now.steps if step.question.private != "health"]
    answered = sum(step.status == "answered" for step in open_to_all)
    bare = without_health(basis.tree, now.call)
    plain: tuple[str, ...] | None = taken
    if bare.answers != now.call.answers:
        plain = _agreed_parts(with_chair(basis, state_so_far(basis, bare)))
    took = [one.took for one in now.call.answers]
    seconds = round(call_seconds(took)) if any(one is not None for one in took) else None
    parts = taken if plain == taken else ()
    return StatedOdds(now.chosen.ordered.p_fits * _lasts(basis, taken), answered, parts, seconds)


def _lasts(basis: Basis, parts: tuple[str, ...]) -> float:
    """Chance that no part of a chair comes back with a fault, by what was learned."""
    faults = basis.learned.of("fault")
    return math.prod(1 - faults.get(code, 0.0) / 100 for code in parts)


def _agreed_parts(now: State) -> tuple[str, ...] | None:
    """Codes of the chair agreed on; None where there is none."""
    ordered = now.chosen.ordered if now.chosen else None
    if ordered is None or now.stopped is not None or now.agreed not in ("recommended", OTHER):
        return None
    return tuple(part.code for part in ordered.parts.values())
