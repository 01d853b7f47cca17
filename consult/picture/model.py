"""The side view as data: points and lengths in mm, ready for any way of drawing it.

The origin is on the floor below the front of the back support; x runs forward, y up. The person
looks along x.
"""

from __future__ import annotations

from dataclasses import dataclass

from consult.sentence import Sentence

Point = tuple[float, float]
"""x forward of the back support, y above the floor; mm."""


@dataclass(frozen=True, slots=True)
class Joints:
    """The seated person at the best guess of the body."""

    toe: Point
    """Tip of the sole."""
    heel: Point
    """Where the sole begins, heel of the shoe included."""
    ankle: Point
    knee: Point
    hip: Point
    shoulder: Point
    elbow: Point
    wrist: Point
    fingers: Point
    neck: Point
    head: Point
    """Centre of the head."""
    head_radius: float
    eye: Point
    thigh: float
    """How thick the thigh is, from the seat up."""


@dataclass(frozen=True, slots=True)
class Chair:
    """The chair as it is set."""

    seat: float
    """Top of the loaded seat above the floor."""
    wanted_seat: float
    """What the fit asks for; another height than ``seat`` where the chair cannot reach it."""
    depth: float
    """The front edge of the seat is this far forward of the back support."""
    back_top: float
    """Top of the back above the floor."""
    arm: float | None
    """Top of the armrests above the floor; None for a chair without."""
    arm_span: tuple[float, float]
    """x of the back and the front end of the armrests."""
    lift: float
    """x of the gas lift."""


@dataclass(frozen=True, slots=True)
class DrawnDesk:
    """A fixed desk as it stands, one that moves as the fit sets it; else the one wanted."""

    top: float
    under: float
    """The lowest thing above the thighs."""
    edge: float
    """x of the edge towards the person."""
    far: float
    """x of the other edge."""
    stands: bool
    """False: the desk drawn is the one that would suit."""


@dataclass(frozen=True, slots=True)
class Footrest:
    """What the feet stand on."""

    top: float
    start: float
    end: float


@dataclass(frozen=True, slots=True)
class Screen:
    """The screen, edge on."""

    top: float
    bottom: float
    x: float


@dataclass(frozen=True, slots=True)
class DimensionLine:
    """A length to be written beside the picture."""

    name: str
    start: Point
    end: Point
    mm: float


@dataclass(frozen=True, slots=True)
class Misfit:
    """Something in the picture that does not suit."""

    mark: str
    """One digit; the drawing shows it at ``where``, the legend before ``text``."""
    where: Point
    name: str
    """As the fit names its note, or what the chair falls short in: ``seat_depth``."""
    text: Sentence


@dataclass(frozen=True, slots=True)
class Scene:
    """Everything in the side view."""

    joints: Joints
    chair: Chair
    table: DrawnDesk
    footrest: Footrest | None
    screen: Screen | None
    """None where the fit has no screen height."""
    dimensions: tuple[DimensionLine, ...]
    problems: tuple[Misfit, ...]
