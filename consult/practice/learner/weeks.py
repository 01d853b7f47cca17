"""The last week of a group beside the week before, counted back from the latest exercise."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from consult.practice.scoring.points import SIGN

if TYPE_CHECKING:
    from consult.practice.learner.done import Done, LearnerRecord

_DAYS = 7


@dataclass(frozen=True, slots=True)
class Week:
    """What a group did in seven days."""

    first: date
    last: date
    exercises: int
    passed: int
    average: float | None
    """Of 100; None without exercises."""
    signs_missed: int
    measures_wrong: int


def two_weeks(records: Sequence[LearnerRecord]) -> tuple[Week, Week] | None:
    """The week before the last one, and the last; None unless both have exercises."""
    done = [one for record in records for one in record.done]
    if not done:
        return None
    last = max(one.day for one in done)
    if last < date.min + timedelta(days=2 * _DAYS):
        return None
    before, now = _week(done, last - timedelta(days=_DAYS)), _week(done, last)
    return (before, now) if before.exercises else None


def _week(done: Sequence[Done], last: date) -> Week:
    first = last - timedelta(days=_DAYS - 1)
    own = [one for one in done if first <= one.day <= last]
    missed = [item for one in own for item in one.items if item.came_up and not item.full]
    return Week(
        first=first,
        last=last,
        exercises=len(own),
        passed=sum(one.passed for one in own),
        average=round(sum(one.of_100 for one in own) / len(own), 1) if own else None,
        signs_missed=sum(
            item.criterion == "signs" and item.name.startswith(SIGN) for item in missed
        ),
        measures_wrong=sum(item.criterion == "measures" for item in missed),
    )
