"""The mail: parts, headers nobody can add to, the same bytes for the same call."""

from __future__ import annotations

from collections.abc import Sequence
from email import message_from_bytes
from email.message import EmailMessage
from email.policy import SMTP
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from consult.summary.mail import address_in, to_eml, to_ics
from consult.visible import harmless
from tests.long import every_case
from tests.summary.papers import HOSTILE, MADE

# -- the mail: parts, headers nobody can add to, the same bytes for the same call -----------------

CALENDAR = to_ics(MADE.date(), "Ring Zoë", uid="a@consult", made=MADE)
PDF = b"%PDF-1.7\n\x00\xff binary\r\n"


def mail(
    text: str = "A seat of 41½ cm\n",
    html: str = "<p>41½ cm</p>",
    pdfs: Sequence[str] = ("call-summary.pdf", "set-up-card.pdf"),
    calendar: str = "follow-up.ics",
    **more: Any,
) -> bytes:
    told = {"subject": "Your chair", "date": MADE}
    files: dict[str, bytes | str] = {**dict.fromkeys(pdfs, PDF), calendar: CALENDAR}
    return to_eml(text, html, files, **{**told, **more})


def read(written: bytes) -> EmailMessage:
    message = message_from_bytes(written, policy=SMTP)
    assert isinstance(message, EmailMessage)
    for part in message.walk():
        assert not part.defects
    return message


def test_parts() -> None:
    """Text or page, whichever the reader can show, then the PDF and the calendar."""
    message = read(mail())
    assert [part.get_content_type() for part in message.walk()] == [
        *("multipart/mixed", "multipart/alternative", "text/plain", "text/html"),
        *("application/pdf", "application/pdf", "text/calendar"),
    ]
    pdf, card, calendar = message.iter_attachments()
    names = [one.get_filename() for one in (pdf, card, calendar)]
    assert names == ["call-summary.pdf", "set-up-card.pdf", "follow-up.ics"]
    assert pdf.get_content() == card.get_content() == PDF
    assert calendar.get_payload(decode=True) == CALENDAR.encode()


@given(st.text(), st.text())
def test_contents_come_back(text: str, html: str) -> None:
    """Text and page come back letter by letter; line ends are those of mail."""
    text, html = harmless(text), harmless(html)
    message = read(mail(text, html))
    for kind, wanted in (("plain", text), ("html", html)):
        body = message.get_body((kind,))
        assert body is not None
        assert body.get_content().removesuffix("\n").removesuffix("\r") == wanted


def test_headers() -> None:
    """A draft with subject and date, from nobody, to nobody, and no mark of a sender."""
    message = read(mail())
    assert message["X-Unsent"] == "1"
    assert message["Subject"] == "Your chair"
    assert message["Date"] == "Wed, 25 Nov 2026 12:00:00 +0000"
    assert {"to", "from", "message-id", "cc", "bcc"}.isdisjoint(map(str.lower, message.keys()))
    assert read(mail(to="ada@example.test"))["To"] == "ada@example.test"


@every_case(HOSTILE)
def test_no_header_can_be_added(text: str) -> None:
    """Whatever stands in the subject or a name of a file stays there."""
    written = mail(subject=text, calendar=f"{text}.ics", pdfs=[text])
    message, plain = read(written), read(mail(pdfs=["call-summary.pdf"]))
    assert message.keys() == plain.keys()
    parts = [part.keys() for part in message.walk()]
    assert parts == [part.keys() for part in plain.walk()]
    assert " ".join(message["Subject"].split()) == " ".join(harmless(text).split())
    for part in message.iter_attachments():
        name = part.get_filename()
        assert name is not None
        assert not {"/", "\\", "\n"} & set(name)


@every_case(["a", "a b@c", "x@y\r\nBcc: q@r", "é@b.c", "@", "<a@b>", "a@b, c@d", " ", "a@", ".a@b"])
def test_only_one_address(to: str) -> None:
    """What is no single address is refused."""
    with pytest.raises(ValueError, match="is not a mail address"):
        mail(to=to)


@pytest.mark.parametrize(
    ("contact", "to"),
    [
        ("ada@fenwick.example", "ada@fenwick.example"),
        ("Ada at  Fenwick dot co dot example", "ada@fenwick.co.example"),
        ("01632 960 123", ""),
        ("ada at work", ""),
        ("at the desk, or ada@fenwick.example", ""),
        ("", ""),
    ],
)
def test_the_address_that_was_said(contact: str, to: str) -> None:
    """An address is read as it is said on the telephone; where there is doubt there is none."""
    assert address_in(contact) == to


def test_same_input_same_bytes() -> None:
    """Nothing of the mail comes from chance, and other contents have other boundaries."""
    assert mail() == mail()
    one, other = (read(written).get_boundary() for written in (mail(), mail("B")))
    assert one != other


def test_lines_any_server_takes() -> None:
    """Only ASCII, lines of 998 octets at most, ended by CR LF (RFC 5322, 2.1.1)."""
    written = mail("x" * 10_000, "<p>" + "é" * 10_000)
    assert written.isascii()
    assert b"\n" not in written.replace(b"\r\n", b"")
    assert max(map(len, written.split(b"\r\n"))) <= 998
