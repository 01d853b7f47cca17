"""Each form of a document beside the bare library that writes the same words."""

from __future__ import annotations

import subprocess
import sys
import textwrap
import time
from email.message import EmailMessage

import fpdf
import jinja2

from consult.summary.html import to_html
from consult.summary.mail import to_eml, to_ics
from consult.summary.pdf import to_pdf
from consult.summary.text import to_markdown, to_text
from tests.benchmarks.measure import Family, Size, Work
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
    """The caller's paper of a demo call in every form; then a batch of each, one call after
    another."""
    family = Family("papers", size)
    for name, (reference, bare, work) in _forms("01").items():
        family.against(reference, bare, {name: work})
    _batch(family)
    if size.rounds > 1:
        _first(family, to_text(paper_of("01")[0]))
    return family


def _forms(number: str) -> dict[str, tuple[str, Work, Work]]:
    """Form -> the bare library, what it does, and what we do, for the paper of a demo call."""
    blocks, drawn = paper_of(number)
    text = to_text(blocks)
    page = to_html(blocks, drawn, title="Summary")
    pdf = to_pdf(blocks, drawn, title="Summary", made=MADE)

    def filled() -> object:
        return [textwrap.fill(line, 80) for line in text.splitlines()]

    return {
        "text": ("textwrap", filled, lambda: to_text(blocks)),
        "Markdown": ("textwrap", filled, lambda: to_markdown(blocks)),
        "page": (
            *("Jinja", lambda: bare_page(text)),
            lambda: to_html(blocks, drawn, title="Summary"),
        ),
        "PDF": (
            *("fpdf, one face, no drawings", lambda: bare_pdf(text)),
            lambda: to_pdf(blocks, drawn, title="Summary", made=MADE),
        ),
        "mail draft": (
            *("email", lambda: bare_mail(text, page, pdf)),
            lambda: to_eml(text, page, {"a.pdf": pdf}, subject="Summary", date=MADE),
        ),
        "calendar": (
            *("textwrap", filled),
            lambda: to_ics(MADE.date(), "Ring", uid="a@consult", made=MADE),
        ),
    }


def _batch(family: Family) -> None:
    """So many documents of each form, in lots with the bare library's own between them."""
    calls = [_forms(number) for number in DEMOS]
    lots, many = family.size.few, family.size.documents
    for name in calls[0]:
        took: list[float] = []
        bare_took: list[float] = []
        for lot in range(lots):
            numbers = range(many * lot // lots, many * (lot + 1) // lots)
            for at, found in ((1, bare_took), (2, took)):
                start = time.process_time()
                for number in numbers:
                    work = calls[number % len(calls)][name][at]
                    assert callable(work)
                    work()
                found.append(time.process_time() - start)
        reference = calls[0][name][0]
        note = f"{sum(took) / many * 1000:.3g} ms each"
        family.add(f"{many:,} of {name}, in {lots} lots", took, reference, bare_took, note)


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
