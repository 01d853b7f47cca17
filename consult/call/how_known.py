"""How a figure of the set-up is known: measured or estimated, and its uncertainty."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from consult.body.estimate import Estimate
    from consult.fit.requirements import Requirement

HowKnown = Literal["measured", "partly", "estimated", "given"]
"""'given' if no body dimension is in it, as for a fixed desk."""

NINE_IN_TEN = 1.645
"""Standard deviations either side that hold nine people in ten, of a normal distribution."""


def how_known(estimate: Estimate, one: Requirement) -> HowKnown:
    """Whether the target is from measured or estimated dimensions."""
    origins = [estimate.dimensions[name].origin == "measured" for name in one.rests_on]
    if not origins:
        return "given"
    if all(origins):
        return "measured"
    return "partly" if any(origins) else "estimated"
