"""Each form of a document beside the bare library that writes the same words."""

from __future__ import annotations

import subprocess
import sys
import textwrap
from collections.abc import Callable
from email.message import EmailMessage

import fpdf
import jinja2

from consult.summary.html import to_html
from consult.summary.mail import to_eml, to_ics
from consult.summary.pdf import to_pdf
from consult.summary.text import to_markdown, to_text
from tests.benchmarks.measure import Family, Size
from tests.summary.papers import DEMOS, MADE, paper_of

_PAGE = jinja2.Environment(autoescape=True).from_string(
    "<html><body>{% for line in lines %}<p>{{ line }}</p>{% endfor %}</body></html>"
)
_FIRST = """
from tests.summary.papers import MADE, paper_of
blocks, drawn = paper_of("01")
import time
start = time.process_time()
from consult.summary.pdf import to_pdf
to_pdf(blocks, drawn, title="Summary", made=MADE)
print(time.process_time() - start)
"""
_FIRST_BARE = """
import sys
words = sys.stdin.read()
import time
start = time.process_time()
import fpdf
page = fpdf.FPDF()
page.add_page()
page.set_font("helvetica", size=9)
page.multi_cell(0, 4, words.encode("latin-1", "replace").decode("latin-1"))
page.output()
print(time.process_time() - start)
"""


def papers(size: Size) -> Family:
    """The caller's paper of a demo call; then those of several calls in a batch."""
    family = Family("papers", size)
    blocks, drawn = paper_of("01")
    text = to_text(blocks)
    page = to_html(blocks, drawn, title="Summary")
    pdf = to_pdf(blocks, drawn, title="Summary", made=MADE)

    def one(
        reference: str, bare: Callable[[], object], name: str, work: Callable[[], object]
    ) -> None:
        family.against(reference, bare, {name: work})

    def filled() -> object:
        return [textwrap.fill(line, 80) for line in text.splitlines()]

    one("textwrap", filled, "text", lambda: to_text(blocks))
    one("textwrap", filled, "Markdown", lambda: to_markdown(blocks))
    one("Jinja", lambda: bare_page(text), "page",
        lambda: to_html(blocks, drawn, title="Summary"))  # fmt: skip
    one("fpdf, one face, no drawings", lambda: bare_pdf(text), "PDF",
        lambda: to_pdf(blocks, drawn, title="Summary", made=MADE))  # fmt: skip
    one("email", lambda: bare_mail(text, page, pdf), "mail draft",
        lambda: to_eml(text, page, {"a.pdf": pdf}, subject="Summary", date=MADE))  # fmt: skip
    one("textwrap", filled, "calendar",
        lambda: to_ics(MADE.date(), "Ring", uid="a@consult", made=MADE))  # fmt: skip
    _batch(family)
    if size.rounds > 1:
        _first(family, text)
    return family


def _batch(family: Family) -> None:
    """Text, page and PDF of one call after another."""
    some = [paper_of(number) for number in DEMOS]
    texts = [to_text(blocks) for blocks, _ in some]

    def work() -> None:
        for blocks, drawn in some:
            to_text(blocks)
            to_html(blocks, drawn, title="Summary")
            to_pdf(blocks, drawn, title="Summary", made=MADE)

    def bare() -> None:
        for text in texts:
            bare_page(text)
            bare_pdf(text)

    works = {f"text, page and PDF of {len(some)} calls": work}
    family.against("Jinja and fpdf", bare, works, rounds=family.size.few)


def _first(family: Family, text: str) -> None:
    """The first PDF of a process, libraries and faces with it."""
    took: dict[str, list[float]] = {_FIRST: [], _FIRST_BARE: []}
    for _ in range(family.size.few):
        for code, found in took.items():
            done = subprocess.run(
                [sys.executable, "-c", code], input=text, capture_output=True, check=True, text=True
            )
            found.append(float(done.stdout))
    family.add("the first PDF of a process", took[_FIRST], "the first of fpdf", took[_FIRST_BARE])


def bare_page(text: str) -> str:
    """The words as a page."""
    return _PAGE.render(lines=text.splitlines())


def bare_pdf(text: str) -> bytes:
    """The words as a PDF with a face that every reader has."""
    page = fpdf.FPDF()
    page.add_page()
    page.set_font("helvetica", size=9)
    page.multi_cell(0, 4, text.encode("latin-1", "replace").decode("latin-1"))
    return bytes(page.output())


def bare_mail(text: str, page: str, pdf: bytes) -> bytes:
    """The same parts in a mail."""
    mail = EmailMessage()
    mail.set_content(text)
    mail.add_alternative(page, subtype="html")
    mail.add_attachment(pdf, maintype="application", subtype="pdf", filename="a.pdf")
    return mail.as_bytes()
