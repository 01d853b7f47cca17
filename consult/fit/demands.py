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
from consult.fit.rules import (
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
) -> Demands:
    """The demands of bodies (rows of ``values``, columns as ``order``) at a workplace.

    ``footrests`` are the heights each footrest on sale can take, mm; ``armless`` where the caller
    wants no armrests.
    """
    body = {name: values[:, at] for at, name in enumerate(order)}
    heel = DEFAULT_HEEL if workplace.heel is None else workplace.heel
    folded, _, open_ = seat_on_floor(body["popliteal_height"], heel, workplace.kept_up)
    floor = -math.inf if workplace.lowest_seat is None else workplace.lowest_seat
    elbow = body["elbow_rest_height"]
    desk = workplace.desk
    lowest, highest = top_of(desk)
    # Desk top above the loaded seat that suits the elbows, pushed up where the thighs need it.
    least, _, most = desk_for_elbows(elbow)
    if desk.thickness is not None:
        room = desk_for_thighs(body["thigh_clearance"], desk.thickness)
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
        reach_up=desk_from if math.isfinite(lowest) else None,
        depth=(shallowest, deepest),
        arms=(lowest_arm, highest_arm),
        width=seat_width(body["hip_breadth_sitting"])[0],
        mass=body["weight"],
        armless=armless,
        left_out=_left_out(desk),
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
