"""A table as CSV that a spreadsheet neither reckons with nor misreads."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Sequence

from consult.cells import MARK, guarded
from consult.visible import visible

_BREAKS = re.compile("\r\n|[\n\r\t\v\f\x85\u2028\u2029]")


def one_line(text: str) -> str:
    """The text on one line, unable to do anything to a terminal or to what stands beside it."""
    return visible(_BREAKS.sub(" ", text))


def cell(text: str) -> str:
    """The text as a cell."""
    return guarded(one_line(text))


def csv_text(columns: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """A table with its headings, a row a line."""
    written = io.StringIO(newline="")
    writer = csv.writer(written, lineterminator="\r\n")
    writer.writerow(columns)
    writer.writerows([cell(text) for text in row] for row in rows)
    return MARK + written.getvalue()
