"""What the fit says, and what one body asks of chair, desk and screen.

A requirement is one thing to set or buy; a note is something that needs saying. Seat height and
the desk to sit at are solved together, see ``seating``.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

import numpy as np

from consult.fit.rules import (
    DEEPEST,
    ELBOWS,
    FINGERS_OF_HAND,
    SHALLOWEST,
    Band,
    RuleSource,
    Sitter,
    Weights,
    added,
    armrest_heights,
    desk_for_elbows,
    keyboard,
    seat_depths,
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
    """Acceptable band, low <= target <= high; only a desk that stands may be outside it."""
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


def spread_of(estimate: Estimate, weights: Weights) -> float:
    """Standard deviation of a weighted sum of dimensions (mm).

    Second moments of the mixture, so dimensions that go together are not counted as independent,
    and a sex not stated counts as doubt.
    """
    if not weights:
        return 0.0
    factor = np.array([weights.get(name, 0.0) for name in estimate.dimensions])
    means = [float(factor @ component.mean) for component in estimate.components]
    share = [component.weight for component in estimate.components]
    centre = sum(w * mean for w, mean in zip(share, means, strict=True))
    variance = sum(
        component.weight * (float(factor @ component.covariance @ factor) + (mean - centre) ** 2)
        for component, mean in zip(estimate.components, means, strict=True)
    )
    # Rounding may leave a hair below nought where two measures cancel.
    return math.sqrt(max(variance, 0.0))


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
    low, target, high = (float(figure) for figure in band)
    rests_on = tuple(dimension for dimension, weight in weights.items() if weight)
    sd = spread_of(estimate, weights)
    return Requirement(name, target, low, high, sd, measured_from, reason, source, rests_on)


def requirements_of(
    estimate: Estimate, workplace: Workplace, seating: Seating, *, footrest: bool
) -> dict[str, Requirement]:
    """What is asked of chair, desk and screen; ``footrest``: it is known whether one is needed."""
    sitter, desk = seating.sitter, workplace.desk
    asked = [
        _seat_height(estimate, seating),
        _depth(estimate, sitter),
        required(
            estimate,
            "seat_width",
            seat_width(sitter.hips),
            {"hip_breadth_sitting": 1.0},
            "length",
            "The seat must be wider than the hips; wider still is no less comfortable, but it "
            "moves the armrests apart.",
            RuleSource.SEAT_WIDTH,
        ),
        required(
            estimate,
            "armrest_height",
            armrest_heights(sitter.elbow),
            ELBOWS,
            "loaded seat",
            "At elbow height the arms rest without lifting or dropping the shoulders.",
            RuleSource.ELBOW_REST,
        ),
        required(
            estimate,
            "keyboard_height",
            keyboard(sitter.elbow),
            ELBOWS,
            "loaded seat",
            "With the keyboard at elbow height the forearms lie about level.",
            RuleSource.FOREARM_LEVEL,
        ),
        required(
            estimate,
            "desk_height",
            (seating.desk_band[0], seating.desk_height, seating.desk_band[1]),
            seating.desk_weights,
            "floor",
            "At this height the forearms lie about level on the keyboard, as far as the thighs "
            "leave room.",
            RuleSource.FOREARM_LEVEL,
        ),
        _screen(estimate, seating, workplace.lenses),
    ]
    if footrest:
        asked.append(_footrest(estimate, seating))
    if desk.kind in ("adjustable", "none"):
        # What a person is taller standing than sitting lifts the elbow by as much.
        elbow = sitter.stature - sitter.sitting_height + sitter.elbow + sitter.heel
        standing = required(
            estimate,
            "standing_desk_height",
            desk_for_elbows(elbow),
            {"stature": 1.0, "sitting_height": -1.0, "elbow_rest_height": 1.0},
            "floor",
            "Standing, too, the forearms should lie about level on the keyboard.",
            RuleSource.STANDING,
        )
        asked.append(standing)
    return {requirement.name: requirement for requirement in asked}


def _seat_height(estimate: Estimate, seating: Seating) -> Requirement:
    on_floor = seating.footrest == 0
    reason = "The feet are flat on the floor and the thighs about level."
    source: tuple[str, ...] = RuleSource.LEG_BAND
    if not on_floor:
        reason = "The seat is higher than suits the legs alone, so the feet need a footrest."
        source = RuleSource.DESK_FIRST
    if seating.sitter.kept_up:
        source = RuleSource.KEPT_UP
        reason = "The knees are no higher than the hips"
        reason += "." if on_floor else ", and the feet rest on a footrest."
    low, high = seating.seat_band
    band = (low, seating.seat, high)
    return required(estimate, "seat_height", band, seating.seat_weights, "floor", reason, source)


def _depth(estimate: Estimate, sitter: Sitter) -> Requirement:
    """Seat front to back support, so that two to four fingers go behind the knee."""
    length = sitter.thigh_length
    band = seat_depths(length, sitter.hand)
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
        RuleSource.SEAT_DEPTH,
    )


def _screen(estimate: Estimate, seating: Seating, lenses: Lenses | None) -> Requirement:
    """Top of the screen above the floor, for the seat as solved."""
    varifocal = lenses == "varifocal"
    high = seating.seat + seating.sitter.eye - (VARIFOCAL_LOWER if varifocal else 0.0)
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
        RuleSource.SCREEN_TOP_VARIFOCAL if varifocal else RuleSource.SCREEN_TOP,
    )


def _footrest(estimate: Estimate, seating: Seating) -> Requirement:
    """A footrest higher than needed only bends the knees as a lower seat would."""
    height, desk = seating.footrest, seating.desk
    low = max(0.0, min(height, seating.seat - seating.legs))
    high = max(height, seating.seat - seating.sitter.on_floor[0]) if height else 0.0
    reason = "The footrest supports the feet as the floor would."
    if not height:
        known = desk.kind != "adjustable" or not desk.undecided
        where = "" if known else " if the desk goes as low as most do"
        reason = f"The feet reach the floor{where}, so no footrest is needed."
    weights = added(seating.seat_weights, seating.sitter.leg_weights, -1)
    band = (low, height, high)
    return required(
        estimate, "footrest_height", band, weights, "floor", reason, RuleSource.FOOTREST
    )
