"""What a body asks of a chair and a desk: every rule of the fit, once, for one body or for many.

Lengths in mm; a number is a float, or an array with an entry a body. A band is lowest, best and
highest. What names no ``RuleSource`` is common practice.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from consult.fit.workplace import PerBody, Workplace
from consult.range.parts import Span

if TYPE_CHECKING:
    from consult.body.estimate import Estimate


class RuleSource:
    """Where each rule comes from: names of entries in ``trees/sources.yaml``.

    What each text says, and how we have it, stands there. Two names mean that one gives the rule
    and the other the figure beside it, such as a margin.
    """

    COMMON = ("common_practice",)
    LEG_BAND = ("gouvali_2006", "common_practice")
    """Its band; a knee of about a right angle is common practice."""
    DESK_FIRST = ("aberystwyth_12_points",)
    KEPT_UP = ("leeds_hip", "rnoh_hip")
    SEAT_DEPTH = ("common_practice", "parcells_1999")
    """Three fingers behind the knee, and never outside the ratio of the second. HSE's 20 to 30 mm
    (``hse_good_posture``) is less than three fingers of most people: it is not the rule used."""
    SEAT_WIDTH = ("common_practice", "gouvali_2006")
    """A margin over the hips, and the upper end of the second."""
    ELBOW_REST = ("pheasant_bodyspace", "common_practice")
    FOREARM_LEVEL = ("iso_9241_5", "common_practice")
    THIGH_ROOM = ("castellucci_2014", "common_practice")
    FOOTREST = ("aberystwyth_12_points",)
    SCREEN_TOP = ("hse_good_posture", "dguv_115_401")
    SCREEN_TOP_VARIFOCAL = ("cal_osha_easy_ergonomics", "common_practice")
    """Lower for such lenses; how much lower is common practice."""
    STANDING = COMMON
    HEEL = ("parvez_2018",)
    ARMS_AT_DESK = ("aberystwyth_12_points", "common_practice")
    SHORT_LEGS = COMMON
    RANGE = ("our_range",)
    GENERAL = ("our_words",)
    """What holds of all advice: it is general, and not medical."""


Band = tuple[PerBody, PerBody, PerBody]

COS5 = math.cos(math.radians(5))
COS30 = math.cos(math.radians(30))
_KEPT_UP = 20.0
"""mm that who may not sit low may sit above the back of the knee with the feet on the floor: over
the length of a thigh it slopes down by two or three degrees (common practice, no source)."""

DEFAULT_THREE_FINGERS = 60.0
"""mm; good to about 10 mm either way: finger breadths from memory, hands from ``ansur_2``."""
FINGERS_OF_HAND = 0.75
"""Three of the four knuckles that hand breadth is measured over."""
SHALLOWEST, DEEPEST = 0.80, 0.95
"""Of buttock-popliteal length: less leaves the thighs hanging, more presses behind the knee."""
HIP_MARGIN = 20.0
WIDEST = 1.30
"""Of hip breadth."""
ARM_BAND = 20.0
"""mm an armrest may be above or below the elbow."""

KEYBOARD = 20.0
"""mm from the desk top to the fingers on the keys."""
KEYBOARD_BELOW = 40.0
KEYBOARD_ABOVE = 20.0
"""mm the keyboard may be below or above the elbow."""
THIGH_MARGIN = 20.0
"""mm of air above the thighs."""


def beyond(least: PerBody, most: PerBody, low: PerBody, high: PerBody) -> PerBody:
    """Signed mm by which what reaches from ``least`` to ``most`` misses a band: above zero where
    it is too much even at its least, below zero where it is too little; 0 where they meet."""
    return np.maximum(least - high, 0.0) - np.maximum(low - most, 0.0)


def seat_on_floor(popliteal: PerBody, heel: PerBody, kept_up: bool, cushion: float = 0.0) -> Band:
    """Loaded seat height with the feet on the floor: below the first the legs fold, at the second
    the knee is slightly open, above the third the feet hang.

    ``kept_up``: the knees may not come above the hips. ``cushion``: what lies on the seat.
    """
    leg = popliteal + heel
    low, best = (leg, leg) if kept_up else (leg * COS30, leg * COS5)
    high = leg + _KEPT_UP if kept_up else best
    if cushion:
        low, best, high = low - cushion, best - cushion, high - cushion
    return low, best, high


def desk_for_elbows(elbow: PerBody) -> Band:
    """Desk top above the loaded seat, or above the floor for an elbow that stands above it."""
    best = elbow - KEYBOARD
    return best - KEYBOARD_BELOW, best, best + KEYBOARD_ABOVE


def desk_for_thighs(thigh: PerBody, thickness: PerBody) -> PerBody:
    """The lowest desk top above the loaded seat under which the thighs have room."""
    return thigh + THIGH_MARGIN + thickness


def desk_above_seat(elbow: PerBody, thigh: PerBody, thickness: PerBody | None) -> Band:
    """Desk top above the loaded seat: what the elbows want, pushed up where the thighs need it."""
    band = desk_for_elbows(elbow)
    if thickness is None:
        return band
    room = desk_for_thighs(thigh, thickness)
    low, best, high = (np.maximum(figure, room) for figure in band)
    return low, best, high


def seat_heights(
    on_floor: Band, desk: tuple[PerBody, PerBody], lowest_seat: PerBody, rest: Span | None = None
) -> tuple[PerBody, PerBody]:
    """The lowest and highest loaded seat that is acceptable; crossed where none is.

    ``desk`` are the lowest and highest seat that the desk suits. On the floor one that has to be
    raised leaves only the seats above the legs, which is none; with the feet on a footrest, of
    which ``rest`` are the heights, the seat may follow it up and down. A desk too low never folds
    the legs. Nobody sits below ``lowest_seat``.
    """
    folded, _, open_ = on_floor
    if rest is None:
        low, high = np.where(desk[0] > open_, desk[0], folded), open_
    else:
        low, high = np.maximum(folded + rest[0], desk[0]), np.minimum(open_ + rest[1], desk[1])
    return low if lowest_seat == -math.inf else np.maximum(low, lowest_seat), high


def seat_depths(length: PerBody, hand: PerBody | None) -> Band:
    """Seat front to back support: two to four fingers go behind the knee, three are best."""
    least, most = SHALLOWEST * length, DEEPEST * length
    three = DEFAULT_THREE_FINGERS if hand is None else FINGERS_OF_HAND * hand
    # As ``clip``, which takes much longer over one number.
    low, best, high = (
        np.minimum(np.maximum(length - three * k, least), most) for k in (4 / 3, 1.0, 2 / 3)
    )
    return low, best, high


def seat_width(hips: PerBody) -> Band:
    """Seat width, and the room between armrests: a wide seat is never too wide for the hips."""
    least = hips + HIP_MARGIN
    return least, least, np.maximum(WIDEST * hips, least)


def armrest_heights(elbow: PerBody) -> Band:
    """Armrest above the loaded seat."""
    return elbow - ARM_BAND, elbow, elbow + ARM_BAND


def keyboard(elbow: PerBody) -> Band:
    """Keyboard above the loaded seat."""
    return elbow - KEYBOARD_BELOW, elbow, elbow + KEYBOARD_ABOVE


Weights = Mapping[str, float]
"""Body dimension to its factor in a sum; ``{"popliteal_height": COS5}``."""


LEGS: Weights = {"popliteal_height": COS5}
"""What the seat height of the legs is made of; the heel is taken as known."""


ELBOWS: Weights = {"elbow_rest_height": 1.0}


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
    measured = any(measure.dimension == HAND for measure in estimate.used)
    return (*DIMENSIONS, HAND) if measured else DIMENSIONS


@dataclass(frozen=True, slots=True)
class Sitter:
    """One body or many in shoes, mm; what is above the seat is so with a cushion on it."""

    popliteal: PerBody
    thigh_length: PerBody
    """Buttock-popliteal length."""
    elbow: PerBody
    """Elbow rest height, above the loaded seat."""
    thigh: PerBody
    """Thigh clearance, above the loaded seat."""
    hips: PerBody
    eye: PerBody
    """Eye height above the loaded seat, sitting erect."""
    stature: PerBody
    sitting_height: PerBody
    hand: PerBody | None
    """Hand breadth, if it was itself measured."""
    heel: PerBody
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
    body = {name: dimension.mean for name, dimension in estimate.dimensions.items()}
    if HAND not in dimensions_for(estimate):
        body.pop(HAND, None)
    return seated(body, workplace, workplace.under_feet)


def seated(body: Mapping[str, PerBody], workplace: Workplace, heel: PerBody) -> Sitter:
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


def added(first: Weights, second: Weights, factor: float = 1.0) -> Weights:
    """``first + factor * second``, dimension by dimension."""
    names = {**first, **second}
    return {name: first.get(name, 0.0) + factor * second.get(name, 0.0) for name in names}
