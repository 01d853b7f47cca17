"""Sets of chair numbers held against many bodies: whether they meet, and by how much they do not.

Rows are sets of numbers (as ``Chairs`` keeps them), columns are bodies.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from consult.fit.shortfall import NO_ARMS

if TYPE_CHECKING:
    from consult.fit.chairs import Array, Chairs
    from consult.fit.demands import Demands

Misses = Mapping[str, NDArray[np.float64]]
"""Requirement -> row x body."""
Bits = NDArray[np.uint64]
"""Sixty-four bodies a word, 1 where the demand is met."""


@dataclass(frozen=True, slots=True, eq=False)
class Masks:
    """Which bodies each set of numbers suits."""

    heights: Bits
    """Set of heights x footrest (none, then each on sale) x words."""
    seats: Bits
    arms: Bits
    ratings: Bits


def masks(demands: Demands, chairs: Chairs) -> Masks:
    """All sets of numbers of a range against all bodies."""
    floor = _meet(chairs.heights, *demands.heights[0])
    with_rest = [floor, *(floor | _meet(chairs.heights, *rest) for rest in demands.heights[1:])]
    if demands.reach_up is not None:
        reaches = chairs.heights[:, 1:] >= demands.reach_up
        with_rest = [one & reaches for one in with_rest]
    if demands.rest_later:
        with_rest = [np.any(with_rest, axis=0)]
    seats = _meet(chairs.seats, *demands.depth) & (chairs.seats[:, 2:] >= demands.width)
    arms = _meet(chairs.arms, *demands.arms) & (chairs.arms[:, 2:] >= demands.width)
    if demands.armless:
        arms |= np.isinf(chairs.arms[:, :1])
    return Masks(
        heights=np.stack([packed(one) for one in with_rest], axis=1),
        seats=packed(seats),
        arms=packed(arms),
        ratings=packed(chairs.ratings[:, None] >= demands.mass),
    )


def packed(flags: NDArray[np.bool_]) -> Bits:
    """Flags in words; the bodies missing from the last word count as not suited."""
    width = flags.shape[-1]
    short = -width % 64
    if short:
        flags = np.concatenate([flags, np.zeros((*flags.shape[:-1], short), np.bool_)], axis=-1)
    return np.ascontiguousarray(np.packbits(flags, axis=-1)).view(np.uint64)


def height_misses(demands: Demands, heights: Array, rests: NDArray[np.intp]) -> dict[str, Array]:
    """Signed mm by which seat heights miss; ``rests`` is each row's footrest, 0 for none.

    Above zero: too high at its lowest. Where no seat height at all would do, for want of a
    footrest that reaches, the miss is the feet's and not the seat's.
    """
    seat = feet = np.zeros(())
    least = np.full((len(heights), len(demands.mass)), np.inf)
    for at, (low, high) in enumerate(demands.heights):
        over, under = heights[:, :1] - high, low - heights[:, 1:2]
        hung = np.broadcast_to(low - high, over.shape)
        amount = np.maximum(np.maximum(over, under), hung)
        always = at == 0 or demands.rest_later
        usable = np.ones((len(heights), 1), np.bool_) if always else (rests == at)[:, None]
        better = usable & (amount < least)
        short = np.maximum(amount, 0.0)
        by_feet = hung >= np.maximum(over, under)
        seat = np.where(
            better, np.where(by_feet, 0.0, np.where(over >= under, short, -short)), seat
        )
        feet = np.where(better, np.where(by_feet, -short, 0.0), feet)
        least = np.where(better, amount, least)
    found = {"seat_height": seat, "footrest_height": feet}
    if demands.reach_up is not None:
        found["keyboard_height"] = np.minimum(heights[:, 1:2] - demands.reach_up, 0.0)
    return found


def seat_misses(demands: Demands, seats: Array) -> dict[str, Array]:
    """Signed mm by which seats miss in depth and width."""
    return {
        "seat_depth": _beyond(seats, *demands.depth),
        "seat_width": np.minimum(seats[:, 2:3] - demands.width, 0.0),
    }


def arms_misses(demands: Demands, arms: Array) -> dict[str, Array]:
    """Signed mm by which arms miss in height and in the room between them."""
    none = np.isinf(arms[:, :1])
    without = 0.0 if demands.armless else -float(NO_ARMS)
    height = np.where(none, without, _beyond(np.where(none, 0.0, arms), *demands.arms))
    return {
        "armrest_height": height,
        "between_arms": np.minimum(arms[:, 2:3] - demands.width, 0.0),
    }


def misses(
    demands: Demands, chairs: Chairs, rows: NDArray[np.intp], rests: NDArray[np.intp]
) -> Misses:
    """Every miss of some chairs (a row each) by requirement; kg for the rating, else mm."""
    return {
        **height_misses(demands, chairs.heights[chairs.height_of[rows]], rests),
        **seat_misses(demands, chairs.seats[chairs.seat_of[rows]]),
        **arms_misses(demands, chairs.arms[chairs.arms_of[rows]]),
        "rating": np.minimum(chairs.ratings[chairs.rating_of[rows], None] - demands.mass, 0.0),
    }


def _meet(reach: Array, low: Array, high: Array) -> NDArray[np.bool_]:
    return (reach[:, :1] <= high) & (reach[:, 1:2] >= low) & (low <= high)


def _beyond(reach: Array, low: Array, high: Array) -> Array:
    over, under = reach[:, :1] - high, low - reach[:, 1:2]
    return np.maximum(over, 0.0) - np.maximum(under, 0.0)
