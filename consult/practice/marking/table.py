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
    Criterion("signs", "Warning signs", 20),
    Criterion("consent", "Consent before health", 10),
    Criterion("noticed", "Errors noticed", 15),
    Criterion("heard", "Entered as heard", 5),
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

MOST: Mapping[str, float] = {"signs": 0.3, "consent": 0.4, "chair": 0.5, "pace": 0.6}
"""Criterion -> of all points, the most that a call can have which it fails: harm weighs most, then
a chair that does not fit, then time. What passes is a call that none of them fails."""
MOST_OTHER = 0.6
"""The same where anything else fails a call."""

DID_NOTHING = 0.3
"""What an error weighs that was not noticed and changed nothing about the chair; one that did
weighs 1."""
IN_TIME = 1.15
"""Times the minutes of a good adviser with the same caller that a call may take: of ten minutes,
room for a figure measured once more, or for four hints."""

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
SEAT_OFF = 30.0
"""mm that the seat height may be off: less is a matter of taste (common practice, no source)."""

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
