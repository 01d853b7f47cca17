"""Working days: what every lead time of a range counts, wherever a date is told of it."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from datetime import date

_FRIDAY = 4


def working_day(today: date, days: int) -> date:
    """So many working days on: Saturdays and Sundays are left out, bank holidays are not known.

    Never a Saturday or Sunday itself, so no days from a Saturday is the Monday after it.
    """
    day = today
    while days > 0 or day.weekday() > _FRIDAY:
        day += timedelta(days=1)
        days -= day.weekday() <= _FRIDAY
    return day


def days_words(days: int) -> str:
    """A lead time as people read it."""
    return "1 working day" if days == 1 else f"{days} working days"
