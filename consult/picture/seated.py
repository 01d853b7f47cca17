"""Where the joints of a seated person are, from the few measures a call has.

The lengths that matter for the chair are the estimate's own. What no call measures (how thick a
limb is, where in the body a joint lies, how long the foot) is drawn from plain proportions: from
memory of Drillis and Contini 1966 for shares of stature, common practice, no source, for the rest.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import TYPE_CHECKING

from consult.fit.rules import KEYBOARD
from consult.picture.model import Joints, Point

if TYPE_CHECKING:
    from consult.fit.requirements import Sitter

TRUNK = 105.0
"""mm from the middle of the trunk to its skin."""
CALF = 48.0
KNEE = 58.0
ELBOW = 38.0
WRIST = 26.0
ANKLE = 36.0
"""mm from the joint to the skin."""
_ANKLE_UP = 75.0
"""mm from the sole of the bare foot to the ankle."""
_FOOT, _UPPER_ARM, _FOREARM, _HAND = 0.152, 0.186, 0.146, 0.108
"""Of stature."""
_OPEN = math.radians(5)
"""How far the knee is open with the feet flat; the fit takes the same angle."""
_FOLDED = math.radians(30)
"""Legs folded further than this lift the thighs off the seat; the fit takes the same angle."""


def hanging(sitter: Sitter, seat: float, support: float) -> float:
    """mm between the soles and what should carry them; 0 where they stand."""
    return max(0.0, seat - support - sitter.seat_for_legs)


def forearm_reach(stature: float) -> float:
    """x of the wrist with the forearm level."""
    return TRUNK + _FOREARM * stature


def joints_of(sitter: Sitter, seat: float, support: float, top: float) -> Joints:
    """The person on a seat, the feet towards a support, the hands on a desk top; mm."""
    leg = sitter.popliteal + sitter.heel
    angle, behind_knee = _lower_leg(leg, seat, support)
    # The tape goes to the hollow of the knee; the bone lies a calf's half thickness before it.
    back = (sitter.thigh_length, behind_knee)
    heel = (
        back[0] + leg * math.sin(angle),
        max(back[1] - leg * math.cos(angle), support),
    )
    foot = _FOOT * sitter.stature
    head_radius = min(max(sitter.sitting_height - sitter.eye, 80.0), 140.0)
    shoulder = (TRUNK, seat + sitter.elbow + _UPPER_ARM * sitter.stature)
    eye_up = seat + sitter.eye
    head = (TRUNK + 45.0, eye_up)
    elbow = (TRUNK + 10.0, seat + sitter.elbow + ELBOW)
    wrist = _wrist(elbow, _FOREARM * sitter.stature, top + KEYBOARD + WRIST)
    return Joints(
        toe=(heel[0] + foot, heel[1]),
        heel=heel,
        ankle=(heel[0] + CALF, heel[1] + sitter.heel + _ANKLE_UP),
        knee=(back[0] + CALF, back[1] + KNEE),
        hip=(TRUNK, seat + sitter.thigh / 2),
        shoulder=shoulder,
        elbow=elbow,
        wrist=wrist,
        fingers=(wrist[0] + _HAND * sitter.stature * 0.8, top + KEYBOARD),
        neck=(TRUNK + 15.0, shoulder[1] + 20.0),
        head=head,
        head_radius=head_radius,
        eye=(head[0] + 0.8 * head_radius, eye_up),
        thigh=sitter.thigh,
    )


def _lower_leg(leg: float, seat: float, support: float) -> tuple[float, float]:
    """How far the lower leg leans forward, and how high the hollow of the knee is."""
    share = (seat - support) / leg if leg > 0 else 1.0
    if share >= math.cos(_OPEN):
        return _OPEN, seat
    if share >= math.cos(_FOLDED):
        return math.acos(share), seat
    return _FOLDED, support + leg * math.cos(_FOLDED)


def _wrist(elbow: Point, forearm: float, height: float) -> Point:
    """The wrist over the keyboard, as near to its height as the forearm can point."""
    steepest = 0.8 * forearm
    rise = min(max(height - elbow[1], -steepest), steepest)
    return elbow[0] + math.sqrt(forearm**2 - rise**2), elbow[1] + rise


NEEDED = (
    *("stature", "popliteal_height", "buttock_popliteal_length", "elbow_rest_height"),
    *("thigh_clearance", "hip_breadth_sitting", "eye_height_sitting", "sitting_height"),
    "hand_breadth",
)


def can_draw(dimensions: Mapping[str, object]) -> bool:
    """Whether the estimate has every dimension a sitter is made of."""
    return all(name in dimensions for name in NEEDED)
