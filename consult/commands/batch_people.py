"""Reading a CSV file of people: detects the delimiter and the character encoding."""

from __future__ import annotations

import csv
import hashlib
import io
import re
from collections.abc import Iterator, Set
from dataclasses import dataclass
from pathlib import Path

from consult.call.batch import Row
from consult.in_file import UnreadableError, read_file
from consult.tree.model import plain_name

_DELIMITERS = (",", ";", "\t")
_TOLD = re.compile(r'"?sep=([,;|\t:~^#])\1*"?\r?(?:\n|\Z)', re.IGNORECASE)
"""The line by which spreadsheets tell one another what parts the cells; it is none of the table."""
_UTF32 = (b"\xff\xfe\0\0", b"\0\0\xfe\xff")
_UTF16 = (b"\xff\xfe", b"\xfe\xff")


@dataclass(frozen=True, slots=True)
class People:
    """The contents of a file of people."""

    digest: str
    """Of its bytes."""
    delimiter: str
    headings: tuple[str, ...]
    rows: tuple[Row, ...]
    remark: str
    """How it was read, where that may be wrong; '' where it is plain."""


def read_people(path: Path, known: Set[str]) -> People:
    """Read a CSV file with a header row; ``known`` are the headings that have a meaning.

    Raises:
        UnreadableError: it is no CSV file, or in no encoding that we read.
    """
    data = read_file(path)
    text, remark = _decoded(path, data)
    told = _TOLD.match(text)
    first = 2 if told else 1
    if told:
        delimiter, text = told[1], text[told.end() :]
    else:
        delimiter = max(_DELIMITERS, key=lambda one: _promise(text, one, known))
    rows = list(_rows(path, text, delimiter, first))
    if not rows:
        raise UnreadableError(f"{path} is empty. Its first line must name the columns.")
    if rows[0].line != first:
        raise UnreadableError(f"{path}: line {first} is empty. It must name the columns.")
    if len(rows) == 1:
        raise UnreadableError(
            f"{path} has a line of headings but no rows below it. Add a row for each person."
        )
    digest = hashlib.sha256(data).hexdigest()
    return People(digest, delimiter, rows[0].cells, tuple(rows[1:]), remark)


def _decoded(path: Path, data: bytes) -> tuple[str, str]:
    # Of plain letters, the first four bytes of UTF-32 have three that are zero, of UTF-16 two.
    zeros = data[:4].count(0)
    if data.startswith(_UTF32) or zeros == 3:
        raise UnreadableError(f"{path} is UTF-32 text. Save it as CSV with UTF-8 encoding.")
    if data.startswith(_UTF16) or zeros == 2:
        raise UnreadableError(f"{path} is UTF-16 text. Save it as CSV with UTF-8 encoding.")
    try:
        return data.decode("utf-8-sig"), ""
    except UnicodeDecodeError:
        pass
    try:
        text = data.decode("cp1252")
    except UnicodeDecodeError:
        said = f"{path} is neither UTF-8 nor Windows-1252 text. Save it as CSV with UTF-8 encoding."
        raise UnreadableError(said) from None
    remark = f"{path} is not UTF-8, so it was read as Windows-1252. Look at names with accents."
    return text, remark


def _promise(text: str, delimiter: str, known: Set[str]) -> tuple[int, int]:
    """Sort key of a delimiter: known headings it yields, then headings in all."""
    try:
        headings = next(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter), [])
    except csv.Error:
        return (0, 0)
    return sum(plain_name(one) in known for one in headings), len(headings)


def _rows(path: Path, text: str, delimiter: str, first: int) -> Iterator[Row]:
    """Every row that is not empty, with its line number; ``first`` is that of the text."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    while True:
        line = reader.line_num + first
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            if "field limit" in str(error):
                most = f"{csv.field_size_limit():,}"
                raise UnreadableError(
                    f"{path}:{line}: a cell here is longer than {most} characters. Shorten "
                    "it, or close a quotation mark left open before it."
                ) from error
            raise UnreadableError(
                f"{path}:{line}: this row cannot be read ({error}). A cell that begins with "
                "a quotation mark must end with one. Type every quotation mark inside it "
                "twice."
            ) from error
        if any(cell.strip() for cell in cells):
            yield Row(line, tuple(cells))
