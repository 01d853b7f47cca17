"""What the fit says, and what one body asks of chair, screen and a desk to stand at.

A requirement is one thing to set or buy; a note is something that needs saying. Seat height and
the desk to sit at are solved together, see ``seating``.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

import numpy as np

from consult.fit import sources
from consult.fit.rules import (
    COS5,
    DEEPEST,
    FINGERS_OF_HAND,
    SHALLOWEST,
    Band,
    Number,
    armrests,
    desk_for_elbows,
    keyboard,
    seat_depth,
    seat_on_floor,
    seat_width,
)
from consult.fit.workplace import Lenses, Workplace
from consult.moves import Moves
from consult.sentence import Sentence

if TYPE_CHECKING:
    from consult.body.estimate import Estimate
    from consult.fit.seating import Seating


MeasuredFrom = Literal["floor", "loaded seat", "length"]
NoteLevel = Literal["note", "refer", "stop"]
PRIVATE_NOTES = frozenset({"seat_kept_up"})
"""Notes from which an illness can be read: for nobody but the caller and their own file."""
Weights = Mapping[str, float]
"""Body dimension to its factor in a sum; ``{"popliteal_height": COS5}``."""
LEGS: Weights = {"popliteal_height": COS5}
"""What the seat height of the legs is made of; the heel is taken as known."""
ELBOWS: Weights = {"elbow_rest_height": 1.0}
BELOW_EYES = 100.0
"""mm the screen top may be below the eyes; above them never."""
VARIFOCAL_LOWER = 50.0
"""mm lower for lenses that read through their lower half."""


@dataclass(frozen=True, slots=True)
class Requirement:
    """One quantity of the set-up, in mm."""

    name: str
    target: float
    low: float
    high: float
    """Acceptable band, low <= target <= high."""
    sd: float
    """Standard deviation of the target that comes from not knowing the body exactly."""
    measured_from: MeasuredFrom
    reason: str
    """One plain sentence for the caller."""
    source: tuple[str, ...]
    """Where the rule comes from: names of ``sources.yaml``."""
    rests_on: tuple[str, ...] = ()
    """The body dimensions the target was worked out from."""


@dataclass(frozen=True, slots=True)
class FitNote:
    """Something about the workplace that must be said: desk too high, thighs short of room, ..."""

    name: str
    """Stable snake_case name, usable in tree conditions as ``fit.<name>``."""
    level: NoteLevel
    say: Sentence
    source: tuple[str, ...]
    moves: Moves = field(default_factory=dict)
    """What it has the reader move -> which way; nothing where it only says how things stand."""
    may_move: Moves = field(default_factory=dict)
    """The same under a condition that its own words state."""


@dataclass(frozen=True, slots=True)
class Fit:
    """The whole set-up worked out together."""

    requirements: Mapping[str, Requirement]
    notes: tuple[FitNote, ...]
    missing: Mapping[str, str]
    """Requirement that could not be computed -> why, in words."""
    quantities: Mapping[str, float | bool]
    """Everything a tree condition may ask as ``fit.<name>``: mm or true/false."""
    labels: Mapping[str, str] = field(default_factory=dict)
    """What a file calls the quantities that it declares."""
    short: Mapping[str, str] = field(default_factory=dict)
    """The same for a narrow panel."""


DIMENSIONS = (
    "weight",
    "popliteal_height",
    "buttock_popliteal_length",
    "elbow_rest_height",
    "thigh_clearance",
    "hip_breadth_sitting",
)
"""What a chair must suit in any body."""
HAND = "hand_breadth"


def dimensions_for(estimate: Estimate) -> tuple[str, ...]:
    """The dimensions a chair must suit; hand breadth counts only where it was measured."""
    measured = any(one.dimension == HAND for one in estimate.used)
    return (*DIMENSIONS, HAND) if measured else DIMENSIONS


@dataclass(frozen=True, slots=True)
class Sitter:
    """One body or many in shoes, mm; what is above the seat is so with a cushion on it."""

    popliteal: Number
    thigh_length: Number
    """Buttock-popliteal length."""
    elbow: Number
    """Elbow rest height, above the loaded seat."""
    thigh: Number
    """Thigh clearance, above the loaded seat."""
    hips: Number
    eye: Number
    """Eye height above the loaded seat, sitting erect."""
    stature: Number
    sitting_height: Number
    hand: Number | None
    """Hand breadth, if it was itself measured."""
    heel: Number
    lowest_seat: float = -math.inf
    """Loaded seat height below which this person may not sit."""
    kept_up: bool = False
    """The knees may not come above the hips."""
    cushion: float = 0.0
    """What lies on the seat of the chair."""

    @property
    def on_floor(self) -> Band:
        """Loaded seat heights with the feet on the floor."""
        return seat_on_floor(self.popliteal, self.heel, self.kept_up, self.cushion)

    @property
    def seat_for_legs(self) -> float:
        """Loaded seat height that suits the legs best."""
        return float(self.on_floor[1])

    @property
    def leg_weights(self) -> Weights:
        """What ``seat_for_legs`` is made of."""
        return {"popliteal_height": 1.0} if self.kept_up else LEGS


def sitter_of(estimate: Estimate, workplace: Workplace) -> Sitter:
    """The body at the means of its estimate, in the shoes and with the limits of a workplace."""
    body = {name: one.mean for name, one in estimate.dimensions.items()}
    if HAND not in dimensions_for(estimate):
        body.pop(HAND, None)
    return seated(body, workplace, workplace.under_feet)


def seated(body: Mapping[str, Number], workplace: Workplace, heel: Number) -> Sitter:
    """A body, or many, by dimension, in shoes of this heel and with the limits of a workplace.

    What stands above the seat comes in where the eyes or the elbows of somebody who stands are
    asked for; where chairs are held against bodies nobody asks, and it is not a number.
    """
    cushion, elbow, thigh = workplace.cushion, body["elbow_rest_height"], body["thigh_clearance"]
    if cushion:
        elbow, thigh = elbow + cushion, thigh + cushion
    return Sitter(
        popliteal=body["popliteal_height"],
        thigh_length=body["buttock_popliteal_length"],
        elbow=elbow,
        thigh=thigh,
        hips=body["hip_breadth_sitting"],
        eye=body.get("eye_height_sitting", math.nan) + cushion,
        stature=body.get("stature", math.nan),
        sitting_height=body.get("sitting_height", math.nan) + cushion,
        hand=body.get(HAND),
        heel=heel,
        lowest_seat=-math.inf if workplace.lowest_seat is None else workplace.lowest_seat,
        kept_up=workplace.kept_up,
        cushion=cushion,
    )


def spread_of(estimate: Estimate, weights: Weights) -> float:
    """Standard deviation of a weighted sum of dimensions (mm).

    Second moments of the mixture, so dimensions that go together are not counted as independent,
    and a sex not stated counts as doubt.
    """
    if not weights:
        return 0.0
    factor = np.array([weights.get(name, 0.0) for name in estimate.dimensions])
    if len(estimate.components) == 1:
        return math.sqrt(max(float(factor @ estimate.components[0].covariance @ factor), 0.0))
    means = [float(factor @ one.mean) for one in estimate.components]
    share = [one.weight for one in estimate.components]
    centre = sum(w * mean for w, mean in zip(share, means, strict=True))
    variance = sum(
        one.weight * (float(factor @ one.covariance @ factor) + (mean - centre) ** 2)
        for one, mean in zip(estimate.components, means, strict=True)
    )
    # Rounding may leave a hair below nought where two measures cancel.
    return math.sqrt(max(variance, 0.0))


def added(first: Weights, second: Weights, factor: float = 1.0) -> Weights:
    """``first + factor * second``, dimension by dimension."""
    names = {**first, **second}
    return {name: first.get(name, 0.0) + factor * second.get(name, 0.0) for name in names}


def required(
    estimate: Estimate,
    name: str,
    band: Band,
    weights: Weights,
    measured_from: MeasuredFrom,
    reason: str,
    source: tuple[str, ...],
) -> Requirement:
    """A requirement whose target is made of the body as ``weights`` say."""
    low, target, high = (float(each) for each in band)
    rests_on = tuple(dimension for dimension, weight in weights.items() if weight)
    sd = spread_of(estimate, weights)
    return Requirement(name, target, low, high, sd, measured_from, reason, source, rests_on)


def chair_requirements(estimate: Estimate, sitter: Sitter) -> list[Requirement]:
    """Seat depth and width, armrest and keyboard height."""
    return [
        _depth(estimate, sitter),
        required(
            estimate,
            "seat_width",
            seat_width(sitter.hips),
            {"hip_breadth_sitting": 1.0},
            "length",
            "The seat must be wider than the hips; wider still is no less comfortable, but it "
            "moves the armrests apart.",
            sources.SEAT_WIDTH,
        ),
        required(
            estimate,
            "armrest_height",
            armrests(sitter.elbow),
            ELBOWS,
            "loaded seat",
            "At elbow height the arms rest without lifting or dropping the shoulders.",
            sources.ELBOW_REST,
        ),
        required(
            estimate,
            "keyboard_height",
            keyboard(sitter.elbow),
            ELBOWS,
            "loaded seat",
            "With the keyboard at elbow height the forearms lie about level.",
            sources.FOREARM_LEVEL,
        ),
    ]


def _depth(estimate: Estimate, sitter: Sitter) -> Requirement:
    """Seat front to back support, so that two to four fingers go behind the knee."""
    length = sitter.thigh_length
    band = seat_depth(length, sitter.hand)
    weights: Weights = {"buttock_popliteal_length": 1.0}
    if band[1] in (SHALLOWEST * length, DEEPEST * length):
        weights = {"buttock_popliteal_length": float(band[1]) / length}
    elif sitter.hand is not None:
        weights = {"buttock_popliteal_length": 1.0, "hand_breadth": -FINGERS_OF_HAND}
    return required(
        estimate,
        "seat_depth",
        band,
        weights,
        "length",
        "The seat supports the thighs, and a few fingers still fit between it and the back of "
        "the knee.",
        sources.SEAT_DEPTH,
    )


def screen_requirement(
    estimate: Estimate, sitter: Sitter, seating: Seating, lenses: Lenses | None
) -> Requirement:
    """Top of the screen above the floor, for the seat as solved."""
    varifocal = lenses == "varifocal"
    high = seating.seat + sitter.eye - (VARIFOCAL_LOWER if varifocal else 0.0)
    reason = (
        "You look through the lower half of your lenses, so the screen goes lower and the neck "
        "does not tip back."
        if varifocal
        else "With the top at eye level or below, the eyes look a little down and the neck stays "
        "upright."
    )
    return required(
        estimate,
        "screen_top",
        (high - BELOW_EYES, high, high),
        added(seating.seat_weights, {"eye_height_sitting": 1.0}),
        "floor",
        f"{reason} People sit lower when they slump, so a little low is better than a little high.",
        sources.SCREEN_TOP_VARIFOCAL if varifocal else sources.SCREEN_TOP,
    )


def standing_requirement(estimate: Estimate, sitter: Sitter) -> Requirement:
    """Desk height for standing, mm from the floor.

    What a person is taller standing than sitting lifts the elbow by as much.
    """
    elbow = sitter.stature - sitter.sitting_height + sitter.elbow + sitter.heel
    return required(
        estimate,
        "standing_desk_height",
        desk_for_elbows(elbow),
        {"stature": 1.0, "sitting_height": -1.0, "elbow_rest_height": 1.0},
        "floor",
        "Standing, too, the forearms should lie about level on the keyboard.",
        sources.STANDING,
    )
