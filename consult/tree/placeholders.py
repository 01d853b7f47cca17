"""Blanks in a text, ``<fit.seat_height>`` or ``<45 cm>``, and filling them in."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING

from consult.units import (
    Unclear,
    format_length,
    format_mass,
    from_unit,
    parse_length,
    parse_mass,
    to_unit,
)

if TYPE_CHECKING:
    from consult.units import System

NOT_KNOWN = "not known yet"

_BLANK = re.compile(r"<([a-z][a-z0-9_]*(?:\.[a-z][a-z0-9_]*)?)>")
_AMOUNT = re.compile(r"<([0-9]{1,4}(?:\.[0-9])?) (cm|kg)>")
"""What is the same for everybody, in the units in which the tree says it."""
_LOOKS_LIKE_ONE = re.compile(r"<([A-Za-z0-9][^<>\n]{0,60})>")


def fill(text: str, lookup: Callable[[str], str | None]) -> str:
    """The text with every blank replaced once.

    What is put in is never read again, so an answer that looks like a blank stays as it is. A
    name without a value gives "not known yet".
    """

    def value(match: re.Match[str]) -> str:
        found = lookup(match.group(1))
        return NOT_KNOWN if found is None else found

    return _BLANK.sub(value, text) if "<" in text else text


def in_units(text: str, system: System) -> str:
    """The text with every ``<45 cm>`` and ``<110 kg>`` written in the reader's units."""

    def amount(match: re.Match[str]) -> str:
        value = from_unit(float(match[1]), match[2])
        write = format_mass if match[2] == "kg" else format_length
        return write(value, system)

    return _AMOUNT.sub(amount, text) if "<" in text else text


def blanks(text: str) -> Iterator[tuple[str, int]]:
    """Everything that looks like a blank, misspelt ones too: the name and where its '<' stands."""
    for match in _LOOKS_LIKE_ONE.finditer(text) if "<" in text else ():
        if not _AMOUNT.fullmatch(match.group()):
            yield match.group(1), match.start()


def amounts(text: str) -> Iterator[tuple[str, int]]:
    """The other blanks, ``45 cm`` and ``110 kg``, and where the '<' of each stands."""
    for match in _AMOUNT.finditer(text):
        yield match.group()[1:-1], match.start()


def amount_meant(name: str) -> str:
    """'Did you mean <45 cm>?' for a blank that is an amount in another form, or ''."""
    for parse, unit in ((parse_length, "cm"), (parse_mass, "kg")) if name[0].isdigit() else ():
        try:
            heard = parse(name)
        except Unclear:
            continue
        return f"Did you mean <{to_unit(heard.value, unit):.1f} {unit}>?".replace(".0 ", " ")
    return ""
