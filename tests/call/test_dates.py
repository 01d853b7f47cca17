"""Dates as they are said on the telephone. The calendar of late 2026 was counted out by hand."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from consult.call.said import parse_date
from consult.scale import working_day
from consult.units import Unclear
from tests.call.calls import TODAY
from tests.long import every_case

DECEMBER_2 = date(2026, 12, 2)


@every_case(
    [
        "2 December",
        "2nd of December",
        "on the 2nd December",
        "December 2",
        "Dec 2, 2026",
        "2 dec 26",
        "Wednesday 2 December",
        "wed 2nd dec",
        "2/12",
        "2.12.2026",
        "02-12-2026",
        "2/12/26",
        "2026-12-02",
        "by 2 December",
        "in a week",
        "a week",
        "next week",
        "in 7 days",
        "in seven days' time",
        "Wednesday",
        "next Wednesday",
        "weds",
        " WEDNESDAY. ",
    ]
)
def test_many_ways_to_say_one_day(said: str) -> None:
    """Day, month, weekday or span: they all come to 2 December."""
    assert parse_date(said, TODAY) == DECEMBER_2


@every_case(
    [
        ("today", TODAY),
        ("tomorrow", date(2026, 11, 26)),
        ("in two weeks", date(2026, 12, 9)),
        ("two weeks' time", date(2026, 12, 9)),
        ("in a fortnight", date(2026, 12, 9)),
        ("in about ten days", date(2026, 12, 5)),
        ("in a month", date(2026, 12, 25)),
        ("in six months", date(2027, 5, 25)),
        ("Thursday", date(2026, 11, 26)),
        ("tuesday", date(2026, 12, 1)),
        ("this friday", date(2026, 11, 27)),
        ("25 November", TODAY),
        ("24 November", date(2027, 11, 24)),
        ("5 Jan", date(2027, 1, 5)),
        ("sept 5", date(2027, 9, 5)),
        ("29 February 2028", date(2028, 2, 29)),
    ]
)
def test_days_to_come(said: str, day: date) -> None:
    """A day without a year is the next such day; a weekday is never today."""
    assert parse_date(said, TODAY) == day


@pytest.mark.parametrize(
    ("today", "said", "day"),
    [
        (date(2027, 1, 31), "in a month", date(2027, 2, 28)),
        (date(2028, 1, 31), "in one month", date(2028, 2, 29)),
        (date(2026, 12, 31), "in two months", date(2027, 2, 28)),
        (date(2026, 12, 31), "tomorrow", date(2027, 1, 1)),
        (date(2027, 6, 1), "29 Feb", date(2028, 2, 29)),
        (date(2028, 2, 29), "29 Feb", date(2028, 2, 29)),
    ],
)
def test_ends_of_months(today: date, said: str, day: date) -> None:
    """A month on is the last day where the month is shorter; 29 February waits for its year."""
    assert parse_date(said, today) == day


@pytest.mark.parametrize("said", ["1 November 2026", "24/11/2026", "2026-01-01", "2/12/25"])
def test_past_dates_are_asked_back(said: str) -> None:
    """A day gone by is no day to ring back."""
    with pytest.raises(Unclear, match="in the past"):
        parse_date(said, TODAY)


@pytest.mark.parametrize("said", ["2 December 2036", "in 900 months", "2999-12-31"])
def test_years_away_is_asked_back(said: str) -> None:
    """A year that is probably a slip is asked about."""
    with pytest.raises(Unclear, match="years away"):
        parse_date(said, TODAY)


def test_a_weekday_at_odds_with_its_date_is_asked_back() -> None:
    """'Tuesday 2 December' is two days in 2026; which is meant is asked."""
    with pytest.raises(Unclear, match="is a Wednesday"):
        parse_date("Tuesday 2 December", TODAY)


@every_case(
    [
        *("31 November", "29 Feb", "12", "3rd", "25/13", "11/25/2026", "² december", "december"),
        *("0000-01-01", "99999-12-12", "2 december 2 december", "when it suits", "x" * 61),
    ]
)
def test_no_plain_day_is_asked_back(said: str) -> None:
    """A day that does not exist, or that the words do not settle, is asked back with examples."""
    with pytest.raises(Unclear, match="For example"):
        parse_date(said, TODAY)


@given(
    said=st.text(max_size=62) | st.text(alphabet="0123456789 ./-²½decmarthoniwk,", max_size=20),
    today=st.dates(date(1990, 1, 1), date(2200, 1, 1)),
)
def test_any_text_is_a_day_to_come_or_asked_back(said: str, today: date) -> None:
    """No text makes it fail, and no day comes out that has gone by."""
    found, asked_back = None, ""
    try:
        found = parse_date(said, today)
    except Unclear as back:
        asked_back = str(back)
    assert asked_back or (found and found >= today)


@given(day=st.integers(0, 1000).map(lambda days: TODAY + timedelta(days=days)))
def test_written_dates_come_back(day: date) -> None:
    """Every day of the coming years is understood in the forms people write."""
    assert parse_date(day.isoformat(), TODAY) == day
    assert parse_date(f"{day:%A} {day.day} {day:%B %Y}", TODAY) == day
    assert parse_date(f"{day.day}/{day.month}/{day.year}", TODAY) == day


@pytest.mark.parametrize("said", ["Tuesday week", "a week on Tuesday", "tues week"])
def test_a_day_a_week_later(said: str) -> None:
    """A day and "week" is that day seven days on."""
    assert parse_date(said, TODAY) == date(2026, 12, 8)


def test_next_friday_may_be_two_days() -> None:
    """On a Wednesday "next Friday" is in two days or in nine, so both are proposed."""
    with pytest.raises(Unclear, match="Friday 27 November or Friday 4 December") as caught:
        parse_date("next Friday", TODAY)
    assert [one.said for one in caught.value.proposals] == ["2026-11-27", "2026-12-04"]
    assert parse_date("next Monday", TODAY) == date(2026, 11, 30)
    assert parse_date("Friday", TODAY) == date(2026, 11, 27)


# -- lead times count working days ----------------------------------------------------------------

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
