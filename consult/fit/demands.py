"""What each of many bodies demands of a chair, all bodies at once: the array twin of ``assess``.

A demand is a span of lengths that a part must reach. Seat heights are a choice of spans: one with
the feet on the floor, one for every footrest on sale.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from consult.fit.desk import top_of
from consult.fit.places import undecided
from consult.fit.rules import (
    Number,
    armrests,
    desk_for_elbows,
    desk_for_thighs,
    seat_depth,
    seat_on_floor,
    seat_width,
)
from consult.fit.workplace import DEFAULT_HEEL

if TYPE_CHECKING:
    from consult.body.estimate import Estimate
    from consult.fit.places import Places
    from consult.fit.range_model import Span
    from consult.fit.workplace import Desk, Workplace

Array = NDArray[np.float64]

DIMENSIONS = (
    "weight",
    "popliteal_height",
    "buttock_popliteal_length",
    "elbow_rest_height",
    "thigh_clearance",
    "hip_breadth_sitting",
)
HAND = "hand_breadth"


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
        heel: Number = DEFAULT_HEEL if workplace.heel is None else workplace.heel
        (lowest, highest), thickness = top_of(desk), desk.thickness
        tested = math.isfinite(lowest)
    else:
        heel, thickness = drawn.heel, drawn.thickness
        lowest, highest, tested = drawn.lowest, drawn.highest, bool((drawn.kind < 2).any())
    folded, _, open_ = seat_on_floor(body["popliteal_height"], heel, workplace.kept_up)
    floor = -math.inf if workplace.lowest_seat is None else workplace.lowest_seat
    elbow = body["elbow_rest_height"]
    # Desk top above the loaded seat that suits the elbows, pushed up where the thighs need it.
    least, _, most = desk_for_elbows(elbow)
    if thickness is not None:
        room = desk_for_thighs(body["thigh_clearance"], thickness)
        most, least = np.maximum(most, room), np.maximum(least, room)
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
    if not math.isfinite(top_of(desk)[0]):
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
