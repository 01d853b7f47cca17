"""Lead times count working days."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from consult.call.working_days import working_day

FRIDAY, SATURDAY = date(2026, 11, 27), date(2026, 11, 28)


@pytest.mark.parametrize(
    ("today", "days", "day"),
    [
        (FRIDAY, 0, date(2026, 11, 27)),
        (FRIDAY, 1, date(2026, 11, 30)),
        (FRIDAY, 6, date(2026, 12, 7)),
        (SATURDAY, 0, date(2026, 11, 30)),
        (SATURDAY, 1, date(2026, 11, 30)),
        (SATURDAY, 2, date(2026, 12, 1)),
        # After Thursday, Christmas Eve of 2026, comes Monday; the Friday of New Year is off, too.
        (date(2026, 12, 24), 1, date(2026, 12, 28)),
        (date(2026, 12, 25), 0, date(2026, 12, 28)),
        (date(2026, 12, 31), 1, date(2027, 1, 4)),
    ],
)
def test_by_the_calendar(today: date, days: int, day: date) -> None:
    """From a Friday the next working day is Monday, and nothing is due on a weekend."""
    assert working_day(today, days) == day


@given(st.integers(0, 400), st.integers(0, 60))
def test_counted_one_by_one(ahead: int, days: int) -> None:
    """So many days that are worked lie after today, the last of them the day itself."""
    today = FRIDAY + timedelta(days=ahead)
    due = working_day(today, days)
    after = (today + timedelta(days=n) for n in range(1, (due - today).days + 1))
    assert worked(due)
    assert sum(map(worked, after)) == max(days, not worked(today))


def worked(day: date) -> bool:
    """By the strings of a calendar, as nothing else of the program reads them."""
    return day.strftime("%a") not in ("Sat", "Sun") and day.strftime("%d %b") not in (
        "25 Dec",
        "26 Dec",
        "01 Jan",
    )
