"""Decides what a spoken quantity means: one value, or a question with the possible answers.

Nothing is guessed. A bare number takes the caller's units; where it would be usual in another unit
as well, or in that one only, the question names the readings and each can be chosen with one key.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from itertools import product

from consult.hearing.phrase import read
from consult.hearing.quantity import (
    SMALLER,
    Lean,
    Link,
    Number,
    Part,
    Phrase,
    Proposal,
    Reading,
    Unclear,
    added,
    check_small,
)
from consult.problems import listed
from consult.scale import IN_KG, IN_MM, System, format_length, format_mass, from_unit

Usual = tuple[float, float] | None

_SLACK = 1e-6
"""mm or kg; rounding that keeps 205 cm within "140 to 205"."""
_NEARLY_USUAL = (0.75, 1.3)
"""Parts of the usual least and most between which a bare number is believed; common practice."""
_SHARE = 0.2
"""The largest share of a length that "about" adds; common practice, no source."""
_ODD = 9
"""How far "forty odd" may reach: up to forty-nine."""
_METRIC = ("mm", "cm", "m", "kg")
_LEAST_BARE_MM = 10.0
"""Nobody says fewer millimetres than this without their unit."""
_CLOCK = 12.0
_DAY = 24.0


@dataclass(frozen=True, slots=True)
class Heard:
    """A value with its margin, in mm, kg or as a plain number."""

    value: float
    spread: float = 0.0
    """Half the width of a range, or the margin an "about" adds; same unit as ``value``."""
    said: str = field(default="", compare=False)
    """The same answer with its units, for a record that must not depend on the caller's units."""


@dataclass(frozen=True, slots=True)
class Kind:
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


LENGTH = Kind("length", tuple(IN_MM), "short", "long", 10.0, 10_000.0, 25.4, "ft", "in")
MASS = Kind("weight", tuple(IN_KG), "light", "heavy", 2.0, 500.0, 1.0, "st", "lb")
COUNT = Kind("plain number", (), "small", "large", 1.0, 1_000_000.0, 1.0)


@dataclass(frozen=True, slots=True)
class _Meaning:
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
class Listener:
    """Judges phrases for one question: its kind, the unit of bare numbers, its usual values."""

    kind: Kind
    bare: str
    usual: Usual
    system: System = "metric"
    """The caller's units, which a bare number takes where they differ from the question's."""

    def hear(self, text: str) -> Heard:
        """The value said. Raises Unclear with a question where there is not exactly one."""
        phrase = read(text)
        self._check_kind(phrase)
        if any(reading.doubtful for reading in phrase.readings):
            raise self._numbers_in_a_row(phrase)
        if phrase.link in ("to", "dash"):
            self._check_descent(phrase)
        if phrase.link == "dash":
            self._check_dash(phrase)
        phrase = self._shared(phrase)
        bare = all(reading.bare for reading in phrase.readings)
        meanings = self._meanings(phrase)
        if not bare or not self.kind.units:
            return self._take_one(meanings)
        if self.usual is None:
            return self._take_one([one for one in meanings if one.unit == self.bare])
        return self._in_callers_units(meanings, phrase)

    def likelier(self, text: str) -> tuple[Proposal, ...]:
        """The same figure in the units that would make it usual: 29 in for "29 cm" of a desk."""
        phrase = read(text)
        if self.usual is None or any(len(reading.parts) > 1 for reading in phrase.readings):
            return ()
        said = {reading.parts[0].unit or self.bare for reading in phrase.readings}
        bare = [Reading((replace(r.parts[0], unit=None),)) for r in phrase.readings]
        phrase = replace(phrase, first=bare[0], second=bare[1] if phrase.second else None)
        found = self._meanings_or_none(self._shared(phrase))
        return _proposals([one for one in found if self._is_usual(one) and one.unit not in said])

    # -- judging --------------------------------------------------------------------------------

    def _take_one(self, meanings: list[_Meaning]) -> Heard:
        """The meaning of a number whose unit is plain; decimals may still mean two things."""
        if len(meanings) > 1 and self.usual and not self._decimal_feet(meanings):
            usual = [one for one in meanings if self._is_usual(one)]
            meanings = usual if len(usual) == 1 else meanings
        if len(meanings) > 1:
            raise _which(meanings)
        return self._possible(meanings[0])

    def _decimal_feet(self, meanings: list[_Meaning]) -> bool:
        """Whether the meanings are 5 ft 2 and 5.2 ft, which are too near for "usual" to tell."""
        return any(self.kind.big and f" {self.kind.big} " in one.proposal.said for one in meanings)

    def _in_callers_units(self, meanings: list[_Meaning], phrase: Phrase) -> Heard:
        """The meaning of a bare number, or the question which of several it is."""
        usual = _different([one for one in meanings if self._is_usual(one)])
        own = [one for one in usual if one.unit in self._own_units()]
        numbers = [part.number for reading in phrase.readings for part in reading.parts]
        fractions = any(number.inch_fraction for number in numbers)
        # "1 3/4" is hardly centimetres, whatever the caller's units.
        rivals = own if (self.system == "metric") != (fractions and bool(own)) else usual
        if len(rivals) == 1 and own:
            return self._possible(rivals[0])
        if len(rivals) > 1:
            raise _which(rivals)
        first = next(one for one in meanings if one.unit == self._first_unit())
        nearly = self._is_nearly_usual(first)
        others = usual or [] if nearly else usual or self._nearly_usual(meanings)
        if not others:
            return self._possible(first, bare=not nearly)
        if len(others) > 1 and not nearly:
            raise _which(others)
        amount = self.kind.little if self._is_low(first) else self.kind.much
        also = f", or is it {_plain_words(first)}" if nearly else ""
        raise Unclear(
            f"{first.proposal.said} is {amount} for this. Did they say {_words(others)}{also}?",
            (*(one.proposal for one in others), *([first.proposal] if nearly else [])),
        )

    def _own_units(self) -> tuple[str, ...]:
        """The units a bare number may be in without a question."""
        if self.system == "both":
            return self.kind.units
        metric = self.system == "metric"
        units = [unit for unit in self.kind.units if (unit in _METRIC) == metric]
        return (self.bare, *units) if metric else tuple(units)

    def _first_unit(self) -> str:
        """The unit a bare number is in where no reading is usual."""
        if self.system == "imperial" and self.bare in _METRIC:
            return self.kind.small
        return self.bare

    def _is_usual(self, one: _Meaning) -> bool:
        if self.usual is None:
            return True
        if one.unit == "mm" and self.bare != "mm" and one.high < _LEAST_BARE_MM:
            return False
        return self.usual[0] - _SLACK <= one.low and one.high <= self.usual[1] + _SLACK

    def _is_nearly_usual(self, one: _Meaning) -> bool:
        if self.usual is None:
            return True
        least, most = (part * end for part, end in zip(_NEARLY_USUAL, self.usual, strict=True))
        return least - _SLACK <= one.low and one.high <= most + _SLACK

    def _nearly_usual(self, meanings: list[_Meaning]) -> list[_Meaning]:
        return [
            one
            for one in meanings
            if self._is_nearly_usual(one) and not (one.unit == "mm" and one.high < _LEAST_BARE_MM)
        ]

    def _is_low(self, one: _Meaning) -> bool:
        return self.usual is not None and one.low < self.usual[0]

    def _possible(self, one: _Meaning, *, bare: bool = False) -> Heard:
        """What was heard, unless no such thing exists, or zero where there is none.

        With usual values the limits are a quarter of the least and three times the most; a bare
        number has to be nearer to what is usual, since its unit is not known.
        """
        least, most = 0.0, self.kind.most
        if self.usual is not None:
            least, most = 0.25 * self.usual[0], 3 * self.usual[1]
        zero = least == 0 if self.usual is not None else self.kind is COUNT
        if (one.high == 0 or one.low == 0 < least) and not (zero and self.kind is not MASS):
            raise Unclear("Zero cannot be right here. What did they say?")
        possible = least - _SLACK <= one.low and one.high <= most + _SLACK
        if bare or not possible:
            amount = self.kind.little if self._is_low(one) else self.kind.much
            raise Unclear(
                f"{one.proposal.said} is far too {amount} for this. "
                "What did they say, in what unit?"
            )
        return one.heard

    # -- shapes that may mean several things ----------------------------------------------------

    def _check_kind(self, phrase: Phrase) -> None:
        for part in (part for reading in phrase.readings for part in reading.parts):
            if part.unit and part.unit not in self.kind.units:
                what = "length" if part.unit in IN_MM else "weight"
                answer = f"in {listed(self.kind.units)}" if self.kind.units else "without a unit"
                raise Unclear(
                    f"{part.unit} is for a {what}, and this asks for a {self.kind.name}. "
                    f"How much is it, {answer}?"
                )

    def _numbers_in_a_row(self, phrase: Phrase) -> Unclear:
        """The question for "5 2": feet and inches, metres and centimetres, or 52?"""
        said = " and ".join(
            phrase.first.digits or f"{part.number.value:g}" for part in phrase.first.parts
        )
        found = [
            meaning
            for reading in self._undoubted(phrase.first)
            for meaning in self._meanings_or_none(self._shared(replace(phrase, first=reading)))
            if self._is_usual(meaning)
        ]
        if found and not (phrase.second and phrase.second.doubtful):
            return Unclear(f"I read {said}. Is that {_words(found)}?", _proposals(found))
        if phrase.first.digits:
            return Unclear(f"I read {said}. What is that, with its unit?")
        return Unclear(f"I read two numbers, {said}. Which one is it, or is it a range?")

    def _undoubted(self, reading: Reading) -> Iterator[Reading]:
        """What numbers in a row may stand for."""
        if reading.digits:
            part = reading.parts[0]
            yield Reading((replace(part, unit=part.unit or self.bare),))
            return
        if not reading.doubtful:
            yield reading
            return
        one, two = reading.parts
        if two.unit in (None, self.kind.small):
            yield from self._pair(one.number, two.number)
        if not (one.number.written.isdecimal() and two.number.written.isdecimal()):
            return
        if self.kind is LENGTH and len(two.number.written) == 2 and one.number.value in (1, 2):
            value = one.number.value + two.number.value / 100
            yield Reading((Part(Number(value, 0.01, f"{value:g}"), "m"),))
        if self.kind.units and len(one.number.written) == len(two.number.written) == 1:
            value = 10 * one.number.value + two.number.value
            yield Reading((Part(Number(value, 1, f"{value:g}"), two.unit or self.bare),))

    def _pair(self, big: Number, small: Number) -> Iterator[Reading]:
        """Feet and inches, or stones and pounds, if the numbers can be."""
        kind = self.kind
        if kind.big and big.value.is_integer() and small.value < (12 if kind is LENGTH else 14):
            yield Reading((Part(big, kind.big), Part(small, kind.small)))

    def _check_dash(self, phrase: Phrase) -> None:
        """'5-10' is a range of inches, or 5 ft 10 where that is usual and the range is not."""
        one, two = phrase.first.parts[0], (phrase.second or phrase.first).parts[0]
        if len(phrase.first.parts) + len((phrase.second or phrase.first).parts) > 2:
            return
        if one.unit not in (None, self.kind.big) or two.unit not in (None, self.kind.small):
            return
        readings = list(self._pair(one.number, two.number))
        pairs = [
            found
            for reading in readings
            for found in self._meanings(Phrase(reading, about=phrase.about, lean=phrase.lean))
            if self._is_usual(found)
        ]
        ranges = self._meanings_or_none(self._shared(phrase))
        own = (*self._own_units(), "")
        usual = [found for found in ranges if self._is_usual(found) and found.unit in own]
        joined = one.unit is not None  # "5ft-6" is hardly "5 ft to 6 ft"
        if pairs and (joined or not usual or one.number.value > two.number.value):
            offered = [*pairs, *(usual if joined and self.usual else [])]
            raise Unclear(
                f"Is that {_words(offered)}, or a range? Can you write it with its units?",
                _proposals(offered),
            )

    def _check_descent(self, phrase: Phrase) -> None:
        """Asks about "1 to 1/2", which may be 1½, and "9 to 5", which may be eight hours."""
        first, second = phrase.first, phrase.second
        if second is None or len(first.parts) + len(second.parts) > 2:
            return
        one, two = first.parts[0].number, second.parts[0].number
        if two.value >= one.value:
            return
        other: Number | None = None
        if one.written.isdecimal() and not two.written and 0 < two.value < 1:
            other, shown = added(one, two), ""
        elif self.kind is COUNT and self.usual and self.usual[1] <= _DAY and one.value <= _CLOCK:
            hours = two.value + _CLOCK - one.value
            other = Number(hours, 1, f"{hours:g}")
            shown = f"{hours:g} (from {one.value:g} o'clock to {two.value:g})"
        if other is None:
            return
        single = Reading((replace(second.parts[0], number=other),))
        found = [
            *self._meanings_or_none(Phrase(single, about=phrase.about, lean=phrase.lean)),
            *self._meanings_or_none(self._shared(phrase)),
        ]
        found = [one for one in found if self._is_nearly_usual(one)]
        found = [one for one in found if one.unit in ("", self._first_unit())]
        if not found:
            return
        proposals = _proposals(found)
        if shown:
            proposals = (replace(proposals[0], words=shown), *proposals[1:])
        words = listed(proposal.words for proposal in proposals)
        raise Unclear(f"Is that {words}?", proposals)

    # -- units ----------------------------------------------------------------------------------

    def _shared(self, phrase: Phrase) -> Phrase:
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
            raise Unclear(
                f"Which unit goes with the {first.parts[0].number.value:g}? "
                "Can you give both ends with their units?"
            )
        else:
            unit = first.parts[-1].unit or last.unit
            first, second = _with_unit(first, unit), _with_unit(second, unit)
            if phrase.link in ("to", "dash"):
                second = _same_tens(first, second)
        return replace(phrase, first=first, second=second)

    def _meanings(self, phrase: Phrase) -> list[_Meaning]:
        """Every way to fill in the units; the first error where there is none."""
        found: list[_Meaning] = []
        trouble: Unclear | None = None
        for unit in self._units_of_bare(phrase):
            filled = [list(self._fill(reading, unit)) for reading in phrase.readings]
            for readings in product(*filled):
                try:
                    found.append(self._meaning(phrase, readings, unit))
                except Unclear as unclear:
                    if trouble is None or unit == self._first_unit():
                        trouble = unclear
        if not found and trouble:
            raise trouble
        return found

    def _meanings_or_none(self, phrase: Phrase) -> list[_Meaning]:
        try:
            return self._meanings(phrase)
        except Unclear:
            return []

    def _units_of_bare(self, phrase: Phrase) -> tuple[str, ...]:
        """The units a bare number may have, the likeliest first."""
        if not any(reading.bare for reading in phrase.readings):
            return ("",)
        if not self.kind.units:
            return ("",)
        order = sorted(
            dict.fromkeys((*self.kind.units, self.bare)), key=lambda unit: unit != self.kind.big
        )
        own = self._own_units()
        return tuple(sorted(order, key=lambda unit: unit not in own))

    def _fill(self, reading: Reading, unit: str) -> Iterator[_Filled]:
        """A reading with its unit: "5.2 ft" may be 5 ft 2, "1,570 mm" two lengths."""
        if len(reading.parts) == 2:
            yield _Filled(reading)
            return
        number = reading.parts[0].number
        unit = reading.parts[0].unit or unit
        if unit == self.kind.big and unit and number.decimals.strip("0"):
            inches = Number(float(number.decimals), 1, number.decimals)
            for pair in self._pair(Number(float(int(number.value)), 1, ""), inches):
                yield _Filled(pair)
                each = from_unit(1, self.kind.big) / from_unit(1, self.kind.small)
                small = Number(number.value * each, number.step * each, "")
                shown = f"{number.value:g} {unit}"
                yield _Filled(Reading((Part(small, self.kind.small),)), shown)
                return
        yield _Filled(Reading((Part(replace(number, grouped=None), unit),)))
        if number.grouped is not None:
            yield _Filled(Reading((Part(Number(number.grouped, 1, ""), unit),)))

    def _meaning(self, phrase: Phrase, readings: tuple[_Filled, ...], bare_unit: str) -> _Meaning:
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
            high += self._further(first.reading, lean)
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
        return _Meaning(low, high, Heard(middle, spread, said), Proposal(said, words), bare_unit)

    def _about(self, value: float) -> float:
        """The margin of an "about": 1 cm, 2 kg; less for lengths of a few centimetres."""
        return self.kind.about if self.kind is COUNT else min(self.kind.about, _SHARE * value)

    def _further(self, reading: Reading, lean: Lean) -> float:
        return self._amount(_tens(reading, lean), reading.parts[-1].unit)

    def _amount(self, number: float, unit: str | None) -> float:
        return from_unit(number, unit) if unit else number

    def _value(self, reading: Reading) -> float:
        return sum(self._amount(part.number.value, part.unit) for part in reading.parts)

    def _text(self, first: _Filled, last: _Filled, link: Link) -> tuple[str, str]:
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

    # -- two readings ---------------------------------------------------------------------------

    def _check_same(self, first: Reading, second: Reading) -> None:
        one, two = self._value(first), self._value(second)
        if abs(one - two) > self._half_step(first) + self._half_step(second) + _SLACK:
            words = [
                f"{_said(reading)}{self._beside(_said(reading), value, value)}"
                for reading, value in ((first, one), (second, two))
            ]
            raise Unclear(f"{words[0]} and {words[1]} are not the same. Which one is right?")

    def _half_step(self, reading: Reading) -> float:
        part = reading.parts[-1]
        return min(self._amount(part.number.step, part.unit), self.kind.finest) / 2

    def _plus_minus(self, first: _Filled, value: float, spread: float, bare_unit: str) -> _Meaning:
        """'40 ± 1 cm': each side takes the other's unit where it has none."""
        if spread >= value:
            raise Unclear("The ± is as large as the value itself. What did they say?")
        said = _said(first.reading)
        unit = first.reading.parts[-1].unit
        step = f"{spread / self._amount(1, unit):g} {unit or ''}".rstrip()
        said = f"{said} ± {step}"
        words = f"{said}{self._beside(said, value, value)}"
        return _Meaning(value, value, Heard(value, spread, said), Proposal(said, words), bare_unit)


def _with_unit(reading: Reading, unit: str | None) -> Reading:
    """The reading, a bare number in it taking ``unit``."""
    return Reading((Part(reading.parts[0].number, unit),)) if reading.bare else reading


def _same_tens(first: Reading, second: Reading) -> Reading:
    """The second of "41 or 2", which is 42, and of "165 to 70", which is 170."""
    one, two = first.parts[0].number, second.parts[0].number
    whole = one.written.isdecimal() and two.written.isdecimal()
    if len(first.parts) + len(second.parts) > 2 or not whole:
        return second
    size = 10 ** len(two.written)
    value = one.value // size * size + two.value
    short = (size == 10 and one.value >= 20) or (size == 100 and 0 < value - one.value <= 10)
    if not short or one.value < size:
        return second
    return Reading((replace(second.parts[0], number=Number(value, 1, f"{value:g}")),))


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
        return " ".join(
            each
            for each in (f"{big:g} {part.unit}" * (big > 0), f"{rest * many:g} {small}")
            if each
        )
    return " ".join(f"{p.number.value:g} {p.unit or ''}".rstrip() for p in reading.parts)


def _which(meanings: list[_Meaning]) -> Unclear:
    return Unclear(f"Is that {_words(meanings)}?", _proposals(meanings))


def _different(meanings: list[_Meaning]) -> list[_Meaning]:
    """One of each value: zero is the same in every unit."""
    return list({(one.low, one.high): one for one in reversed(meanings)}.values())[::-1]


def _proposals(meanings: list[_Meaning]) -> tuple[Proposal, ...]:
    return tuple(dict.fromkeys(one.proposal for one in meanings))


def _words(meanings: list[_Meaning]) -> str:
    return listed(proposal.words for proposal in _proposals(meanings))


def _plain_words(one: _Meaning) -> str:
    return one.proposal.words
