"""A call summary as a mail ready to be sent, and its follow-up as a calendar file (RFC 5545)."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from datetime import UTC, date, datetime, timedelta
from email.message import EmailMessage
from email.policy import SMTP
from hashlib import sha256

from consult.visible import harmless

_POLICY = SMTP.clone(cte_type="7bit")
"""Lines end as mail wants them, and every server lets the text through as it is."""
_ATOM = r"[A-Za-z0-9!#$%&'*+/=?^_`{|}~-]+"
_ADDRESS = re.compile(rf"{_ATOM}(\.{_ATOM})*@[A-Za-z0-9-]+(\.[A-Za-z0-9-]+)*")
"""One address, no name before it (RFC 5322, 3.2.3 and 3.4.1, without quoting)."""
_NAME = str.maketrans({"/": "-", "\\": "-", '"': "'"})


def to_eml(
    text: str,
    html: str,
    files: Mapping[str, bytes | str],
    *,
    subject: str,
    date: datetime,
    to: str = "",
    images: Mapping[str, bytes] | None = None,
) -> bytes:
    """The mail as a file; the same arguments always give the same bytes.

    ``images`` are JPEGs that the page shows, by content id. ``files`` are by name: the bytes of a
    PDF, or the text of a calendar.
    The mail names no sender and, unless ``to`` is given, nobody to send it to: the person who opens
    it is asked. ValueError where ``to`` is no mail address.
    """
    mail = EmailMessage(_POLICY)
    mail["Subject"] = harmless(subject)
    mail["Date"] = date
    if to:
        if not _ADDRESS.fullmatch(to):
            raise ValueError(f"'{harmless(to)}' is not a mail address")
        mail["To"] = to
    # Mail programs open what was never sent for writing.
    mail["X-Unsent"] = "1"
    mail.set_content(text, cte="quoted-printable")
    mail.add_alternative(html, subtype="html", cte="quoted-printable")
    page = mail.get_body(("html",))
    for content_id, jpeg in (images or {}).items():
        assert isinstance(page, EmailMessage), "it was added just now"
        page.add_related(jpeg, maintype="image", subtype="jpeg", cid=f"<{content_id}>")
    for name, content in files.items():
        # In the name of a file nothing is a folder or the end of the name.
        named = harmless(name).translate(_NAME)
        if isinstance(content, bytes):
            mail.add_attachment(content, maintype="application", subtype="pdf", filename=named)
        else:
            mail.add_attachment(
                *(content.encode("utf-8"), "text", "calendar"),
                filename=named,
                params={"charset": "utf-8"},
            )
    _fix_boundaries(mail, text, html, subject, to)
    return mail.as_bytes()


def address_in(contact: str) -> str:
    """The mail address of a contact as it was said ("ada at fenwick dot example"); '' for none."""
    address = " ".join(contact.casefold().split()).replace(" at ", "@").replace(" dot ", ".")
    return address if _ADDRESS.fullmatch(address) and "." in address.partition("@")[2] else ""


def _fix_boundaries(mail: EmailMessage, *texts: str) -> None:
    """Between parts stand lines that follow from what is in the mail, not from chance."""
    whole = [part for part in mail.walk() if part.is_multipart()]
    pieces = [*texts]
    for part in mail.walk():
        if part not in whole:
            pieces += [part.get_content_type(), str(part.get_payload())]
    digest = sha256("\0".join(pieces).encode("utf-8", "replace")).hexdigest()[:40]
    for number, part in enumerate(whole):
        # "=_" is in no text that is written as quoted-printable or base64.
        part.set_boundary(f"=_{number}_{digest}")


# -- the day of a follow-up as a calendar file (RFC 5545) -----------------------------------------

_OCTETS = 75
_REMIND = "PT9H"
"""From the beginning of the day: nine in the morning, when somebody is at the desk."""
_ESCAPED = str.maketrans({"\\": "\\\\", ";": "\\;", ",": "\\,"})


def to_ics(day: date, summary_words: str, *, uid: str, made: datetime) -> str:
    """An event over the whole of ``day``, with a reminder in the morning; lines end in CR LF.

    ``uid`` is to be the same for the same call and no other, so that a second import moves the
    event instead of adding one; ``made`` is when the file was made, with its time zone.
    """
    words = _text(summary_words)
    lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        "PRODID:-//consult//call summary//EN",
        "CALSCALE:GREGORIAN",
        "BEGIN:VEVENT",
        f"UID:{_text(uid)}",
        f"DTSTAMP:{made.astimezone(UTC):%Y%m%dT%H%M%SZ}",
        # Of two files of one event a calendar takes the later one (RFC 5545, 3.8.7.4).
        f"SEQUENCE:{max(0, int(made.timestamp()) // 60)}",
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
