"""What each of many bodies demands of a chair, and whether chairs meet it, all at once.

A demand is a span of lengths that a part must reach. Seat heights are a choice of spans: one with
the feet on the floor, one for every footrest on sale. Chairs are held against them as sets of
numbers (as ``Chairs`` keeps them): rows are sets, columns are bodies.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from consult.body.population import Array
from consult.fit.rules import (
    Number,
    armrests,
    beyond,
    desk_above_seat,
    seat_depth,
    seat_on_floor,
    seat_width,
)
from consult.fit.settings import NO_ARMS
from consult.fit.workplace import Desk, Places, Workplace, undecided

if TYPE_CHECKING:
    from consult.body.estimate import Estimate
    from consult.fit.chairs import Chairs
    from consult.fit.rules import Span


DIMENSIONS = (
    "weight",
    "popliteal_height",
    "buttock_popliteal_length",
    "elbow_rest_height",
    "thigh_clearance",
    "hip_breadth_sitting",
)
HAND = "hand_breadth"
Misses = Mapping[str, Array]
"""Requirement -> row x body."""
Bits = NDArray[np.uint64]
"""Sixty-four bodies a word, 1 where the demand is met."""


@dataclass(frozen=True, slots=True, eq=False)
class Demands:
    """One entry a body; mm, kg. Each pair is the lowest and highest that is acceptable."""

    heights: tuple[tuple[Array, Array], ...]
    """Loaded seat heights: feet on the floor, then on each footrest on sale. Crossed ends: this
    body cannot be seated so, whatever the chair."""
    reach_up: Array | None
    """The loaded seat height the keyboard asks the chair to reach; None: no desk to test."""
    depth: tuple[Array, Array]
    arms: tuple[Array, Array]
    """Armrest height above the loaded seat."""
    width: Array
    """The narrowest seat, and the least room between the arms."""
    mass: Array
    armless: bool
    """No armrests are as good as armrests that meet the elbow: the caller wants none."""
    left_out: Mapping[str, str]
    """Requirement that cannot be tested -> why."""
    rest_later: bool = False
    """The desk is not known, so nobody is sold a footrest on a guess: any on sale may be added
    once it is, and the seat heights count as one choice."""


def dimensions_for(estimate: Estimate) -> tuple[str, ...]:
    """The dimensions demands are made of; hand breadth counts only where it was measured."""
    measured = any(one.dimension == HAND for one in estimate.used)
    return (*DIMENSIONS, HAND) if measured else DIMENSIONS


def demands(
    values: Array,
    order: Sequence[str],
    workplace: Workplace,
    footrests: Sequence[Span] = (),
    *,
    armless: bool = False,
    drawn: Places | None = None,
) -> Demands:
    """The demands of bodies (rows of ``values``, columns as ``order``) at a workplace.

    ``footrests`` are the heights each footrest on sale can take, mm; ``armless`` where the caller
    wants no armrests; ``drawn`` are workplaces, one beside each body, in place of what is known.
    """
    body = {name: values[:, at] for at, name in enumerate(order)}
    desk = workplace.desk
    lowest: Number
    highest: Number
    thickness: Number
    if drawn is None:
        heel: Number = workplace.under_feet
        (lowest, highest), thickness = desk.top, desk.thickness
        tested = math.isfinite(lowest)
    else:
        heel, thickness = drawn.heel, drawn.thickness
        lowest, highest, tested = drawn.lowest, drawn.highest, bool((drawn.kind < 2).any())
    cushion = workplace.cushion
    folded, _, open_ = seat_on_floor(body["popliteal_height"], heel, workplace.kept_up, cushion)
    floor = -math.inf if workplace.lowest_seat is None else workplace.lowest_seat
    elbow = body["elbow_rest_height"] + cushion
    least, _, most = desk_above_seat(elbow, body["thigh_clearance"] + cushion, thickness)
    desk_from, desk_to = lowest - most, highest - least
    raised = desk_from > open_
    heights = [(np.maximum(np.where(raised, desk_from, folded), floor), open_)]
    for low, high in footrests:
        least = np.maximum(np.maximum(folded + low, desk_from), floor)
        heights.append((least, np.minimum(open_ + high, desk_to)))
    shallowest, _, deepest = seat_depth(body["buttock_popliteal_length"], body.get(HAND))
    lowest_arm, _, highest_arm = armrests(elbow)
    return Demands(
        heights=tuple(heights),
        reach_up=desk_from if tested else None,
        depth=(shallowest, deepest),
        arms=(lowest_arm, highest_arm),
        width=seat_width(body["hip_breadth_sitting"])[0],
        mass=body["weight"],
        armless=armless,
        left_out=_left_out(desk) if drawn is None or desk.kind == "none" else {},
        rest_later=drawn is not None and undecided(desk),
    )


def _left_out(desk: Desk) -> dict[str, str]:
    if desk.kind == "none":
        said = "No desk has been bought yet; one can be bought to suit any of these chairs."
        return {"keyboard_height": said, "thigh_room": said}
    if not math.isfinite(desk.top[0]):
        what = {
            "fixed": "How high the desk is was not said",
            "adjustable": "How low the desk goes was not said",
        }.get(desk.kind or "", "What kind of desk it is was not said")
        said = f"{what}, so it was not tested whether the chair brings the elbows up to it."
        return {"keyboard_height": said, "thigh_room": said}
    if desk.thickness is None:
        return {
            "thigh_room": "The thickness of the desk was not said, so room for the thighs "
            "was not tested."
        }
    return {}


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
    # The same as missing nothing, at half the time: see ``seat_misses`` and ``arms_misses``.
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


def all_met(missed: Misses) -> NDArray[np.bool_]:
    """Where nothing is missed."""
    return np.asarray(np.all([amount == 0 for amount in missed.values()], axis=0))


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
        "seat_depth": beyond(seats[:, :1], seats[:, 1:2], *demands.depth),
        "seat_width": np.minimum(seats[:, 2:3] - demands.width, 0.0),
    }


def arms_misses(demands: Demands, arms: Array) -> dict[str, Array]:
    """Signed mm by which arms miss in height and in the room between them."""
    none = np.isinf(arms[:, :1])
    without = 0.0 if demands.armless else -float(NO_ARMS)
    some = np.where(none, 0.0, arms)
    height = np.where(none, without, beyond(some[:, :1], some[:, 1:2], *demands.arms))
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
