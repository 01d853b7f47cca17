"""The few body measures the fit works with, and how unsure any sum of them is."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from consult.fit.rules import COS5, Band, seat_on_floor
from consult.fit.workplace import DEFAULT_HEEL

if TYPE_CHECKING:
    from consult.body.estimate import Estimate
    from consult.fit.workplace import Workplace

Weights = Mapping[str, float]
"""Body dimension to its factor in a sum; ``{"popliteal_height": COS5}``."""

LEGS: Weights = {"popliteal_height": COS5}
"""What the seat height of the legs is made of; the heel is taken as known."""


@dataclass(frozen=True, slots=True)
class Sitter:
    """Best guess of one body in shoes, mm."""

    popliteal: float
    thigh_length: float
    """Buttock-popliteal length."""
    elbow: float
    """Elbow rest height, above the loaded seat."""
    thigh: float
    """Thigh clearance, above the loaded seat."""
    hips: float
    eye: float
    """Eye height above the loaded seat, sitting erect."""
    stature: float
    sitting_height: float
    hand: float | None
    """Hand breadth, if it was itself measured."""
    heel: float
    lowest_seat: float = -math.inf
    """Loaded seat height below which this person may not sit."""
    kept_up: bool = False
    """The knees may not come above the hips."""

    @property
    def on_floor(self) -> Band:
        """Loaded seat heights with the feet on the floor."""
        return seat_on_floor(self.popliteal, self.heel, self.kept_up)

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

    def mean(dimension: str) -> float:
        return estimate.dimensions[dimension].mean

    measured = any(one.dimension == "hand_breadth" for one in estimate.used)
    return Sitter(
        popliteal=mean("popliteal_height"),
        thigh_length=mean("buttock_popliteal_length"),
        elbow=mean("elbow_rest_height"),
        thigh=mean("thigh_clearance"),
        hips=mean("hip_breadth_sitting"),
        eye=mean("eye_height_sitting"),
        stature=mean("stature"),
        sitting_height=mean("sitting_height"),
        hand=mean("hand_breadth") if measured else None,
        heel=DEFAULT_HEEL if workplace.heel is None else workplace.heel,
        lowest_seat=-math.inf if workplace.lowest_seat is None else workplace.lowest_seat,
        kept_up=workplace.kept_up,
    )


def spread_of(estimate: Estimate, weights: Weights) -> float:
    """Standard deviation of a weighted sum of dimensions (mm).

    Second moments of the mixture, so dimensions that go together are not counted as independent,
    and a sex not stated counts as doubt.
    """
    if not weights:
        return 0.0
    factor = np.array([weights.get(name, 0.0) for name in estimate.dimensions])
    means = [float(factor @ one.mean) for one in estimate.components]
    share = [one.weight for one in estimate.components]
    centre = sum(w * mean for w, mean in zip(share, means, strict=True))
    variance = sum(
        one.weight * (float(factor @ one.covariance @ factor) + (mean - centre) ** 2)
        for one, mean in zip(estimate.components, means, strict=True)
    )
    # Rounding may leave a hair below nought where two measures cancel.
    return math.sqrt(max(variance, 0.0))


def dimensions_in(weights: Weights) -> tuple[str, ...]:
    """The dimensions that a weighted sum rests on."""
    return tuple(name for name, weight in weights.items() if weight)


def added(first: Weights, second: Weights, factor: float = 1.0) -> Weights:
    """``first + factor * second``, dimension by dimension."""
    names = {**first, **second}
    return {name: first.get(name, 0.0) + factor * second.get(name, 0.0) for name in names}
