"""Whether a figure of the set-up rests on what was measured or on what was estimated."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from consult.body.estimate import Estimate
    from consult.fit.result import Requirement

HowKnown = Literal["measured", "partly", "estimated", "given"]
"""'given' where no body dimension is in it: a desk that stands as it stands."""


def how_known(estimate: Estimate, one: Requirement) -> HowKnown:
    """What the target rests on."""
    origins = [estimate.dimensions[name].origin == "measured" for name in one.rests_on]
    if not origins:
        return "given"
    if all(origins):
        return "measured"
    return "partly" if any(origins) else "estimated"
