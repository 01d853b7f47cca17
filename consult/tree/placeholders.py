"""Blanks in a text, ``<fit.seat_height>``, and filling them in."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

NOT_KNOWN = "not known yet"

_BLANK = re.compile(r"<([a-z][a-z0-9_]*(?:\.[a-z][a-z0-9_]*)?)>")
_LOOKS_LIKE_ONE = re.compile(r"<([A-Za-z][^<>\n]{0,60})>")


def fill(text: str, lookup: Callable[[str], str | None]) -> str:
    """The text with every blank replaced once.

    What is put in is never read again, so an answer that looks like a blank stays as it is. A
    name without a value gives "not known yet".
    """

    def value(match: re.Match[str]) -> str:
        found = lookup(match.group(1))
        return NOT_KNOWN if found is None else found

    return _BLANK.sub(value, text)


def blanks(text: str) -> Iterator[tuple[str, int]]:
    """Everything that looks like a blank, misspelt ones too: the name and where its '<' stands."""
    for match in _LOOKS_LIKE_ONE.finditer(text) if "<" in text else ():
        yield match.group(1), match.start()
