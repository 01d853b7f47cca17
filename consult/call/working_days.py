"""Working days: what every lead time of a range counts, wherever a date is told of it."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from datetime import date

_FRIDAY = 4
_CLOSED = {(12, 25), (12, 26), (1, 1)}
"""Month and day when hardly anybody works (common practice, no source)."""


def working_day(today: date, days: int) -> date:
    """So many working days on, without weekends, Christmas and New Year.

    Other holidays are not known. Never such a day itself, so no days from a Saturday is the Monday
    after it.
    """
    day = today
    while days > 0 or not _worked(day):
        day += timedelta(days=1)
        days -= _worked(day)
    return day


def _worked(day: date) -> bool:
    return day.weekday() <= _FRIDAY and (day.month, day.day) not in _CLOSED


def days_words(days: int) -> str:
    """A lead time as people read it."""
    return "1 working day" if days == 1 else f"{days} working days"
