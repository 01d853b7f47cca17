"""What the caller sits at and on, as far as the call knows it. ``None`` always means not known."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

DeskKind = Literal["fixed", "adjustable", "none"]
Lenses = Literal["none", "single", "varifocal"]

DEFAULT_HEEL = 25.0
"""mm: for both sexes in a furniture study (``parvez_2018``), for men in a course
(``city_u_anthropometry``)."""


@dataclass(frozen=True, slots=True)
class Desk:
    """The desk; heights in mm from the floor. ``kind='none'``: no desk has been bought yet."""

    kind: DeskKind | None = None
    height: float | None = None
    """Top surface as it stands now."""
    thickness: float | None = None
    """From the top surface down to the lowest thing above the thighs: drawer, rail or the board."""
    lowest: float | None = None
    highest: float | None = None
    """Reach of an adjustable desk's top surface."""


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
    spreads: Mapping[str, float] = field(default_factory=dict)
    """How unsure the caller is of a length said ("about 72 to 76"): desk_height, desk_lowest,
    desk_thickness, heel -> standard deviation, mm."""
    kept_up: bool = False
    """Somebody told the caller not to sit low: the knees may not come above the hips either. With
    no ``lowest_seat`` that is all that is known of how low."""


@dataclass(frozen=True, slots=True)
class Present:
    """The chair as it stands now, mm; ``None`` where it was not measured."""

    seat_height: float | None = None
    """From the floor to the top of the seat with the caller on it."""
    seat_depth: float | None = None
    """From the front edge to where the back touches."""
    armrest_height: float | None = None
    """From the seat, sat on, to the top of the armrest."""


@dataclass(frozen=True, slots=True)
class Reach:
    """What the range on sale can do; mm. Loaded seat heights, footrest top heights."""

    seat_height: tuple[float, float]
    footrest_height: tuple[float, float] | None = None
