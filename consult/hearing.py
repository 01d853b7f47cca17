"""What a spoken quantity means: one value, or a question to give back.

Nothing is guessed. Where the words have two readings, or the number is only usual in another
unit than the one taken for granted, the question names the readings.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import chain

from consult.phrase import read
from consult.problems import listed
from consult.quantity import Number, Part, Phrase, Reading, Unclear, check_small
from consult.scale import IN_KG, IN_MM, format_length, format_mass, from_unit

Usual = tuple[float, float] | None

_NEAR = 1e-6
"""mm or kg; the slack that keeps 205 cm within "140 to 205"."""


@dataclass(frozen=True, slots=True)
class Heard:
    """A value with how sure it is: mm, kg or a plain number."""

    value: float
    spread: float = 0.0
    """Half-width of a range, or the uncertainty an "about" adds; same unit as ``value``."""


@dataclass(frozen=True, slots=True)
class Kind:
    """What is asked for: a length, a weight or a plain number."""

    name: str
    units: tuple[str, ...]
    little: str
    much: str
    about: float
    """Spread that "about" adds; common practice, no source."""
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
class _Candidate:
    value: float
    words: str


@dataclass(frozen=True, slots=True)
class Listener:
    """Judges phrases for one question: its kind, the unit of bare numbers, its usual values."""

    kind: Kind
    bare: str
    usual: Usual

    def hear(self, text: str) -> Heard:
        """The value said. Raises Unclear with a question where there is not exactly one."""
        phrase = read(text)
        first, second = phrase.first, phrase.second
        for reading in (first, second) if second else (first,):
            self._check_kind(reading)
        about = self.kind.about if phrase.about else 0.0
        if second is None:
            return Heard(self._value(first), about)
        if phrase.link == "same":
            self._check_same(first, second)
            return Heard(self._value(first), about)
        if phrase.link == "spread":
            return self._plus_minus(first, second)
        return self._range(phrase, first, second, about)

    def _check_kind(self, reading: Reading) -> None:
        for part in reading.parts:
            if part.unit and part.unit not in self.kind.units:
                what = "length" if part.unit in IN_MM else "weight"
                answer = f"in {listed(self.kind.units)}" if self.kind.units else "without a unit"
                raise Unclear(
                    f"{part.unit} is for a {what}, and this asks for a {self.kind.name}. "
                    f"How much is it, {answer}?"
                )
        if reading.doubtful:
            raise self._two_numbers(reading)

    def _two_numbers(self, reading: Reading) -> Unclear:
        """The question for "5 2": feet and inches, metres and centimetres, or a range?"""
        one, two = (part.number for part in reading.parts)
        found = self._pair(one.value, two.value)
        if self.kind is LENGTH and len(two.written) == 2 and one.value in (1, 2):
            found.append(self._candidate(one.value + two.value / 100, "m"))
        said = f"{one.value:g} and {two.value:g}"
        if usual := [candidate for candidate in found if self._is_usual(candidate.value)]:
            return Unclear(f"I read {said}. Is that {_words(usual)}?")
        return Unclear(f"I read two numbers, {said}. Which one is it, or is it a range?")

    def _value(self, reading: Reading) -> float:
        """mm, kg or a plain number; the question where it is doubtful or cannot be."""
        part = reading.parts[0]
        unit = part.unit or self.bare
        if len(reading.parts) == 2:
            value = sum(from_unit(p.number.value, p.unit or "") for p in reading.parts)
            said = " ".join(f"{p.number.value:g} {p.unit}" for p in reading.parts)
            return self._possible(value, said)
        found = self._readings(part.number, unit)
        if len(found) > 1 and part.number.grouped is not None:
            usual = [one for one in found if self._is_usual(one.value)] if self.usual else found
            found = usual if len(usual) == 1 else found
        if part.unit is None and not any(self._is_usual(one.value) for one in found):
            self._ask_other_units(part.number, found[0].words)
        if len(found) > 1:
            raise Unclear(f"Is that {_words(found)}?")
        return self._possible(found[0].value, f"{part.number.value:g} {unit}".strip())

    def _readings(self, number: Number, unit: str) -> list[_Candidate]:
        """What a number can mean in a unit: "5.2 ft" may be 5 ft 2, "1,570 mm" two lengths."""
        found = []
        if unit == self.kind.big:
            found += self._decimal_pair(number)
        found.append(self._candidate(number.value, unit))
        if number.grouped is not None:
            found.append(self._candidate(number.grouped, unit))
        return found

    def _decimal_pair(self, number: Number) -> list[_Candidate]:
        """The feet and inches "5.2" may stand for; none for "5.0" or "5.75"."""
        small = float(number.decimals or 0)
        return self._pair(float(int(number.value)), small) if small else []

    def _pair(self, big: float, small: float) -> list[_Candidate]:
        kind = self.kind
        if not kind.big or not big.is_integer() or small >= (12 if kind is LENGTH else 14):
            return []
        value = from_unit(big, kind.big) + from_unit(small, kind.small)
        return [_Candidate(value, self._said(value, f"{big:g} {kind.big} {small:g} {kind.small}"))]

    def _candidate(self, number: float, unit: str) -> _Candidate:
        value = from_unit(number, unit) if unit else number
        return _Candidate(value, self._said(value, f"{number:g} {unit}".strip()))

    def _said(self, value: float, words: str) -> str:
        """The words, with the same in cm or kg beside it where they are not metric already."""
        if self.kind is COUNT or words.endswith((" cm", " mm", " kg")):
            return words
        write = format_length if self.kind is LENGTH else format_mass
        return f"{words} ({write(value, 'metric')})"

    def _ask_other_units(self, number: Number, said: str) -> None:
        """Raises Unclear where the bare number would be usual in a unit nobody mentioned."""
        units = [unit for unit in self.kind.units if unit != self.bare]
        if self.kind.big in units:  # the pair is the likeliest, so it is named first
            units.sort(key=lambda unit: unit != self.kind.big)
        found = chain.from_iterable(self._readings(number, unit) for unit in units)
        usual = [one for one in found if self._is_usual(one.value)]
        if len(usual) == 1:
            value = from_unit(number.value, self.bare)
            amount = self.kind.little if self._is_low(value) else self.kind.much
            raise Unclear(f"{said} is {amount} for this. Did they say {usual[0].words}?")
        if usual:
            raise Unclear(f"Is that {_words(usual)}?")

    def _is_low(self, value: float) -> bool:
        return self.usual is not None and value < self.usual[0]

    def _is_usual(self, value: float) -> bool:
        if self.usual is None:
            return True
        return self.usual[0] - _NEAR <= value <= self.usual[1] + _NEAR

    def _possible(self, value: float, said: str) -> float:
        """``value``, unless no such thing exists: Unclear then, and for zero where there is none.

        With usual values the limits are a quarter of the least and three times the most.
        """
        least, most = 0.0, self.kind.most
        if self.usual is not None:
            least, most = 0.25 * self.usual[0], 3 * self.usual[1]
        zero = least == 0 if self.usual is not None else self.kind is COUNT
        if value == 0 and not (zero and self.kind is not MASS):
            raise Unclear("Zero cannot be right here. What did they say?")
        if not least - _NEAR <= value <= most + _NEAR:
            amount = self.kind.little if value < least else self.kind.much
            raise Unclear(f"{said} is far too {amount} for this. What did they say, in what unit?")
        return value

    def _check_same(self, first: Reading, second: Reading) -> None:
        one, two = self._value(first), self._value(second)
        if abs(one - two) > self._half_step(first) + self._half_step(second) + _NEAR:
            words = [self._words_of(reading) for reading in (first, second)]
            raise Unclear(f"{words[0]} and {words[1]} are not the same. Which one is right?")

    def _half_step(self, reading: Reading) -> float:
        part = reading.parts[-1]
        unit = part.unit or self.bare
        step = from_unit(part.number.step, unit) if unit else part.number.step
        return min(step, self.kind.finest) / 2

    def _words_of(self, reading: Reading) -> str:
        words = " ".join(
            f"{part.number.value:g} {part.unit or self.bare}".strip() for part in reading.parts
        )
        return self._said(self._value(reading), words)

    def _plus_minus(self, first: Reading, second: Reading) -> Heard:
        """'40 ± 1 cm': each side takes the other's unit where it has none."""
        unit = first.parts[-1].unit or second.parts[-1].unit
        first, second = _with_unit(first, unit), _with_unit(second, unit)
        value = self._value(first)
        spread = sum(
            from_unit(part.number.value, part.unit or self.bare)
            if self.kind.units
            else part.number.value
            for part in second.parts
        )
        if spread >= value:
            raise Unclear("The ± is as large as the value itself. What did they say?")
        return Heard(value, spread)

    def _range(self, phrase: Phrase, first: Reading, second: Reading, about: float) -> Heard:
        if phrase.link == "dash":
            self._check_dash(first, second)
        first, second = self._same_units(first, second)
        ends = sorted((self._value(first), self._value(second)))
        return Heard((ends[0] + ends[1]) / 2, (ends[1] - ends[0]) / 2 + about)

    def _check_dash(self, first: Reading, second: Reading) -> None:
        """'5-10' is a range of inches, or 5 ft 10 where that is usual and the range is not."""
        if len(first.parts) + len(second.parts) > 2:
            return
        one, two = first.parts[0], second.parts[0]
        if one.unit not in (None, self.kind.big) or two.unit not in (None, self.kind.small):
            return
        pair = [
            c for c in self._pair(one.number.value, two.number.value) if self._is_usual(c.value)
        ]
        unit = two.unit or one.unit or self.bare
        unusual = not all(
            self._is_usual(self._candidate(part.number.value, unit).value) for part in (one, two)
        )
        joined = one.unit is not None  # "5ft-6" is hardly "5 ft to 6 ft"
        if pair and (joined or unusual or one.number.value > two.number.value):
            raise Unclear(f"Is that {pair[0].words}, or a range? Can you write it with its units?")

    def _same_units(self, first: Reading, second: Reading) -> tuple[Reading, Reading]:
        """Units said once count for both ends: "40-42 cm", "5 ft 2 to 3"."""
        last = second.parts[-1]
        if len(first.parts) == 2 and len(second.parts) == 1:
            big, small = first.parts
            if last.unit in (None, small.unit):
                part = replace(last, unit=small.unit)
                check_small(part, big.unit or "")
                second = Reading((big, part))
        elif len(second.parts) == 2 and first.parts[-1].unit is None:
            raise Unclear(
                f"Which unit goes with the {first.parts[0].number.value:g}? "
                "Can you give both ends with their units?"
            )
        else:
            unit = first.parts[-1].unit or last.unit
            first = _with_unit(first, unit)
            second = _with_unit(second, unit)
        return first, second


def _with_unit(reading: Reading, unit: str | None) -> Reading:
    """The reading, a bare number in it taking ``unit``."""
    if len(reading.parts) == 1 and reading.parts[0].unit is None:
        return Reading((Part(reading.parts[0].number, unit),))
    return reading


def _words(candidates: list[_Candidate]) -> str:
    return listed(dict.fromkeys(candidate.words for candidate in candidates))
