"""What the chair itself must give: depth, width and armrests; the keyboard goes by the same elbow.

Seat height is solved together with the desk, see ``desk``.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.fit import sources
from consult.fit.arms import ARM_BAND
from consult.fit.clearance import KEYBOARD_ABOVE, KEYBOARD_BELOW
from consult.fit.result import Requirement
from consult.fit.sitter import (
    DEFAULT_THREE_FINGERS,
    FINGERS_OF_HAND,
    Weights,
    dimensions_in,
    spread_of,
)

if TYPE_CHECKING:
    from consult.body.estimate import Estimate
    from consult.fit.sitter import Sitter

SHALLOWEST, DEEPEST = 0.80, 0.95
"""Of buttock-popliteal length: less leaves the thighs hanging, more presses behind the knee."""
HIP_MARGIN = 20.0
WIDEST = 1.30
"""Of hip breadth."""


def chair_requirements(estimate: Estimate, sitter: Sitter) -> list[Requirement]:
    """Seat depth and width, armrest and keyboard height."""
    elbow_sd = spread_of(estimate, {"elbow_rest_height": 1.0})
    return [
        _depth(estimate, sitter),
        _width(estimate, sitter),
        Requirement(
            "armrest_height",
            sitter.elbow,
            sitter.elbow - ARM_BAND,
            sitter.elbow + ARM_BAND,
            elbow_sd,
            "loaded seat",
            "At elbow height the arms rest without lifting or dropping the shoulders.",
            sources.ELBOW_REST,
            ("elbow_rest_height",),
        ),
        Requirement(
            "keyboard_height",
            sitter.elbow,
            sitter.elbow - KEYBOARD_BELOW,
            sitter.elbow + KEYBOARD_ABOVE,
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
    least, most = SHALLOWEST * length, DEEPEST * length
    weights: Weights = {"buttock_popliteal_length": 1.0}
    if sitter.hand is None:
        three = DEFAULT_THREE_FINGERS
    else:
        three = FINGERS_OF_HAND * sitter.hand
        weights = {"buttock_popliteal_length": 1.0, "hand_breadth": -FINGERS_OF_HAND}
    target = length - three
    if not least <= target <= most:
        target = least if target < least else most
        weights = {"buttock_popliteal_length": target / length}

    def kept(depth: float) -> float:
        return min(max(depth, least), most)

    return Requirement(
        "seat_depth",
        target,
        kept(length - three * 4 / 3),
        kept(length - three * 2 / 3),
        spread_of(estimate, weights),
        "length",
        "The thighs are carried and a few fingers still fit between the seat and the back of "
        "the knee.",
        sources.SEAT_DEPTH,
        dimensions_in(weights),
    )


def _width(estimate: Estimate, sitter: Sitter) -> Requirement:
    target = sitter.hips + HIP_MARGIN
    return Requirement(
        "seat_width",
        target,
        target,
        max(WIDEST * sitter.hips, target),
        spread_of(estimate, {"hip_breadth_sitting": 1.0}),
        "length",
        "The seat must be wider than the hips; wider still is no less comfortable, but it moves "
        "the armrests apart.",
        sources.SEAT_WIDTH,
        ("hip_breadth_sitting",),
    )
