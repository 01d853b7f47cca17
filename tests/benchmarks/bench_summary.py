"""How long writing a call's paper takes: ``python -m tests.benchmarks.bench_summary``.

Every form of one call once warm, then a thousand summaries (text, page and PDF) reckoned from
twenty, and where the time of a PDF goes. Ratios are to the plain text; they can be compared between
machines. Times are of the processor, so that other work on the machine does not count.
"""

from __future__ import annotations

import cProfile
import pstats
import time
from collections.abc import Callable
from pathlib import Path

from consult.summary.html import to_html
from consult.summary.mail import to_eml, to_ics
from consult.summary.pdf import to_pdf
from consult.summary.text import to_markdown, to_text
from tests.summary.papers import DEMOS, MADE, paper_of

_PARTS = {
    "pdf_faces.py": "make the faces smaller (first PDF only)",
    "fonts.py": "read the faces",
    "output.py": "write the file, its faces and its structure",
    "pdf_blocks.py:set_blocks": "break the text into lines",
    "pdf_strips.py:plan": "place it in columns",
    "pdf_strips.py:draw": "draw it",
}
"""Of a profile, the functions that hold a part of the time with everything they call."""


def best(work: Callable[[], object], count: int = 15) -> float:
    """Seconds of the quickest run."""
    found = []
    for _ in range(count):
        start = time.process_time()
        work()
        found.append(time.process_time() - start)
    return min(found)


def main() -> None:
    """Print the figures."""
    blocks, drawn = paper_of("01")
    start = time.process_time()
    pdf = to_pdf(blocks, drawn, title="Summary", made=MADE)
    first = time.process_time() - start
    page, text = to_html(blocks, drawn, title="Summary"), to_text(blocks)
    calendar = to_ics(MADE.date(), "Ring", uid="a@consult", made=MADE)
    forms: dict[str, Callable[[], object]] = {
        "text": lambda: to_text(blocks),
        "Markdown": lambda: to_markdown(blocks),
        "page": lambda: to_html(blocks, drawn, title="Summary"),
        "PDF, A4": lambda: to_pdf(blocks, drawn, title="Summary", made=MADE),
        "mail of these": lambda: to_eml(text, page, {"a.pdf": pdf}, subject="Summary", date=MADE),
        "calendar": lambda: to_ics(MADE.date(), "Ring", uid="a@consult", made=MADE),
    }
    took = {name: best(work) for name, work in forms.items()}
    for name, seconds in took.items():
        print(_line(name, seconds, took["text"]))
    print(_line("all forms of one call", sum(took.values()), took["text"]))
    print(_line("the first PDF of a process", first, took["text"]))
    print(f"sizes: page {len(page) / 1e3:.0f} kB, PDF {len(pdf) / 1e3:.0f} kB, "
          f"calendar {len(calendar)} B")  # fmt: skip
    start = time.process_time()
    papers = [paper_of(DEMOS[number % len(DEMOS)]) for number in range(20)]
    start = time.process_time()
    for blocks_of, drawn_of in papers:
        to_text(blocks_of)
        to_html(blocks_of, drawn_of, title="Summary")
        to_pdf(blocks_of, drawn_of, title="Summary", made=MADE)
    each = (time.process_time() - start) / len(papers)
    print(f"1,000 summaries (text, page, PDF){1000 * each:10.0f}s")
    _where(lambda: to_pdf(blocks, drawn, title="Summary", made=MADE))


def _where(work: Callable[[], object]) -> None:
    profile = cProfile.Profile()
    profile.enable()
    work()
    profile.disable()
    stats = pstats.Stats(profile)
    total = stats.total_tt  # type: ignore[attr-defined]
    shares = dict.fromkeys(_PARTS.values(), 0.0)
    for (file, _, function), row in stats.stats.items():  # type: ignore[attr-defined]
        name = Path(file).name
        wanted = {"fonts.py": "__init__", "output.py": "bufferize", "pdf_faces.py": "reduced"}
        part = _PARTS.get(f"{name}:{function}")
        if part is None and wanted.get(name) == function:
            part = _PARTS[name]
        if part:
            shares[part] += row[3] / total
    for part, share in shares.items():
        print(f"  {share:6.0%} {part}")


def _line(what: str, seconds: float, text: float) -> str:
    return f"{what:<30}{1000 * seconds:9.1f}ms {seconds / text:8.1f}x text"


if __name__ == "__main__":
    main()
