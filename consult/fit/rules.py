"""What a body asks of a chair and a desk: every rule of the fit, once, for one body or for many.

Lengths in mm; a number is a float, or an array with an entry a body. A band is lowest, best and
highest. The sources stand in ``sources``; what has none is common practice.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from consult.range.parts import Span

Number = Any
"""A float, or an array of them."""
Band = tuple[Number, Number, Number]

COS5 = math.cos(math.radians(5))
COS30 = math.cos(math.radians(30))
KEPT_UP = 20.0
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


def beyond(least: Number, most: Number, low: Number, high: Number) -> Number:
    """Signed mm by which what reaches from ``least`` to ``most`` misses a band: above zero where
    it is too much even at its least, below zero where it is too little; 0 where they meet."""
    return np.maximum(least - high, 0.0) - np.maximum(low - most, 0.0)


def seat_on_floor(popliteal: Number, heel: Number, kept_up: bool, cushion: float = 0.0) -> Band:
    """Loaded seat height with the feet on the floor: below the first the legs fold, at the second
    the knee is slightly open, above the third the feet hang.

    ``kept_up``: the knees may not come above the hips. ``cushion``: what lies on the seat.
    """
    leg = popliteal + heel
    band = (leg, leg, leg + KEPT_UP) if kept_up else (leg * COS30, leg * COS5, leg * COS5)
    low, best, high = (each - cushion for each in band)
    return low, best, high


def desk_for_elbows(elbow: Number) -> Band:
    """Desk top above the loaded seat, or above the floor for an elbow that stands above it."""
    best = elbow - KEYBOARD
    return best - KEYBOARD_BELOW, best, best + KEYBOARD_ABOVE


def desk_for_thighs(thigh: Number, thickness: Number) -> Number:
    """The lowest desk top above the loaded seat under which the thighs have room."""
    return thigh + THIGH_MARGIN + thickness


def desk_above_seat(elbow: Number, thigh: Number, thickness: Number | None) -> Band:
    """Desk top above the loaded seat: what the elbows want, pushed up where the thighs need it."""
    band = desk_for_elbows(elbow)
    if thickness is None:
        return band
    room = desk_for_thighs(thigh, thickness)
    low, best, high = (np.maximum(each, room) for each in band)
    return low, best, high


def seat_heights(
    on_floor: Band, desk: tuple[Number, Number], lowest_seat: Number, rest: Span | None = None
) -> tuple[Number, Number]:
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
    return np.maximum(low, lowest_seat), high


def seat_depth(length: Number, hand: Number | None) -> Band:
    """Seat front to back support: two to four fingers go behind the knee, three are best."""
    least, most = SHALLOWEST * length, DEEPEST * length
    three = DEFAULT_THREE_FINGERS if hand is None else FINGERS_OF_HAND * hand
    low, best, high = (np.clip(length - three * k, least, most) for k in (4 / 3, 1.0, 2 / 3))
    return low, best, high


def seat_width(hips: Number) -> Band:
    """Seat width, and the room between armrests: a wide seat is never too wide for the hips."""
    least = hips + HIP_MARGIN
    return least, least, np.maximum(WIDEST * hips, least)


def armrests(elbow: Number) -> Band:
    """Armrest above the loaded seat."""
    return elbow - ARM_BAND, elbow, elbow + ARM_BAND


def keyboard(elbow: Number) -> Band:
    """Keyboard above the loaded seat."""
    return elbow - KEYBOARD_BELOW, elbow, elbow + KEYBOARD_ABOVE
