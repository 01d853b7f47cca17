"""Fills in what a spoken phrase leaves out: every way its bare numbers can be given units.

"62" may be 62 cm or 62 in, "5.2 ft" five feet two or 5.2 ft, "41 or 2" is 41 to 42. ``meaning``
judges which of the ways is meant.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import product

from consult.hearing.quantity import (
    COUNT,
    LENGTH,
    SMALLER,
    Heard,
    Lean,
    Proposal,
    QuantityKind,
    Reading,
    SpanWord,
    SpokenNumber,
    SpokenPart,
    SpokenPhrase,
    Unclear,
    check_small,
)
from consult.scale import System, format_length, format_mass, from_unit

FILLING_SLACK = 1e-6
"""mm or kg; rounding that keeps 205 cm within "140 to 205"."""
_SHARE = 0.2
"""The largest share of a length that "about" adds; common practice, no source."""
_ODD = 9
"""How far "forty odd" may reach: up to forty-nine."""
_METRIC = ("mm", "cm", "m", "kg")


@dataclass(frozen=True, slots=True)
class Meaning:
    """One way to understand a phrase, all its units filled in."""

    low: float
    high: float
    """The ends of what was said, hedges left out."""
    heard: Heard
    proposal: Proposal
    unit: str
    """The unit a bare number was given."""


@dataclass(frozen=True, slots=True)
class _Filled:
    """A reading without doubt, and how it would be shown if not by its own parts."""

    reading: Reading
    shown: str = ""


@dataclass(frozen=True, slots=True)
class Filler:
    """Gives the bare numbers of one question their units."""

    kind: QuantityKind
    bare: str
    system: System

    def own_units(self) -> tuple[str, ...]:
        """The units a bare number may be in without a question."""
        if self.system == "both":
            return self.kind.units
        metric = self.system == "metric"
        units = [unit for unit in self.kind.units if (unit in _METRIC) == metric]
        return (self.bare, *units) if metric else tuple(units)

    def first_unit(self) -> str:
        """The unit a bare number is in where no reading is usual."""
        if self.system == "imperial" and self.bare in _METRIC:
            return self.kind.small
        return self.bare

    def shared(self, phrase: SpokenPhrase) -> SpokenPhrase:
        """Units said once count for both ends: "40-42 cm", "5 ft 2 to 3", "41 or 2"."""
        first, second = phrase.first, phrase.second
        if second is None or phrase.link == "same":
            return phrase
        last = second.parts[-1]
        if phrase.link == "list" and not (first.bare and second.bare):
            return replace(phrase, link="same")
        if len(first.parts) == 2 and len(second.parts) == 1 and phrase.link != "spread":
            big, small = first.parts
            if last.unit in (None, small.unit):
                part = replace(last, unit=small.unit)
                check_small(part, big.unit or "")
                second = Reading((big, part))
        elif len(second.parts) == 2 and first.bare:
            ask = f"Which unit goes with the {first.parts[0].number.value:g}?"
            raise Unclear(f"{ask} Can you give both ends with their units?")
        else:
            unit = first.parts[-1].unit or last.unit
            first, second = _with_unit(first, unit), _with_unit(second, unit)
            if phrase.link in ("to", "dash"):
                second = _same_tens(first, second)
        return replace(phrase, first=first, second=second)

    def meanings(self, phrase: SpokenPhrase) -> list[Meaning]:
        """Every way to fill in the units; the first error where there is none."""
        meanings: list[Meaning] = []
        trouble: Unclear | None = None
        for unit in self._units_of_bare(phrase):
            filled = [list(self._fill(reading, unit)) for reading in phrase.readings]
            for readings in product(*filled):
                try:
                    meanings.append(self._meaning(phrase, readings, unit))
                except Unclear as unclear:
                    if trouble is None or unit == self.first_unit():
                        trouble = unclear
        if not meanings and trouble:
            raise trouble
        return meanings

    def meanings_or_none(self, phrase: SpokenPhrase) -> list[Meaning]:
        try:
            return self.meanings(phrase)
        except Unclear:
            return []

    def undoubted(self, reading: Reading) -> Iterator[Reading]:
        """What numbers in a row may stand for."""
        if reading.digits:
            part = reading.parts[0]
            yield Reading((replace(part, unit=part.unit or self.bare),))
            return
        if not reading.doubtful:
            yield reading
            return
        spoken_part, two = reading.parts
        if two.unit in (None, self.kind.small):
            yield from self.pair(spoken_part.number, two.number)
        if not (spoken_part.number.written.isdecimal() and two.number.written.isdecimal()):
            return
        if (
            self.kind is LENGTH
            and len(two.number.written) == 2
            and spoken_part.number.value in (1, 2)
        ):
            value = spoken_part.number.value + two.number.value / 100
            yield Reading((SpokenPart(SpokenNumber(value, 0.01, f"{value:g}"), "m"),))
        if self.kind.units and len(spoken_part.number.written) == len(two.number.written) == 1:
            value = 10 * spoken_part.number.value + two.number.value
            number = SpokenNumber(value, 1, f"{value:g}")
            yield Reading((SpokenPart(number, two.unit or self.bare),))

    def pair(self, big: SpokenNumber, small: SpokenNumber) -> Iterator[Reading]:
        """Feet and inches, or stones and pounds, if the numbers can be."""
        kind = self.kind
        if kind.big and big.value.is_integer() and small.value < (12 if kind is LENGTH else 14):
            yield Reading((SpokenPart(big, kind.big), SpokenPart(small, kind.small)))

    def _units_of_bare(self, phrase: SpokenPhrase) -> tuple[str, ...]:
        """The units a bare number may have, the likeliest first."""
        if not self.kind.units or not any(reading.bare for reading in phrase.readings):
            return ("",)
        units, own = dict.fromkeys((*self.kind.units, self.bare)), self.own_units()
        return tuple(sorted(units, key=lambda unit: (unit not in own, unit != self.kind.big)))

    def _fill(self, reading: Reading, unit: str) -> Iterator[_Filled]:
        """A reading with its unit: "5.2 ft" may be 5 ft 2, "1,570 mm" two lengths."""
        if len(reading.parts) == 2:
            yield _Filled(reading)
            return
        number = reading.parts[0].number
        unit = reading.parts[0].unit or unit
        if unit == self.kind.big and unit and number.decimals.strip("0"):
            inches = SpokenNumber(float(number.decimals), 1, number.decimals)
            for pair in self.pair(SpokenNumber(float(int(number.value)), 1, ""), inches):
                yield _Filled(pair)
                smaller = from_unit(1, self.kind.big) / from_unit(1, self.kind.small)
                small = SpokenNumber(number.value * smaller, number.step * smaller, "")
                shown = f"{number.value:g} {unit}"
                yield _Filled(Reading((SpokenPart(small, self.kind.small),)), shown)
                return
        yield _Filled(Reading((SpokenPart(replace(number, grouped=None), unit),)))
        if number.grouped is not None:
            yield _Filled(Reading((SpokenPart(SpokenNumber(number.grouped, 1, ""), unit),)))

    def _meaning(
        self, phrase: SpokenPhrase, readings: tuple[_Filled, ...], bare_unit: str
    ) -> Meaning:
        first, last = readings[0], readings[-1]
        link = phrase.link
        low, high = self._value(first.reading), self._value(last.reading)
        if link == "list":
            # "41, 42" is a range; "157, 5 ft 2" says one thing twice.
            link = "to" if abs(high - low) <= 0.15 * max(low, high) else "same"
        if link == "same":
            self._check_same(first.reading, last.reading)
            high, last = low, first
        if link == "spread":
            return self._plus_minus(first, low, high, bare_unit)
        low, high = min(low, high), max(low, high)
        lean = phrase.lean if link in ("none", "same") else ""
        said, shown = self._text(first, last, link)
        if lean in ("bit", "odd"):
            high += self._amount(_tens(first.reading, lean), first.reading.parts[-1].unit)
            said = shown = self._up_to(first.reading, lean)
        margin = 0.0 if lean in ("bit", "odd") else self._about((low + high) / 2)
        about = phrase.about or bool(phrase.lean and link in ("to", "dash", "list"))
        middle, spread = (low + high) / 2, (high - low) / 2 + (margin if about else 0.0)
        if lean in ("under", "over"):
            middle += margin / 2 if lean == "over" else -margin / 2
            spread += margin / 2
            said, shown = f"just {lean} {said}", f"just {lean} {shown}"
        if about and lean not in ("bit", "odd"):
            said, shown = f"about {said}", f"about {shown}"
        words = f"{shown}{self._beside(said, low, high)}"
        return Meaning(low, high, Heard(middle, spread, said), Proposal(said, words), bare_unit)

    def _plus_minus(self, first: _Filled, value: float, spread: float, bare_unit: str) -> Meaning:
        """'40 ± 1 cm': each side takes the other's unit where it has none."""
        if spread >= value:
            raise Unclear("The margin is as large as the value itself. What did they say?")
        said = _said(first.reading)
        unit = first.reading.parts[-1].unit
        step = f"{spread / self._amount(1, unit):g} {unit or ''}".rstrip()
        said = f"{said} ± {step}"
        words = f"{said}{self._beside(said, value, value)}"
        return Meaning(value, value, Heard(value, spread, said), Proposal(said, words), bare_unit)

    def _check_same(self, first: Reading, second: Reading) -> None:
        former, latter = self._value(first), self._value(second)
        if abs(former - latter) > self._half_step(first) + self._half_step(second) + FILLING_SLACK:
            words = [
                f"{_said(reading)}{self._beside(_said(reading), value, value)}"
                for reading, value in ((first, former), (second, latter))
            ]
            raise Unclear(f"{words[0]} and {words[1]} are not the same. Which one is right?")

    def _half_step(self, reading: Reading) -> float:
        part = reading.parts[-1]
        return min(self._amount(part.number.step, part.unit), self.kind.finest) / 2

    def _about(self, value: float) -> float:
        """The margin of an "about": 1 cm, 2 kg; less for lengths of a few centimetres."""
        return self.kind.about if self.kind is COUNT else min(self.kind.about, _SHARE * value)

    def _amount(self, number: float, unit: str | None) -> float:
        return from_unit(number, unit) if unit else number

    def _value(self, reading: Reading) -> float:
        return sum(self._amount(part.number.value, part.unit) for part in reading.parts)

    def _text(self, first: _Filled, last: _Filled, link: SpanWord) -> tuple[str, str]:
        """The phrase with its units, as it is recorded and as it is shown."""
        if link in ("none", "same"):
            said = _said(first.reading)
            return said, first.shown or said
        first, last = sorted((first, last), key=lambda end: self._value(end.reading))
        ends = [_said(first.reading), _said(last.reading)]
        unit = first.reading.parts[-1].unit
        alike = unit and len(first.reading.parts) == 1 and unit == last.reading.parts[-1].unit
        if alike and len(last.reading.parts) == 1:
            ends[0] = ends[0].removesuffix(f" {unit}")
        text = " to ".join(ends)
        return text, text

    def _up_to(self, reading: Reading, lean: Lean) -> str:
        """'41 and a bit' as "41 to 42 cm"; feet and inches in inches alone."""
        unit = reading.parts[-1].unit
        low = self._value(reading) / self._amount(1, unit)
        return f"{low:g} to {low + _tens(reading, lean):g} {unit}".strip()

    def _beside(self, said: str, low: float, high: float) -> str:
        """The same in cm or kg, in brackets; '' where it is metric already."""
        if self.kind is COUNT or said.endswith((" cm", " mm", " kg")):
            return ""
        write = format_length if self.kind is LENGTH else format_mass
        ends = dict.fromkeys(write(end, "metric") for end in (low, high))
        return f" ({' to '.join(ends)})"


def _with_unit(reading: Reading, unit: str | None) -> Reading:
    """The reading, a bare number in it taking ``unit``."""
    return Reading((SpokenPart(reading.parts[0].number, unit),)) if reading.bare else reading


def _same_tens(first: Reading, second: Reading) -> Reading:
    """The second of "41 or 2", which is 42, and of "165 to 70", which is 170."""
    number, two = first.parts[0].number, second.parts[0].number
    whole = number.written.isdecimal() and two.written.isdecimal()
    if len(first.parts) + len(second.parts) > 2 or not whole:
        return second
    size = 10 ** len(two.written)
    value = number.value // size * size + two.value
    short = (size == 10 and number.value >= 20) or (size == 100 and 0 < value - number.value <= 10)
    if not short or number.value < size:
        return second
    return Reading((replace(second.parts[0], number=SpokenNumber(value, 1, f"{value:g}")),))


def _tens(reading: Reading, lean: Lean) -> int:
    """How many of its units "odd" or "and a bit" may add: "forty odd" reaches forty-nine."""
    part = reading.parts[-1]
    round_tens = part.number.value >= 20 and part.number.value % 10 == 0
    return _ODD if lean == "odd" and round_tens and part.unit not in ("st", "ft", "m") else 1


def _said(reading: Reading) -> str:
    """The reading with its units; 5½ ft as "5 ft 6 in", since "5.5 ft" may be 5 ft 5."""
    part = reading.parts[0]
    small, many = next(iter(SMALLER.get(part.unit or "", {}).items()), ("", 0))
    if len(reading.parts) == 1 and part.unit in ("ft", "st") and not part.number.value.is_integer():
        big, rest = divmod(part.number.value, 1)
        whole = f"{big:g} {part.unit} " if big > 0 else ""
        return f"{whole}{rest * many:g} {small}"
    return " ".join(f"{p.number.value:g} {p.unit or ''}".rstrip() for p in reading.parts)
