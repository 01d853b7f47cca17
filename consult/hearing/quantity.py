"""The pieces of a spoken quantity: numbers as they were said, their units, what joins them."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Literal

from consult.scale import IN_KG, IN_MM

# -- what can be asked for, a length, a weight or a plain number, and what is heard of it ---------


@dataclass(frozen=True, slots=True)
class Heard:
    """A value with its margin, in mm, kg or as a plain number."""

    value: float
    spread: float = 0.0
    """Half the width of a range, or the margin an "about" adds; same unit as ``value``."""
    said: str = field(default="", compare=False)
    """The same answer with its units, for a record that must not depend on the caller's units."""


@dataclass(frozen=True, slots=True)
class QuantityKind:
    """What is asked for: a length, a weight or a plain number."""

    name: str
    units: tuple[str, ...]
    little: str
    much: str
    about: float
    """Margin that "about" adds; common practice, no source."""
    most: float
    """Where nothing usual is given, no answer is larger."""
    finest: float
    """Two statements of one value agree within half of the coarser's last digit, or of this."""
    big: str = ""
    small: str = ""
    """The old pair, feet and inches, that "5 2" or "5.2" may stand for."""


LENGTH = QuantityKind("length", tuple(IN_MM), "short", "long", 10.0, 10_000.0, 25.4, "ft", "in")
MASS = QuantityKind("weight", tuple(IN_KG), "light", "heavy", 2.0, 500.0, 1.0, "st", "lb")
COUNT = QuantityKind("plain number", (), "small", "large", 1.0, 1_000_000.0, 1.0)


# -- the pieces of a spoken quantity: numbers as they were said, their units, what joins them -----

SpanWord = Literal["none", "to", "dash", "spread", "same", "list"]
Lean = Literal["", "under", "over", "bit", "odd"]
"""Which side of the number the value lies: "just under", "just over", "and a bit", "odd"."""

UNIT_WORDS = {
    word: unit
    for unit, words in {
        "mm": "mm mms mil mils mill millimetre millimetres millimeter millimeters",
        "cm": "cm cms cmm cn centimetre centimetres centimeter centimeters",
        "m": "m mtr mtrs metre metres meter meters",
        "in": 'in ins inch inches "',
        "ft": "ft f foot feet '",
        "kg": "kg kgs k kilo kilos kilogram kilograms kilogramme kilogrammes",
        "st": "st stone stones",
        "lb": "lb lbs ib ibs pound pounds",
    }.items()
    for word in words.split()
}
SMALLER = {"ft": {"in": 12}, "st": {"lb": 14}, "m": {"cm": 100, "mm": 1000}, "cm": {"mm": 10}}
"""Unit -> the units that may follow it, and how many of each make one."""
_NAMES = {
    "mm": ("millimetre", "millimetres"),
    "cm": ("centimetre", "centimetres"),
    "m": ("metre", "metres"),
    "in": ("inch", "inches"),
    "ft": ("foot", "feet"),
    "st": ("stone", "stones"),
    "lb": ("pound", "pounds"),
}
"""One of it, several of it."""


@dataclass(frozen=True, slots=True)
class Proposal:
    """One way to understand an answer that was not clear."""

    said: str
    """The answer in words that leave no doubt; this is recorded where it is chosen."""
    words: str
    """How it is shown, with the other unit beside it."""
    confirmed: bool = False
    """Choosing it confirms a value that is outside the usual range."""


class Unclear(ValueError):  # noqa: N818 - an answer, not a fault
    """An answer with no single meaning; ``str()`` is the question to give back."""

    def __init__(self, question: str, proposals: tuple[Proposal, ...] = ()) -> None:
        super().__init__(question)
        self.proposals = proposals
        """The possible answers, the likeliest first; empty where the question names none."""


@dataclass(frozen=True, slots=True)
class SpokenNumber:
    """A number as it was said."""

    value: float
    step: float
    """The smallest difference its form can show: 1 for "62", 0.1 for "5.2", 1/4 for "3/4"."""
    written: str = ""
    """Its digits and decimal mark; empty where a fraction is part of it."""
    grouped: float | None = None
    """Its value if the comma of "1,570" marks thousands; ``value`` reads it as decimal."""
    inch_fraction: bool = False
    """Whether it has a fraction of the kind that inches are read in: 3/4, 1 1/2."""

    @property
    def decimals(self) -> str:
        """The digits after the decimal mark, '' where there is none."""
        return "".join(re.split("[.,]", self.written)[1:])


@dataclass(frozen=True, slots=True)
class SpokenPart:
    """A number and the unit said with it."""

    number: SpokenNumber
    unit: str | None


@dataclass(frozen=True, slots=True)
class Reading:
    """One part; or two, as in "5 ft 2"; or two without a unit between, as in "5 2"."""

    parts: tuple[SpokenPart, ...]
    digits: str = ""
    """The digits of a number said one by one: "one six two"."""

    @property
    def doubtful(self) -> bool:
        """Numbers side by side with no unit to join them."""
        return bool(self.digits) or (len(self.parts) == 2 and self.parts[0].unit is None)

    @property
    def bare(self) -> bool:
        return len(self.parts) == 1 and self.parts[0].unit is None


@dataclass(frozen=True, slots=True)
class SpokenPhrase:
    """Everything said: one reading, or two and what joins them."""

    first: Reading
    link: SpanWord = "none"
    second: Reading | None = None
    about: bool = False
    lean: Lean = ""

    @property
    def readings(self) -> tuple[Reading, ...]:
        return (self.first,) if self.second is None else (self.first, self.second)


def clipped(text: str) -> str:
    """At most 40 characters of what somebody typed, on one line, for a message."""
    line = " ".join(text.split())
    return line if len(line) <= 40 else f"{line[:39]}…"


def check_small(part: SpokenPart, big: str) -> None:
    """Raises Unclear where inches reach a foot, pounds a stone and so on."""
    unit = part.unit or ""
    limit = SMALLER[big][unit]
    big_name, many = _NAMES[big][0], _NAMES[unit][1]
    if part.number.value >= limit:
        raise Unclear(
            f"There are {limit} {many} in a {big_name}, so {part.number.value:g} {many} after the "
            f"{_NAMES[big][1]} cannot be right. What did they say?"
        )


def added_readings(
    whole: SpokenNumber, rest: SpokenNumber, *, spoken: bool = False
) -> SpokenNumber:
    """A number and the fraction said after it; "and a half" is said of centimetres too."""
    return SpokenNumber(
        whole.value + rest.value,
        rest.step,
        inch_fraction=not (spoken and rest.value == 0.5),
    )


def fraction(word: str) -> SpokenNumber | None:
    """1/2, 2/3, 7/8 and their like; None for any other word.

    Lowest terms and halving denominators only: "5/10" may well be 5 ft 10.
    """
    top, slash, bottom = word.partition("/")
    if not slash or bottom not in ("2", "3", "4", "8", "16", "32") or len(top) > 2:
        return None
    over, under = int(top), int(bottom)
    if not 0 < over < under or (under != 3 and over % 2 == 0):
        return None
    return SpokenNumber(over / under, 1 / under, inch_fraction=True)


def decimal(word: str) -> SpokenNumber | None:
    """62, 5.2, 1,57 or .5; None for any other word."""
    match = re.fullmatch(r"(\d*)(?:([.,])(\d+))?", word)
    if not word or match is None:
        return None
    whole, mark, decimals = match[1], match[2], match[3] or ""
    value = float(f"{whole or '0'}.{decimals or '0'}")
    thousands = mark == "," and len(decimals) == 3 and len(whole) < 4 and whole[:1] not in ("", "0")
    grouped = float(whole + decimals) if thousands else None
    return SpokenNumber(value, 10.0 ** -len(decimals), word, grouped)
