"""What the caller sits at and on: as far as the call knows it, and as it may well be.

``None`` always means not known. What is not known of a desk, what lies under it or the shoes is
drawn, one workplace beside each body, so that P(fits) is the chance that a chair will do at
whatever desk it turns out to be.

Heights and reach: ``en_527_1``, ``dguv_115_401`` and reports of German, British and Irish guidance
on fixed desks of 710 to 740. Shares and spreads are common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Literal

import numpy as np
from numpy.typing import NDArray

from consult.fit.request import normals
from consult.range.parts import ANY, Span

if TYPE_CHECKING:
    from consult.body.population import Array

PerBody = Any
"""A float, or an array of them."""
DeskKind = Literal["fixed", "adjustable", "none"]
Lenses = Literal["none", "single", "varifocal"]

DEFAULT_HEEL = 25.0
"""mm: for both sexes in a furniture study (``parvez_2018``), for men in a course
(``city_u_anthropometry``)."""
FIXED, ADJUSTABLE = 0.65, 0.30
"""Shares of desks; the rest have none yet."""
FIXED_HEIGHT = (732.0, 18.0)
"""Mean and standard deviation: desks of 710 to 740, tables and worktops a little higher."""
LOWEST = (660.0, 35.0)
"""Of a desk that moves: EN 527-1 asks for 650; motors and frames stop between 600 and 720."""
REACH = 500.0
"""mm that a desk that moves goes up from there; sitting, its top end hardly matters."""
BOARD = (28.0, 6.0)
DEEP = (95.0, 20.0)
"""A drawer or rail above the thighs, where there is one."""
HAS_DRAWER = 0.15
THINNEST = 12.0
HEEL_SD = 12.0
"""About the usual heel, where nobody measured it."""
TAPE: Mapping[str, float] = MappingProxyType(
    {"desk_height": 5.0, "desk_lowest": 5.0, "desk_thickness": 4.0, "heel": 4.0}
)
"""Standard deviation of what a caller reads off a tape, mm, besides the spread they say."""
_SEED = 77_000
"""Apart from the seeds of bodies."""


@dataclass(frozen=True, slots=True)
class Desk:
    """The desk; heights in mm from the floor. ``kind='none'``: no desk has been bought yet.

    A height said of a desk means one that stays until the caller says otherwise, an end of its
    reach one that moves. Two ends told the wrong way round still mean the same desk.
    """

    kind: DeskKind | None = None
    height: float | None = None
    """Top surface as it stands now."""
    thickness: float | None = None
    """From the top surface down to the lowest thing above the thighs: drawer, rail or the board."""
    lowest: float | None = None
    highest: float | None = None
    """Reach of an adjustable desk's top surface."""

    def __post_init__(self) -> None:
        if self.kind is None and self.height is not None:
            object.__setattr__(self, "kind", "fixed")
        elif self.kind is None and (self.lowest is not None or self.highest is not None):
            object.__setattr__(self, "kind", "adjustable")
        low, high = self.lowest, self.highest
        if low is not None and high is not None and low > high:
            object.__setattr__(self, "lowest", high)
            object.__setattr__(self, "highest", low)

    @property
    def as_usual(self) -> Desk:
        """The same, going as low as desks do where nobody said how low it goes."""
        if self.kind != "adjustable" or self.lowest is not None:
            return self
        return replace(self, lowest=LOWEST[0])

    @property
    def undecided(self) -> bool:
        """Whether it is not known how low it stands, so that no footrest can be sold for it."""
        low = self.lowest if self.kind == "adjustable" else self.height
        return self.kind != "none" and low is None

    @property
    def top(self) -> Span:
        """Heights the top surface can take, mm; infinite where not known or not bought."""
        if self.kind == "fixed" and self.height is not None:
            return (self.height, self.height)
        if self.kind == "adjustable":
            low = -math.inf if self.lowest is None else self.lowest
            return low, math.inf if self.highest is None else self.highest
        return ANY


@dataclass(frozen=True, slots=True)
class Adjusted:
    """What advice or a need adds to a figure."""

    figure: Literal["heel", "cushion"]
    amount: float
    """mm."""
    source: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Workplace:
    """Desk, shoes, screen and how close the caller sits."""

    desk: Desk = Desk()
    heel: float | None = None
    """Shoe heel, mm; None takes DEFAULT_HEEL and says so."""
    close_to_desk: bool | None = None
    """The caller works with the belly near the desk edge, so armrests meet it."""
    lenses: Lenses | None = None
    """'varifocal' covers bifocals too: the screen goes lower."""
    lowest_seat: float | None = None
    """mm; the caller may sit no lower (loaded): told so, or the seat of today where the limits of
    an operation forbid to lower it."""
    spreads: Mapping[str, float] = field(default_factory=dict, hash=False)
    """How unsure the caller is of a length said ("about 72 to 76"): desk_height, desk_lowest,
    desk_thickness, heel -> standard deviation, mm."""
    kept_up: bool = False
    """Somebody told the caller not to sit low: the knees may not come above the hips either. With
    no ``lowest_seat`` that is all that is known of how low."""
    adjusted: tuple[Adjusted, ...] = ()
    """What is added to the heel, and what lies on the seat of the chair."""

    @property
    def under_feet(self) -> float:
        """mm from the floor to the soles of the feet, as far as is known."""
        return (DEFAULT_HEEL if self.heel is None else self.heel) + self.added("heel")

    @property
    def cushion(self) -> float:
        """mm between the seat of the chair and the person on it."""
        return self.added("cushion")

    def added(self, figure: str) -> float:
        """mm that advice and needs add to a figure."""
        return sum(adjusted.amount for adjusted in self.adjusted if adjusted.figure == figure)

    @property
    def of_chair(self) -> Workplace:
        """The same as far as the choice of a chair hangs on it."""
        return replace(self, close_to_desk=None, lenses=None)


@dataclass(frozen=True, slots=True)
class Present:
    """The chair as it stands now, mm; ``None`` where it was not measured."""

    seat_height: float | None = None
    """From the floor to the top of the seat with the caller on it."""
    seat_depth: float | None = None
    """From the front edge to where the back touches."""
    armrest_height: float | None = None
    """From the seat, sat on, to the top of the armrest."""


@dataclass(frozen=True, slots=True, eq=False)
class PlaceFigures:
    """What a body meets at a workplace, mm: one for all bodies, or an entry for each."""

    lowest: PerBody
    """The lowest that the desk top can stand; minus infinity where any desk can be bought."""
    highest: PerBody
    thickness: PerBody
    """None where it is not tested."""
    heel: PerBody


@dataclass(frozen=True, slots=True, eq=False)
class Places(PlaceFigures):
    """One workplace beside each body."""

    kind: NDArray[np.int64]
    """0 fixed, 1 adjustable, 2 none."""


def told_place(workplace: Workplace) -> PlaceFigures:
    """The workplace as it was told; what was not is not tested."""
    return PlaceFigures(*workplace.desk.top, workplace.desk.thickness, workplace.under_feet)


@lru_cache(maxsize=16)
def places(workplace: Workplace, n: int, seed: int) -> Places:
    """``n`` workplaces, not to be written to; same inputs, same workplaces."""
    noise, desk, (kind, drawer) = normals(n, 6, seed + _SEED), workplace.desk, _chances(n, seed)
    kinds = np.where(kind < FIXED, 0, np.where(kind < FIXED + ADJUSTABLE, 1, 2))
    if desk.kind is not None:
        kinds = np.full(n, {"fixed": 0, "adjustable": 1, "none": 2}[desk.kind])
    lowest, highest = _tops(workplace, kinds, noise)
    board = _drawn(workplace, "desk_thickness", desk.thickness, BOARD, noise[:, 3])
    if desk.thickness is None:
        board = np.where(drawer < HAS_DRAWER, DEEP[0] + DEEP[1] * noise[:, 3], board)
    heel = _drawn(workplace, "heel", workplace.heel, (DEFAULT_HEEL, HEEL_SD), noise[:, 5])
    shod = np.maximum(heel, 0.0) + workplace.added("heel")
    return Places(lowest, highest, np.maximum(board, THINNEST), shod, kinds)


def _tops(workplace: Workplace, kinds: NDArray[np.int64], noise: Array) -> tuple[Array, Array]:
    """How low and how high each desk top can stand; what stands nowhere is not worked out."""
    desk, (fixed, moving) = workplace.desk, ((kinds == number).any() for number in (0, 1))
    lowest, highest = np.full(len(kinds), -math.inf), np.full(len(kinds), math.inf)
    if fixed:
        top = _drawn(workplace, "desk_height", desk.height, FIXED_HEIGHT, noise[:, 1])
        lowest, highest = np.where(kinds == 0, top, lowest), np.where(kinds == 0, top, highest)
    if moving:
        low = _drawn(workplace, "desk_lowest", desk.lowest, LOWEST, noise[:, 2])
        if desk.lowest is None and desk.highest is not None:
            low = np.minimum(low, desk.highest)
        high = low + REACH if desk.highest is None else np.maximum(low, desk.highest)
        lowest, highest = np.where(kinds == 1, low, lowest), np.where(kinds == 1, high, highest)
    return lowest, highest


def _drawn(
    workplace: Workplace, name: str, told: float | None, usual: tuple[float, float], noise: Array
) -> Array:
    """As told, with the tape's error and the spread that the caller said; else as is usual."""
    if told is None:
        return np.asarray(usual[0] + usual[1] * noise)
    sd = math.hypot(TAPE[name], workplace.spreads.get(name, 0.0))
    return np.asarray(told + sd * noise)


@lru_cache(maxsize=16)
def _chances(n: int, seed: int) -> tuple[Array, Array]:
    """Of a kind of desk, and of a drawer under it."""
    noise = normals(n, 6, seed + _SEED)
    return _uniform(noise[:, 0]), _uniform(noise[:, 4])


def _uniform(normal: Array) -> Array:
    """Standard normals as numbers from 0 to 1, evenly spread."""
    ranks = np.argsort(np.argsort(normal, kind="stable"), kind="stable")
    return np.asarray((ranks + 0.5) / len(normal), np.float64)
