"""How a figure of the set-up is known: measured or estimated, and how sure."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from consult.body.estimate import Estimate
    from consult.fit.result import Requirement

HowKnown = Literal["measured", "partly", "estimated", "given"]
"""'given' where no body dimension is in it: a desk that stands as it stands."""

NINE_IN_TEN = 1.645
"""Standard deviations either side that hold nine people in ten, of a normal distribution."""


def how_known(estimate: Estimate, one: Requirement) -> HowKnown:
    """What the target rests on."""
    origins = [estimate.dimensions[name].origin == "measured" for name in one.rests_on]
    if not origins:
        return "given"
    if all(origins):
        return "measured"
    return "partly" if any(origins) else "estimated"
