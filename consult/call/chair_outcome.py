"""What came of the chair of a call: kept, adjusted, exchanged or returned; which figure was off.

It is stored as one line, of the follow-up call or of the call itself. Nothing of health is in it.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal, cast, get_args

if TYPE_CHECKING:
    from consult.call.stated_odds import StatedOdds

Came = Literal["kept", "adjusted", "exchanged", "returned", "no_answer"]
CAME: tuple[Came, ...] = get_args(Came)
Because = Literal["fit", "fault", "other"]
BECAUSE: tuple[Because, ...] = get_args(Because)
"""It does not fit, a part is faulty, or something that says nothing about the chair."""
Origin = Literal["told", "estimated"]
"""How the first call had a body measure."""

_REFERENCE = r"[0-9A-Z]{3}-[0-9A-Z]{3}"
_NAME = r"[a-z][a-z_]*"
_HEAD = re.compile(
    rf"of ({_REFERENCE}): ({'|'.join(CAME)})(?: ({_NAME}(?:, {_NAME})*))?"
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
            f"{name} {one.origin} as {one.first:.0f}, measured {one.later:.0f} mm"
            for name, one in self.again.items()
        ]
        return "; ".join([*pieces, *([f"blamed: {self.blamed}"] if self.blamed else [])])


def reference_in(text: str) -> str:
    """The reference that a stored line is about, if it is one."""
    return text[3:10]


def read_outcome(text: str) -> ChairOutcome | None:
    """What a stored line says; None where it is none."""
    head, *pieces = text.split("; ")
    found = _HEAD.fullmatch(head)
    if found is None:
        return None
    off: dict[str, float] = {}
    again: dict[str, MeasuredAgain] = {}
    blamed = ""
    for piece in pieces:
        if one := _OFF.fullmatch(piece):
            off[one[1]] = float(one[2])
        elif one := _AGAIN.fullmatch(piece):
            again[one[1]] = MeasuredAgain(cast("Origin", one[2]), float(one[3]), float(one[4]))
        elif one := _BLAME.fullmatch(piece):
            blamed = one[1]
        else:
            return None
    parts = tuple(found[3].split(", ")) if found[3] else ()
    because = cast("Because | None", found[4])
    return ChairOutcome(found[1], cast("Came", found[2]), parts, because, off, again, blamed)


@dataclass(frozen=True, slots=True)
class PastCall:
    """A finished call that ended with odds, and what came of it."""

    odds: StatedOdds
    outcome: ChairOutcome | None
    """None: nobody has asked yet."""
    adviser: str = ""
