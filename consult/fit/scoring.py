"""What each of many bodies demands of a chair, and whether chairs meet it, all at once.

A demand is a span of lengths that a part must reach. Seat heights are a choice of spans: one with
the feet on the floor, one for every footrest on sale. Chairs are held against them as sets of
numbers (as ``Chairs`` keeps them): rows are sets, columns are bodies.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import reduce, wraps
from typing import TYPE_CHECKING, ParamSpec, TypeVar

import numpy as np
from numpy.typing import NDArray

from consult.body.population import Array
from consult.fit.rules import (
    armrest_heights,
    beyond,
    desk_above_seat,
    seat_depths,
    seat_heights,
    seat_width,
    seated,
)
from consult.fit.settings import NO_ARMS
from consult.fit.workplace import Desk, PlaceFigures, Workplace, told_place
from consult.range.parts import ANY

if TYPE_CHECKING:
    from consult.range.chairs import Chairs, Index
    from consult.range.parts import Span


P = ParamSpec("P")
_R = TypeVar("_R")

_ROW = 2048
"""Entries of NumPy's buffer. It gathers the rows of which two fit into one, and copies what is the
same for all columns beside them; of sets against some thousand bodies that is most of the time."""


def without_gathering(work: Callable[P, _R]) -> Callable[P, _R]:
    """The same, with a buffer so small that rows of bodies are taken one by one."""

    @wraps(work)
    def run(*args: P.args, **kwargs: P.kwargs) -> _R:
        before = np.setbufsize(_ROW)
        try:
            return work(*args, **kwargs)
        finally:
            np.setbufsize(before)

    return run


Demand = tuple[Array, Array | None]
"""The lowest and highest that a part must reach; None: it is never too much."""
PartDemand = tuple[Array, Demand]
"""What parts reach, a row each, and the demand on it."""
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
    later: NDArray[np.bool_] | None = None
    """Bodies for which a footrest may be added once the desk is known: nobody is sold one on a
    guess. It makes up for a desk that raises the seat, and for legs too short for every chair on
    sale; never for a chair that could be lower. None: the desk is known."""


def demands(
    values: Array,
    order: Sequence[str],
    workplace: Workplace,
    footrests: Sequence[Span] = (),
    *,
    armless: bool = False,
    drawn: PlaceFigures | None = None,
    chairs_from: float = -math.inf,
) -> Demands:
    """The demands of bodies (rows of ``values``, columns as ``order``) at a workplace.

    ``footrests`` are the heights each footrest on sale can take, mm; ``armless`` where the caller
    wants no armrests; ``drawn`` are workplaces, one beside each body, in place of what is known;
    ``chairs_from`` is the lowest seat of all chairs on sale.
    """
    body = {name: values[:, at] for at, name in enumerate(order)}
    there = told_place(workplace) if drawn is None else drawn
    sitter = seated(body, workplace, there.heel)
    on_floor, limit = sitter.on_floor, sitter.lowest_seat
    least, _, most = desk_above_seat(sitter.elbow, sitter.thigh, there.thickness)
    suits = there.lowest - most, there.highest - least
    shallowest, _, deepest = seat_depths(sitter.thigh_length, sitter.hand)
    lowest_arm, _, highest_arm = armrest_heights(sitter.elbow)
    desk, later = workplace.desk, None
    if drawn is not None and desk.undecided:
        later = (suits[0] > on_floor[2]) | (on_floor[2] < chairs_from)
    return Demands(
        heights=tuple(seat_heights(on_floor, suits, limit, rest) for rest in (None, *footrests)),
        reach_up=suits[0] if np.isfinite(there.lowest).any() else None,
        depth=(shallowest, deepest),
        arms=(lowest_arm, highest_arm),
        width=seat_width(sitter.hips)[0],
        mass=body["weight"],
        armless=armless,
        left_out=_left_out(desk) if drawn is None or desk.kind == "none" else {},
        later=later,
    )


def _left_out(desk: Desk) -> dict[str, str]:
    if desk.kind == "none":
        message = "No desk has been bought yet; one can be bought to suit any of these chairs."
        return {"keyboard_height": message, "thigh_room": message}
    if not math.isfinite(desk.top[0]):
        what = {
            "fixed": "How high the desk is was not said",
            "adjustable": "How low the desk goes was not said",
        }.get(desk.kind or "", "What kind of desk it is was not said")
        message = f"{what}, so it was not tested whether the chair brings the elbows up to it."
        return {"keyboard_height": message, "thigh_room": message}
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
    seats, arms, ratings = (_suits(asked) for _, asked in _asked(demands, chairs))
    return Masks(height_masks(demands, chairs), seats, arms, ratings)


def height_masks(demands: Demands, chairs: Chairs) -> Bits:
    """The same of the heights alone: set of heights x footrest x words."""
    with_rest = [_meets(chairs.heights, span) for span in demands.heights]
    floor = with_rest[0]
    for mask in with_rest[1:]:
        mask |= floor
    if demands.later is not None:
        with_rest = [floor | (np.any(with_rest, axis=0) & demands.later)]
    if demands.reach_up is not None:
        reaches = _meets(chairs.heights[:, 1:], (demands.reach_up, None))
        for mask in with_rest:
            mask &= reaches
    return np.stack([packed(mask) for mask in with_rest], axis=1)


def _asked(demands: Demands, chairs: Chairs) -> tuple[tuple[Index, Mapping[str, PartDemand]], ...]:
    """Of seats, arms and ratings: which set of numbers a chair has, and what is asked of each."""
    seats, arms = chairs.seats, chairs.arms
    reach = arms[:, :2]
    if demands.armless:
        reach = np.where(np.isinf(reach), ANY, reach)
    of_seats = {
        "seat_depth": (seats[:, :2], demands.depth),
        "seat_width": (seats[:, 2:], (demands.width, None)),
    }
    of_arms = {
        "armrest_height": (reach, demands.arms),
        "between_arms": (arms[:, 2:], (demands.width, None)),
    }
    of_ratings = {"rating": (chairs.ratings[:, None], (demands.mass, None))}
    return (chairs.seat_of, of_seats), (chairs.arms_of, of_arms), (chairs.rating_of, of_ratings)


def _suits(asked: Mapping[str, PartDemand]) -> Bits:
    return packed(reduce(np.logical_and, (_meets(*pair) for pair in asked.values())))


def _meets(reach: Array, demand: Demand) -> NDArray[np.bool_]:
    """Whether what reaches from the first to the last column meets a demand: row x body. The same
    as missing it by nothing, at half the time."""
    low, high = demand
    met = reach[:, -1:] >= low
    if high is not None:
        met &= reach[:, :1] <= high
        met &= low <= high
    return met


def _misses(reach: Array, demand: Demand) -> Array:
    """Signed mm by which it does not; where there are no armrests, what none are like."""
    low, high = demand
    if high is None:
        return np.asarray(np.minimum(reach[:, -1:] - low, 0.0))
    none = reach[:, :1] > reach[:, -1:]
    some = np.where(none, 0.0, reach)
    return np.where(none, -float(NO_ARMS), beyond(some[:, :1], some[:, -1:], low, high))


def all_met(missed: Misses) -> NDArray[np.bool_]:
    """Where nothing is missed."""
    return np.asarray(np.all([amount == 0 for amount in missed.values()], axis=0))


def packed(flags: NDArray[np.bool_]) -> Bits:
    """Flags in words; the bodies missing from the last word count as not suited."""
    octets = np.packbits(flags, axis=-1)
    short = -octets.shape[-1] % 8
    if short:
        octets = np.concatenate([octets, np.zeros((*octets.shape[:-1], short), np.uint8)], axis=-1)
    return np.ascontiguousarray(octets).view(np.uint64)


def _height_misses(demands: Demands, heights: Array, rests: NDArray[np.intp]) -> dict[str, Array]:
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
        usable = ((rests == at) | (at == 0))[:, None]
        if demands.later is not None:
            usable = usable | demands.later
        better = usable & (amount < least)
        short = np.maximum(amount, 0.0)
        by_feet = hung >= np.maximum(over, under)
        seat = np.where(
            better, np.where(by_feet, 0.0, np.where(over >= under, short, -short)), seat
        )
        feet = np.where(better, np.where(by_feet, -short, 0.0), feet)
        least = np.where(better, amount, least)
    missed = {"seat_height": seat, "footrest_height": feet}
    if demands.reach_up is not None:
        missed["keyboard_height"] = _misses(heights[:, 1:], (demands.reach_up, None))
    return missed


def misses(
    demands: Demands, chairs: Chairs, rows: NDArray[np.intp], rests: NDArray[np.intp]
) -> Misses:
    """Every miss of some chairs (a row each) by requirement; kg for the rating, else mm."""
    missed = _height_misses(demands, chairs.heights[chairs.height_of[rows]], rests)
    for set_of, asked in _asked(demands, chairs):
        at = set_of[rows]
        missed |= {name: _misses(reach[at], demand) for name, (reach, demand) in asked.items()}
    return missed


def mean_misses(demands: Demands, chairs: Chairs, rows: Index, rests: int) -> Array:
    """mm that chairs miss by, all requirements added up and averaged: row x footrest, none first,
    then so many on sale."""
    mean = np.zeros((len(rows), rests + 1))
    for rest in range(rests + 1):
        height = _height_misses(demands, chairs.heights, np.full(len(chairs.heights), rest))
        mean[:, rest] = _mean(height)[chairs.height_of[rows]]
    for set_of, asked in _asked(demands, chairs)[:2]:
        missed = _mean({name: _misses(*pair) for name, pair in asked.items()})
        mean += missed[set_of[rows]][:, None]
    return mean


def _mean(missed: Misses) -> Array:
    return np.asarray(sum(np.abs(amount).mean(axis=1) for amount in missed.values()))
