"""Blanks in a text, ``<fit.seat_height>`` or ``<45 cm>``, and filling them in.

A blank may be a sum: ``<body.elbow_rest_height + desk_thickness - 2 cm to 1 cm>``.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import lru_cache
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

_NOT_KNOWN = "not known yet"

_NAME = r"[a-z][a-z0-9_]*(?:\.[a-z][a-z0-9_]*)?"
_FIGURE = r"[0-9]{1,4}(?:\.[0-9]{1,2})?"
_TERM = rf"(?:{_NAME}|{_FIGURE} (?:cm|kg))(?: [*/] {_FIGURE})?"
_SUM = rf"{_TERM}(?: [+-] {_TERM})*(?: to {_FIGURE} (?:cm|kg))?"
_BLANK = re.compile(rf"<(?!{_FIGURE} (?:cm|kg)>)({_NAME}|{_SUM})>")
BLANK_NAME = re.compile(rf"(?<![0-9a-z]){_NAME}")
"""A name inside of a blank; units and the word "to" look like one too."""
_PART = re.compile(
    rf"(?P<sign>[+-]|to|) ?(?:(?P<name>{_NAME})|(?P<figure>{_FIGURE}) (?P<unit>cm|kg))"
    rf"(?: (?P<by>[*/]) (?P<factor>{_FIGURE}))?(?: |$)"
)
_AMOUNT = re.compile(r"<([0-9]{1,4}(?:\.[0-9])?) (cm|kg)>")
"""What is the same for everybody, in the units in which the tree says it."""
_LOOKS_LIKE_ONE = re.compile(r"<([A-Za-z0-9][^<>\n]{0,60})>")


@dataclass(frozen=True, slots=True)
class BlankSum:
    """What a blank adds up."""

    terms: tuple[tuple[float, str], ...]
    """Factor and name."""
    fixed: float
    """mm or kg added."""
    units: frozenset[str]
    """cm, kg or both, of the figures in it."""
    step: float
    """mm or kg that it is rounded to; 0 for no rounding."""

    def of(self, values: Callable[[str], float | None]) -> float | None:
        """Worked out, in mm or kg; None where one of the values is not known."""
        total = self.fixed
        for factor, name in self.terms:
            value = values(name)
            if value is None:
                return None
            total += factor * value
        return round(total / self.step) * self.step if self.step else total


@lru_cache(maxsize=1024)
def sum_of(blank: str) -> BlankSum | None:
    """What is reckoned in a blank; None for one that is a name, or is not written correctly."""
    if re.fullmatch(_NAME, blank) or not re.fullmatch(_SUM, blank):
        return None
    terms: list[tuple[float, str]] = []
    units: set[str] = set()
    fixed = step = 0.0
    for match in _PART.finditer(blank):
        factor = float(match["factor"] or 1)
        factor = (1 / factor if factor else 0.0) if match["by"] == "/" else factor
        factor = -factor if match["sign"] == "-" else factor
        if match["name"]:
            terms.append((factor, match["name"]))
            continue
        units.add(match["unit"])
        value = from_unit(float(match["figure"]), match["unit"])
        if match["sign"] == "to":
            step = value
        else:
            fixed += factor * value
    return BlankSum(tuple(terms), fixed, frozenset(units), step)


def names_in(text: str) -> Iterator[str]:
    """The name of everything that blanks of a text are filled from."""
    for blank, _ in blanks(text):
        blank_sum = sum_of(blank)
        yield from (name for _, name in blank_sum.terms) if blank_sum else (blank,)


def fill(text: str, lookup: Callable[[str], str | None]) -> str:
    """The text with every blank replaced once.

    What is put in is never read again, so an answer that looks like a blank stays as it is. A
    name without a value gives "not known yet".
    """

    def value(match: re.Match[str]) -> str:
        known = lookup(match.group(1))
        return _NOT_KNOWN if known is None else known

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
