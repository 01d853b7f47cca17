"""What the chair itself must give: depth, width and armrests; the keyboard goes by the same elbow.

Seat height is solved together with the desk, see ``desk``.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.fit import sources
from consult.fit.result import Requirement
from consult.fit.rules import (
    DEEPEST,
    FINGERS_OF_HAND,
    SHALLOWEST,
    Band,
    armrests,
    keyboard,
    seat_depth,
    seat_width,
)
from consult.fit.sitter import Weights, dimensions_in, spread_of

if TYPE_CHECKING:
    from consult.body.estimate import Estimate
    from consult.fit.sitter import Sitter


def chair_requirements(estimate: Estimate, sitter: Sitter) -> list[Requirement]:
    """Seat depth and width, armrest and keyboard height."""
    elbow_sd = spread_of(estimate, {"elbow_rest_height": 1.0})
    return [
        _depth(estimate, sitter),
        _width(estimate, sitter),
        Requirement(
            "armrest_height",
            *_band(armrests(sitter.elbow)),
            elbow_sd,
            "loaded seat",
            "At elbow height the arms rest without lifting or dropping the shoulders.",
            sources.ELBOW_REST,
            ("elbow_rest_height",),
        ),
        Requirement(
            "keyboard_height",
            *_band(keyboard(sitter.elbow)),
            elbow_sd,
            "loaded seat",
            "With the keyboard at elbow height the forearms lie about level.",
            sources.FOREARM_LEVEL,
            ("elbow_rest_height",),
        ),
    ]


def _depth(estimate: Estimate, sitter: Sitter) -> Requirement:
    """Seat front to back support, so that two to four fingers go behind the knee."""
    length = sitter.thigh_length
    target, low, high = _band(seat_depth(length, sitter.hand))
    weights: Weights = {"buttock_popliteal_length": 1.0}
    if target in (SHALLOWEST * length, DEEPEST * length):
        weights = {"buttock_popliteal_length": target / length}
    elif sitter.hand is not None:
        weights = {"buttock_popliteal_length": 1.0, "hand_breadth": -FINGERS_OF_HAND}
    return Requirement(
        "seat_depth",
        target,
        low,
        high,
        spread_of(estimate, weights),
        "length",
        "The seat supports the thighs, and a few fingers still fit between it and the back of "
        "the knee.",
        sources.SEAT_DEPTH,
        dimensions_in(weights),
    )


def _width(estimate: Estimate, sitter: Sitter) -> Requirement:
    return Requirement(
        "seat_width",
        *_band(seat_width(sitter.hips)),
        spread_of(estimate, {"hip_breadth_sitting": 1.0}),
        "length",
        "The seat must be wider than the hips; wider still is no less comfortable, but it moves "
        "the armrests apart.",
        sources.SEAT_WIDTH,
        ("hip_breadth_sitting",),
    )


def _band(band: Band) -> tuple[float, float, float]:
    """Target, low, high, as a requirement holds them."""
    low, target, high = (float(each) for each in band)
    return target, low, high
