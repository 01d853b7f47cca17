"""The day of a follow-up as a calendar file (RFC 5545)."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta

from consult.summary.harmless import harmless

_OCTETS = 75
_REMIND = "PT9H"
"""From the beginning of the day: nine in the morning, when somebody is at the desk."""
_ESCAPED = str.maketrans({"\\": "\\\\", ";": "\\;", ",": "\\,"})


def to_ics(day: date, summary_words: str, *, uid: str, made: datetime) -> str:
    """An event over the whole of ``day``, with a reminder in the morning; lines end in CR LF.

    ``uid`` is to be the same for the same call and no other, so that a second import moves the
    event instead of adding one; ``made`` is when the file was made, with its time zone (ValueError
    for one without).
    """
    if made.utcoffset() is None:
        raise ValueError("a calendar needs to know the time zone of the moment it was made")
    words = _text(summary_words)
    lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        "PRODID:-//consult//call summary//EN",
        "CALSCALE:GREGORIAN",
        "BEGIN:VEVENT",
        f"UID:{_text(uid)}",
        f"DTSTAMP:{made.astimezone(UTC):%Y%m%dT%H%M%SZ}",
        f"DTSTART;VALUE=DATE:{_day(day)}",
        *([f"DTEND;VALUE=DATE:{_day(day + timedelta(days=1))}"] if day < date.max else []),
        f"SUMMARY:{words}",
        # The caller is to be rung some time that day; the adviser is free for others.
        "TRANSP:TRANSPARENT",
        "BEGIN:VALARM",
        "ACTION:DISPLAY",
        f"DESCRIPTION:{words}",
        f"TRIGGER:{_REMIND}",
        "END:VALARM",
        "END:VEVENT",
        "END:VCALENDAR",
    ]
    return "".join(f"{piece}\r\n" for line in lines for piece in _folded(line))


def _day(day: date) -> str:
    # Not strftime, which writes the year 800 with three digits on some systems.
    return f"{day.year:04}{day.month:02}{day.day:02}"


def _text(text: str) -> str:
    """A value of the type TEXT, on one line."""
    return harmless(text).translate(_ESCAPED)


def _folded(line: str) -> Iterator[str]:
    """The line in pieces of at most 75 octets, no letter torn; all but the first begin blank."""
    piece, octets = "", 0
    for letter in line:
        size = len(letter.encode("utf-8"))
        if octets + size > _OCTETS:
            yield piece
            piece, octets = " ", 1
        piece, octets = piece + letter, octets + size
    yield piece
