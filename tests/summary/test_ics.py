"""The follow-up as a calendar file, held to RFC 5545."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta, timezone
from typing import Any

import icalendar
import pytest
from hypothesis import given
from hypothesis import strategies as st

from consult.call.state import state
from consult.summary import Paper
from consult.summary.mail import to_ics
from consult.summary.render import Writer
from consult.visible import harmless
from tests.long import every_case
from tests.summary.papers import HOSTILE, MADE
from tests.ui.desk import demo, demo_basis

DAY = date(2026, 12, 16)


def ics(words: str = "Ring about the chair", day: date = DAY, uid: str = "a@consult") -> str:
    return to_ics(day, words, uid=uid, made=MADE)


def unfolded(text: str) -> list[str]:
    """The content lines (RFC 5545, 3.1)."""
    return text.replace("\r\n ", "").removesuffix("\r\n").split("\r\n")


def read(text: str) -> Any:
    """The one event, as the reference reader understands it."""
    calendar = icalendar.Calendar.from_ical(text)
    (event,) = calendar.walk("VEVENT")
    assert not event.errors
    return event


@given(st.text())
def test_lines(words: str) -> None:
    """Lines end in CR LF and have 75 octets at the most, no letter torn (RFC 5545, 3.1)."""
    text = ics(words)
    assert text.endswith("\r\n")
    for line in text.removesuffix("\r\n").split("\r\n"):
        assert "\n" not in line
        assert "\r" not in line
        assert 0 < len(line.encode("utf-8")) <= 75


@given(st.text(), st.text())
def test_text_reads_back(words: str, uid: str) -> None:
    """Backslash, comma, semicolon and line ends come back as they were (RFC 5545, 3.3.11)."""
    event = read(ics(words, uid=uid))
    # The reference reader takes white space off the ends of some values.
    assert str(event["SUMMARY"]).strip() == harmless(words).strip()
    assert str(event["UID"]).strip() == harmless(uid).strip()


@every_case(HOSTILE)
def test_text_adds_no_line(text: str) -> None:
    """Whatever was typed stays in its property."""
    names = [line.partition(":")[0] for line in unfolded(ics(text))]
    assert names == [line.partition(":")[0] for line in unfolded(ics("plain"))]


def test_escapes() -> None:
    """The characters of the grammar are escaped, a colon and quotes are not (3.3.11)."""
    (line,) = (one for one in unfolded(ics('a\\b;c,d:"e"\nf')) if one.startswith("SUMMARY"))
    assert line == 'SUMMARY:a\\\\b\\;c\\,d:"e" f'


def test_what_is_required_is_there_once() -> None:
    """VERSION and PRODID once (3.6), UID, DTSTAMP and DTSTART once (3.6.1), no METHOD."""
    names = [line.replace(";", ":").partition(":")[0] for line in unfolded(ics())]
    for name in ("VERSION", "PRODID", "UID", "DTSTAMP", "DTSTART", "DTEND"):
        assert names.count(name) == 1
    assert "METHOD" not in names
    assert names[0] == "BEGIN"
    assert names[-1] == "END"


@given(st.dates())
def test_whole_day(day: date) -> None:
    """The event is dates without a time, its end not included: the day after (3.6.1)."""
    event = read(ics(day=day))
    assert event["DTSTART"].dt == day
    assert event["DTSTART"].params["VALUE"] == "DATE"
    if day < date.max:
        assert event["DTEND"].dt == day + timedelta(days=1)


def test_alarm() -> None:
    """A reminder is shown in the morning of the day: an action, words and a time (3.6.6)."""
    (alarm,) = read(ics()).walk("VALARM")
    assert alarm["ACTION"] == "DISPLAY"
    assert alarm["DESCRIPTION"] == "Ring about the chair"
    assert alarm["TRIGGER"].dt == timedelta(hours=9)


def test_moment_is_universal_time() -> None:
    """DTSTAMP is in UTC (3.8.7.2); a moment without its zone is refused."""
    there = datetime(2026, 11, 25, 12, tzinfo=timezone(timedelta(hours=-5)))
    text = to_ics(DAY, "a", uid="b", made=there)
    assert "DTSTAMP:20261125T170000Z\r\n" in text
    assert read(text)["DTSTAMP"].dt == there.astimezone(UTC)
    with pytest.raises(ValueError, match="time zone"):
        to_ics(DAY, "a", uid="b", made=datetime(2026, 11, 25, 12))


def test_an_amended_day_moves_the_event() -> None:
    """The same call is the same event; the later file counts (3.8.4.7, 3.8.7.4)."""
    basis = demo_basis()
    now = state(basis, demo("01").call)
    first = Writer(basis, now, MADE, "7K3-M2Q", "Ann")
    assert now.follow_up is not None
    later = replace(now, follow_up=now.follow_up + timedelta(days=7))
    again = Writer(basis, later, MADE + timedelta(hours=1), "7K3-M2Q", "Ann")
    other = Writer(basis, now, MADE, "2QK-77A", "Ann")
    old, new, apart = (read(one.write("ics", "file").decode()) for one in (first, again, other))
    assert old["UID"] == new["UID"] != apart["UID"]
    assert new["SEQUENCE"] > old["SEQUENCE"]
    assert new["DTSTART"].dt == old["DTSTART"].dt + timedelta(days=7)
    assert str(old["SUMMARY"]) == "Ring Ada Fenwick about the chair (7K3-M2Q)"
    theirs = read(first.write("ics", "caller").decode())
    assert str(theirs["SUMMARY"]) == "Tarnbeck Seating: call about your chair (7K3-M2Q)"


@pytest.mark.parametrize("paper", ["employer", "order"])
def test_no_calendar_for_whoever_may_not_see_the_day(paper: Paper) -> None:
    """In words."""
    basis = demo_basis()
    writer = Writer(basis, state(basis, demo("01").call), MADE, "7K3-M2Q")
    with pytest.raises(ValueError, match="no day for a follow-up"):
        writer.write("ics", paper)
