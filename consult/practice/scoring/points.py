"""What each criterion is worth, the figures it is judged by, and the score they add up to."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from consult.practice.model import Guidance


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
    Criterion("questions", "The right questions", 5),
    Criterion("order", "Order of the call", 5),
    Criterion("pace", "Pace", 5),
    Criterion("wording", "Plain wording", 5),
    Criterion("hints", "Without hints", 5),
)
POINTS: Mapping[str, int] = {criterion.name: criterion.points for criterion in CRITERIA}
LABELS: Mapping[str, str] = {criterion.name: criterion.label for criterion in CRITERIA}

MOST_OF_FAILED: Mapping[str, float] = {"signs": 0.3, "consent": 0.4, "chair": 0.5, "pace": 0.6}
"""Criterion -> of all points, the most that a call can have which it fails: harm weighs most, then
a chair that does not fit, then time. What passes is a call that none of them fails."""
MOST_OTHER = 0.6
"""The same where anything else fails a call."""

DID_NOTHING = 0.3
"""What an error weighs that was not noticed and changed nothing about the chair; one that did
weighs 1."""
IN_TIME = 1.125
"""Times the minutes of a good adviser with the same caller that a call may take: of ten minutes,
room for a figure measured once more, or for three hints."""

SPREADS = 2.0
"""Standard deviations of self-measuring that a measure may be off: one in twenty is further off."""
SAID_ROUNDING: Mapping[str, float] = {"mm": 6.5, "kg": 1.0}
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

PACES: Mapping[Guidance, float] = {"guided": 2.5, "partly_guided": 3.0, "unaided": 3.5}
"""Times what a question takes at the call screen (``call.worth.seconds_of``), that an unhurried
learner needs (common practice, no source)."""
TOO_SLOW = 2.0
"""Times the pace at which no point is left."""


SIGN = "Warning sign: "
"""How the name of an item about one warning sign begins."""


@dataclass(frozen=True, slots=True)
class ScoreItem:
    """One thing that was marked, hung on the moment of the call it is about."""

    criterion: str
    """A name of ``CRITERIA``."""
    name: str
    """What was marked, in a few words."""
    got: float
    of: float
    fails: bool = False
    """Fails the call whatever else was good in it."""
    turn: int = 0
    """Number of the turn it hangs on; 0 only where nothing at all was said."""
    why: str = ""
    """What happened, in a plain sentence."""
    better: str = ""
    """What a good adviser would have said or done; '' where that was done."""
    behaviour: str = ""
    """Name of the caller's behaviour that it is about; '' where it is about none."""
    came_up: bool = True
    """False where the call was not led far enough to judge it: nothing was won, nothing missed."""

    @property
    def full(self) -> bool:
        """Nothing was lost on it."""
        return self.got >= self.of and not self.fails


@dataclass(frozen=True, slots=True)
class Score:
    """What an exercise is worth."""

    items: tuple[ScoreItem, ...]

    @property
    def total(self) -> float:
        """Points, to a tenth; of a failed call no more than what failed it leaves."""
        return round(
            min(sum(score_item.got for score_item in self.items), self.out_of * self.limit), 1
        )

    @property
    def limit(self) -> float:
        """The most that this call can have, 0 to 1: what fails it sets it."""
        limits = (
            MOST_OF_FAILED.get(score_item.criterion, MOST_OTHER) for score_item in self.failed_by
        )
        return min(limits, default=1.0)

    @property
    def out_of(self) -> float:
        """The most there was to get, to a tenth."""
        return round(sum(score_item.of for score_item in self.items), 1)

    @property
    def share(self) -> float:
        """Of the most there was to get, 0 to 1."""
        return self.total / self.out_of if self.out_of else 0.0

    @property
    def failed_by(self) -> tuple[ScoreItem, ...]:
        """What fails the call outright."""
        return tuple(score_item for score_item in self.items if score_item.fails)

    @property
    def full(self) -> bool:
        """Nothing could have been better."""
        return all(score_item.full for score_item in self.items)

    @property
    def passed(self) -> bool:
        """The chair fits the true body, no sign was missed, consent was kept, all in time."""
        return not self.failed_by

    def of(self, criterion: str) -> tuple[ScoreItem, ...]:
        return tuple(score_item for score_item in self.items if score_item.criterion == criterion)


@dataclass(frozen=True, slots=True)
class Finding:
    """What a criterion found about one thing, before points are shared out."""

    name: str
    share: float
    """Of its points, 0 to 1."""
    turn: int
    why: str
    better: str = ""
    fails: bool = False
    behaviour: str = ""
    weight: float = 1.0
    """Against the other findings of the criterion."""
    came_up: bool = True
    """As in ``ScoreItem``."""


def scored_items(criterion: str, findings: list[Finding]) -> tuple[ScoreItem, ...]:
    """The points of a criterion shared out over what it found, by weight."""
    each = POINTS[criterion] / sum(finding.weight for finding in findings) if findings else 0.0
    return tuple(
        ScoreItem(
            criterion=criterion,
            name=finding.name,
            got=each * finding.weight * min(max(finding.share, 0.0), 1.0),
            of=each * finding.weight,
            fails=finding.fails,
            turn=finding.turn,
            why=finding.why,
            # What was done fully needs no better way.
            better=finding.better if finding.share < 1 or finding.fails else "",
            behaviour=finding.behaviour,
            came_up=finding.came_up,
        )
        for finding in findings
    )
