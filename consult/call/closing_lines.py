"""The lines added to a finished call: the odds it ended with, and what came of its chair.

Neither has anything of health in it. They are read without the rest of a call, and so lightly.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal, cast, get_args

from consult.call.call import without_health
from consult.call.worth import call_seconds

if TYPE_CHECKING:
    from consult.call.basis import Basis
    from consult.call.state import State

# -- the odds, to be compared with what happened --------------------------------------------------

_ODDS = re.compile(
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
    match = _ODDS.fullmatch(text)
    if match is None or float(match[1]) > 100:
        return None
    parts = tuple(match[4].split(", ")) if match[4] else ()
    seconds = int(match[3]) if match[3] else None
    return StatedOdds(float(match[1]) / 100, int(match[2]), parts, seconds)


def stated_odds(basis: Basis, now: State) -> StatedOdds | None:
    """The odds of the chair agreed on; None where none was, or the call was stopped.

    ``now`` is a finished call with its chair chosen. Parts are stored only if they would be the
    same without any health answer, so that they tell nothing about health.
    """
    # Here, because those who only read the lines need neither body nor fit.
    from consult.call.state import state_so_far, with_chair

    taken = _agreed_parts(now)
    if taken is None or now.chosen is None or now.chosen.ordered is None:
        return None
    open_to_all = [step for step in now.steps if step.question.private != "health"]
    answered = sum(step.status == "answered" for step in open_to_all)
    bare = without_health(basis.tree, now.call)
    plain: tuple[str, ...] | None = taken
    if bare.answers != now.call.answers:
        plain = _agreed_parts(with_chair(basis, state_so_far(basis, bare)))
    took = [answer.took for answer in now.call.answers]
    seconds = round(call_seconds(took)) if any(value is not None for value in took) else None
    parts = taken if plain == taken else ()
    return StatedOdds(now.chosen.ordered.p_fits * _lasts(basis, taken), answered, parts, seconds)


def _lasts(basis: Basis, parts: tuple[str, ...]) -> float:
    """Chance that no part of a chair comes back with a fault, by what was learned."""
    faults = basis.learned.of("fault")
    return math.prod(1 - faults.get(code, 0.0) / 100 for code in parts)


def _agreed_parts(now: State) -> tuple[str, ...] | None:
    """Codes of the chair agreed on; None where there is none."""
    ordered = now.chosen.ordered if now.chosen else None
    if ordered is None or now.stopped is not None or now.agreed not in ("recommended", "other"):
        return None
    return tuple(part.code for part in ordered.parts.values())


# -- what came of the chair: kept, adjusted, exchanged or returned; which figure was off ----------

Came = Literal["kept", "adjusted", "exchanged", "returned", "no_answer"]
CAME_IN_WORDS: tuple[Came, ...] = get_args(Came)
Because = Literal["fit", "fault", "other"]
BECAUSE: tuple[Because, ...] = get_args(Because)
"""It does not fit, a part is faulty, or something that says nothing about the chair."""
Origin = Literal["told", "estimated"]
"""How the first call had a body measure."""

_REFERENCE = r"[0-9A-Z]{3}-[0-9A-Z]{3}"
_NAME = r"[a-z][a-z_]*"
_HEAD = re.compile(
    rf"of ({_REFERENCE}): ({'|'.join(CAME_IN_WORDS)})(?: ({_NAME}(?:, {_NAME})*))?"
    rf"(?: because of ({'|'.join(BECAUSE)}))?"
)
_OFF = re.compile(rf"({_NAME}) off by ([+-]\d{{1,4}}) mm")
_AGAIN = re.compile(rf"({_NAME}) (told|estimated) as (\d{{1,4}}), measured (\d{{1,4}}) mm")
_BLAME = re.compile(rf"blamed: ({_NAME})")


@dataclass(frozen=True, slots=True)
class MeasuredAgain:
    """A body measure of the first call that was measured later."""

    origin: Origin
    first: float
    """As told or estimated in the first call; mm."""
    later: float
    """As measured later; mm."""


@dataclass(frozen=True, slots=True)
class ChairOutcome:
    """What came of the chair of one call."""

    reference: str
    """Of the call that chose the chair."""
    came: Came
    parts: tuple[str, ...] = ()
    """Kinds of the parts exchanged: seat, gas_lift."""
    because: Because | None = None
    """Why it was exchanged or returned."""
    off: Mapping[str, float] = field(default_factory=dict)
    """Figure -> mm that it should have been higher (lower: negative)."""
    again: Mapping[str, MeasuredAgain] = field(default_factory=dict)
    """Body dimension -> as the first call had it, and as measured later."""
    blamed: str = ""
    """The body dimension behind the figure that was off most; '' if none is known."""

    @property
    def held(self) -> bool | None:
        """Whether the odds came true; None where what happened says nothing about them."""
        if self.came in ("kept", "adjusted"):
            return True
        return None if self.came == "no_answer" or self.because in (None, "other") else False

    @property
    def text(self) -> str:
        """As it is stored; ``read_outcome`` reads it."""
        head = f"of {self.reference}: {self.came}"
        head += f" {', '.join(self.parts)}" if self.parts else ""
        head += f" because of {self.because}" if self.because else ""
        pieces = [head, *(f"{name} off by {by:+.0f} mm" for name, by in self.off.items())]
        pieces += [
            f"{name} {again.origin} as {again.first:.0f}, measured {again.later:.0f} mm"
            for name, again in self.again.items()
        ]
        return "; ".join([*pieces, *([f"blamed: {self.blamed}"] if self.blamed else [])])


def reference_said(text: str) -> str:
    """The reference that a stored line is about, if it is one."""
    return text[3:10]


def read_outcome(text: str) -> ChairOutcome | None:
    """What a stored line says; None where it is none."""
    head, *pieces = text.split("; ")
    line = _HEAD.fullmatch(head)
    if line is None:
        return None
    off: dict[str, float] = {}
    again: dict[str, MeasuredAgain] = {}
    blamed = ""
    for piece in pieces:
        if match := _OFF.fullmatch(piece):
            off[match[1]] = float(match[2])
        elif match := _AGAIN.fullmatch(piece):
            again[match[1]] = MeasuredAgain(
                cast("Origin", match[2]), float(match[3]), float(match[4])
            )
        elif match := _BLAME.fullmatch(piece):
            blamed = match[1]
        else:
            return None
    parts = tuple(line[3].split(", ")) if line[3] else ()
    because = cast("Because | None", line[4])
    return ChairOutcome(line[1], cast("Came", line[2]), parts, because, off, again, blamed)


@dataclass(frozen=True, slots=True)
class PastCall:
    """A finished call that ended with odds, and what came of it."""

    odds: StatedOdds
    outcome: ChairOutcome | None
    """None: nobody has asked yet."""
    adviser: str = ""
