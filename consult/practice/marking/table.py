"""What each criterion is worth, and the figures it is judged by: all in one place to change."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from consult.practice.levels import Level


@dataclass(frozen=True, slots=True)
class Criterion:
    """One thing a call is marked on."""

    name: str
    label: str
    points: int
    """Shared out evenly over its items. A criterion that a call has no use for counts for nothing,
    neither in the total nor in what the total is out of."""


CRITERIA = (
    Criterion("signs", "Warning signs", 25),
    Criterion("consent", "Consent before health", 10),
    Criterion("noticed", "Errors noticed", 15),
    Criterion("measures", "Measures near the true body", 10),
    Criterion("chair", "The chair recommended", 15),
    Criterion("questions", "No needless questions", 5),
    Criterion("order", "Order of the call", 5),
    Criterion("pace", "Pace", 5),
    Criterion("wording", "Plain wording", 5),
    Criterion("hints", "Without hints", 5),
)
POINTS: Mapping[str, int] = {one.name: one.points for one in CRITERIA}
LABELS: Mapping[str, str] = {one.name: one.label for one in CRITERIA}

PASS_SHARE = 0.7
"""Of all points, what passes a call in which nothing fails it outright."""

SPREADS = 2.0
"""Standard deviations of self-measuring that a measure may be off: one in twenty is further off."""
ROUNDING: Mapping[str, float] = {"mm": 6.5, "kg": 1.0}
"""What rounding to a centimetre or half an inch, or to a kilo or two pounds, may add."""
ROUNDING_TALL = 13.0
"""mm; of lengths from a metre on, which are said to the inch."""
WORKPLACE_SD = 5.0
"""mm; error of measuring a desk or a shoe (common practice, no source)."""

AS_GOOD = 0.05
"""P(fits) that two chairs may differ by and still be called equally good."""

AT_ONCE = 2
"""Turns after which a caution is late that a sign called for."""
LATE_SHARE = 0.5
"""Of the points of a sign, what is left where it was acted on late."""

NEEDLESS_COST = 1.0
"""Points for each needless question."""

LED_ENOUGH = 0.9
"""Share of the questions a call needs from which on it counts as led: what is only a matter of
doing nothing wrong is worth less where less was done."""

PACES: Mapping[Level, float] = {"guided": 2.5, "partly_guided": 3.0, "unaided": 3.5}
"""Times what a question takes at the call screen (``call.worth.seconds_of``), that an unhurried
learner needs (common practice, no source)."""
TOO_SLOW = 2.0
"""Times the pace at which no point is left."""
