"""Dates as callers say them, "next Tuesday", and the working days of lead times."""

from __future__ import annotations

import calendar
import re
from datetime import date, timedelta

from consult.hearing.spoken import in_digits, plain
from consult.units import Proposal, Unclear

_MONTHS = {name.lower(): at for at, name in enumerate(calendar.month_name) if name} | {
    name.lower(): at for at, name in enumerate(calendar.month_abbr) if name
}
_MONTHS["sept"] = 9
_DAYS = {name.lower(): at for at, name in enumerate(calendar.day_name)} | {
    name.lower(): at for at, name in enumerate(calendar.day_abbr)
}
_DAYS |= {"tues": 1, "weds": 2, "thur": 3, "thurs": 3}
_ASK = "Which date is that? For example 2 December, 2026-12-02, next Tuesday or in 2 weeks."
_FARTHEST_YEARS = 3


def parse_date(text: str, today: date) -> date:
    """The day meant, on or after ``today``; Unclear with a question back where it is not plain.

    Days without a year are the next such day. Figures are day, month, year, as in Europe.
    """
    if len(text) > 60:
        raise Unclear(_ASK)
    said = plain(text).strip(" .,")
    said = re.sub(r"\b(on|the|of|by)\b|(?<=\d)(st|nd|rd|th)\b|,", " ", said)
    said = " ".join(said.replace("weeks' ", "weeks ").replace("days' ", "days ").split())
    found = _relative(said, today) or _weekday(said, today) or _calendar(said, today)
    if found is None:
        raise Unclear(_ASK)
    if found < today:
        raise Unclear(f"{found:%d %B %Y} is in the past. Which future date do you mean?")
    if found.year > today.year + _FARTHEST_YEARS:
        raise Unclear(f"{found:%d %B %Y} is years away. Is the year right?")
    return found


def _relative(said: str, today: date) -> date | None:
    if said in ("today", "tomorrow"):
        return today + timedelta(days=said == "tomorrow")
    if said in ("next week", "in a week"):
        return today + timedelta(weeks=1)
    counted = in_digits(said)
    match = re.fullmatch(
        r"(?:in )?(?:about )?(\d{1,3}) (day|week|fortnight|month)s?(?: time)?", counted
    )
    if not match:
        return None
    count, unit = int(match[1]), match[2]
    if unit == "month":
        months = today.month - 1 + count
        year, month = today.year + months // 12, months % 12 + 1
        return date(year, month, min(today.day, calendar.monthrange(year, month)[1]))
    return today + timedelta(days=count * {"day": 1, "week": 7, "fortnight": 14}[unit])


def _weekday(said: str, today: date) -> date | None:
    """The coming day of a name, or the one a week later for "Tuesday week".

    "Next Friday" said on a Wednesday may be either, so it is asked.
    """
    name = said.removeprefix("next ").removeprefix("this ")
    later = re.fullmatch(r"(\w+) week|a week (\w+)", name)
    if later:
        name = later[1] or later[2]
    if name not in _DAYS:
        return None
    ahead = (_DAYS[name] - today.weekday() - 1) % 7 + 1
    coming = today + timedelta(days=ahead)
    if later:
        return coming + timedelta(weeks=1)
    if said.startswith("next ") and ahead + today.weekday() < 7:
        days = (coming, coming + timedelta(weeks=1))
        shown = [Proposal(f"{day:%Y-%m-%d}", f"{day:%A} {day.day} {day:%B}") for day in days]
        raise Unclear(f"Is that {shown[0].words} or {shown[1].words}?", tuple(shown))
    return coming


def _calendar(said: str, today: date) -> date | None:
    if match := re.fullmatch(r"(\d{4})-(\d{1,2})-(\d{1,2})", said):
        return _day(int(match[1]), int(match[2]), int(match[3]))
    if match := re.fullmatch(r"(\d{1,2})[-/. ](\d{1,2})(?:[-/. ](\d{4}|\d{2}))?", said):
        return _coming(int(match[1]), int(match[2]), match[3], today)
    words = said.split()
    months = [_MONTHS[word] for word in words if word in _MONTHS]
    figures = [word for word in words if word.isdecimal() and len(word) <= 4]
    if len(months) == 1 and len(figures) in (1, 2) and len(months) + len(figures) >= len(words) - 1:
        leftover = [word for word in words if word not in _MONTHS and word not in figures]
        if all(word in _DAYS for word in leftover):
            year = figures[1] if len(figures) == 2 else None
            found = _coming(int(figures[0]), months[0], year, today)
            if found and leftover and found.weekday() != _DAYS[leftover[0]]:
                raise Unclear(f"{found:%d %B %Y} is a {found:%A}. Which day do you mean?")
            return found
    return None


def _coming(day: int, month: int, year: str | None, today: date) -> date | None:
    if year is not None:
        return _day(int(year) + (2000 if len(year) == 2 else 0), month, day)
    this_year = _day(today.year, month, day)
    if this_year and this_year < today:
        return _day(today.year + 1, month, day)
    return this_year or _day(today.year + 1, month, day)


def _day(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None


# -- working days: what every lead time of a range counts, wherever a date is told of it ----------

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
