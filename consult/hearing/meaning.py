"""Decides what a spoken quantity means: one value, or a question with the possible answers.

Nothing is guessed. A bare number takes the caller's units; where it would be usual in another unit
as well, or in that one only, the question names the readings and each can be chosen with one key.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from consult.hearing.filling import FILLING_SLACK, Filler, Meaning
from consult.hearing.phrase import read_phrase
from consult.hearing.quantity import (
    COUNT,
    MASS,
    Heard,
    Proposal,
    QuantityKind,
    Reading,
    SpokenNumber,
    SpokenPhrase,
    Unclear,
    added_readings,
)
from consult.problems import listed
from consult.scale import IN_MM, System, from_unit

UsualRange = tuple[float, float] | None

_NEARLY_USUAL = (0.75, 1.3)
"""Parts of the usual least and most between which a bare number is believed; common practice."""
_LEAST_BARE_MM = 10.0
"""Nobody says fewer millimetres than this without their unit."""
_FIGURE = re.compile(r"[1-9][0-9]{0,3}(?:\.[0-9]{1,3})?")
"""A number and nothing beside it."""
_CLOCK = 12.0
_DAY = 24.0


@dataclass(frozen=True, slots=True)
class Listener:
    """Judges phrases for one question: its kind, the unit of bare numbers, its usual values."""

    kind: QuantityKind
    bare: str
    usual: UsualRange
    system: System = "metric"
    """The caller's units, which a bare number takes where they differ from the question's."""

    @property
    def filler(self) -> Filler:
        """Gives bare numbers their units."""
        return Filler(self.kind, self.bare, self.system)

    def hear(self, text: str) -> Heard:
        """The value said. Raises Unclear with a question where there is not exactly one."""
        return self._figure_alone(text) or self._phrase(text)

    def _figure_alone(self, text: str) -> Heard | None:
        """A number that is usual in just one unit of a metric caller: most answers are one, and
        this takes a tenth of the time. None where there is more to it."""
        if self.usual is None or self.system != "metric" or not _FIGURE.fullmatch(text):
            return None
        number = float(text)
        own = {unit: from_unit(number, unit) for unit in self.filler.own_units() if unit}
        usual = [(value, unit) for unit, value in own.items() if self._usual_in(unit, value, value)]
        return Heard(usual[0][0], 0.0, f"{number:g} {usual[0][1]}") if len(usual) == 1 else None

    def _phrase(self, text: str) -> Heard:
        phrase = read_phrase(text)
        self._check_kind(phrase)
        if any(reading.doubtful for reading in phrase.readings):
            raise self._numbers_in_a_row(phrase)
        if phrase.link in ("to", "dash"):
            self._check_descent(phrase)
        if phrase.link == "dash":
            self._check_dash(phrase)
        phrase = self.filler.shared(phrase)
        bare = all(reading.bare for reading in phrase.readings)
        meanings = self.filler.meanings(phrase)
        if not bare or not self.kind.units:
            return self._take_one(meanings)
        if self.usual is None:
            return self._take_one([meaning for meaning in meanings if meaning.unit == self.bare])
        return self._in_callers_units(meanings, phrase)

    def likelier(self, text: str) -> tuple[Proposal, ...]:
        """The same figure in the units that would make it usual: 29 in for "29 cm" of a desk."""
        phrase = read_phrase(text)
        if self.usual is None or any(len(reading.parts) > 1 for reading in phrase.readings):
            return ()
        units = {reading.parts[0].unit or self.bare for reading in phrase.readings}
        bare = [Reading((replace(r.parts[0], unit=None),)) for r in phrase.readings]
        phrase = replace(phrase, first=bare[0], second=bare[1] if phrase.second else None)
        meanings = self._with_shared_units(phrase)
        return _proposals(
            [
                meaning
                for meaning in meanings
                if self._is_usual(meaning) and meaning.unit not in units
            ]
        )

    # -- judging ------------------------------------------------------------------------------

    def _take_one(self, meanings: list[Meaning]) -> Heard:
        """The meaning of a number whose unit is plain; decimals may still mean two things."""
        big = self.kind.big
        # 5 ft 2 and 5.2 ft are too near for "usual" to tell.
        feet = big and any(f" {big} " in meaning.proposal.said for meaning in meanings)
        if len(meanings) > 1 and self.usual and not feet:
            usual = [meaning for meaning in meanings if self._is_usual(meaning)]
            meanings = usual if len(usual) == 1 else meanings
        if len(meanings) > 1:
            raise _which(meanings)
        return self._possible(meanings[0])

    def _in_callers_units(self, meanings: list[Meaning], phrase: SpokenPhrase) -> Heard:
        """The meaning of a bare number, or the question which of several it is."""
        usual = _different([meaning for meaning in meanings if self._is_usual(meaning)])
        own = [meaning for meaning in usual if meaning.unit in self.filler.own_units()]
        numbers = [part.number for reading in phrase.readings for part in reading.parts]
        fractions = any(number.inch_fraction for number in numbers)
        # "1 3/4" is hardly centimetres, whatever the caller's units.
        rivals = own if (self.system == "metric") != (fractions and bool(own)) else usual
        if len(rivals) == 1 and own:
            return self._possible(rivals[0])
        if len(rivals) > 1:
            raise _which(rivals)
        first = next(meaning for meaning in meanings if meaning.unit == self.filler.first_unit())
        nearly = self._is_nearly_usual(first)
        others = usual
        if not usual and not nearly:
            near = [meaning for meaning in meanings if self._is_nearly_usual(meaning)]
            others = [
                meaning
                for meaning in near
                if meaning.unit != "mm" or meaning.high >= _LEAST_BARE_MM
            ]
        if not others:
            return self._possible(first, bare=not nearly)
        if len(others) > 1 and not nearly:
            raise _which(others)
        amount = self.kind.little if self._is_low(first) else self.kind.much
        also = f", or is it {first.proposal.words}" if nearly else ""
        ask = f"Did they say {_words(others)}{also}?"
        offered = [*others, first] if nearly else others
        proposals = tuple(meaning.proposal for meaning in offered)
        raise Unclear(f"{first.proposal.said} is {amount} for this. {ask}", proposals)

    def _is_usual(self, meaning: Meaning) -> bool:
        return self._usual_in(meaning.unit, meaning.low, meaning.high)

    def _usual_in(self, unit: str, low: float, high: float) -> bool:
        if self.usual is None:
            return True
        if unit == "mm" and self.bare != "mm" and high < _LEAST_BARE_MM:
            return False
        return self.usual[0] - FILLING_SLACK <= low and high <= self.usual[1] + FILLING_SLACK

    def _is_nearly_usual(self, meaning: Meaning) -> bool:
        if self.usual is None:
            return True
        least, most = (part * end for part, end in zip(_NEARLY_USUAL, self.usual, strict=True))
        return least - FILLING_SLACK <= meaning.low and meaning.high <= most + FILLING_SLACK

    def _is_low(self, meaning: Meaning) -> bool:
        return self.usual is not None and meaning.low < self.usual[0]

    def _possible(self, meaning: Meaning, *, bare: bool = False) -> Heard:
        """What was heard, unless no such thing exists, or zero where there is none.

        With usual values the limits are a quarter of the least and three times the most; a bare
        number has to be nearer to what is usual, since its unit is not known.
        """
        least, most = 0.0, self.kind.most
        if self.usual is not None:
            least, most = 0.25 * self.usual[0], 3 * self.usual[1]
        zero = least == 0 if self.usual is not None else self.kind is COUNT
        if (meaning.high == 0 or meaning.low == 0 < least) and not (zero and self.kind is not MASS):
            raise Unclear("This cannot be zero. What did they say?")
        possible = least - FILLING_SLACK <= meaning.low and meaning.high <= most + FILLING_SLACK
        if bare or not possible:
            amount = self.kind.little if self._is_low(meaning) else self.kind.much
            message = f"{meaning.proposal.said} is far too {amount} for this."
            raise Unclear(f"{message} What did they say, in what unit?")
        return meaning.heard

    # -- shapes that may mean several things --------------------------------------------------

    def _check_kind(self, phrase: SpokenPhrase) -> None:
        for part in (part for reading in phrase.readings for part in reading.parts):
            if part.unit and part.unit not in self.kind.units:
                what = "length" if part.unit in IN_MM else "weight"
                answer = f"in {listed(self.kind.units)}" if self.kind.units else "without a unit"
                message = f"{part.unit} is for a {what}, and this asks for a {self.kind.name}."
                raise Unclear(f"{message} How much is it, {answer}?")

    def _numbers_in_a_row(self, phrase: SpokenPhrase) -> Unclear:
        """The question for "5 2": feet and inches, metres and centimetres, or 52?"""
        numbers = [f"{part.number.value:g}" for part in phrase.first.parts]
        digits = phrase.first.digits or " and ".join(numbers)
        phrases = (
            replace(phrase, first=reading) for reading in self.filler.undoubted(phrase.first)
        )
        meanings = (
            meaning
            for spoken_phrase in phrases
            for meaning in self._with_shared_units(spoken_phrase)
        )
        usual = [meaning for meaning in meanings if self._is_usual(meaning)]
        if usual and not (phrase.second and phrase.second.doubtful):
            return Unclear(f"I read {digits}. Is that {_words(usual)}?", _proposals(usual))
        if phrase.first.digits:
            return Unclear(f"I read {digits}. What is that, with its unit?")
        return Unclear(f"I read two numbers, {digits}. Which one is it, or is it a range?")

    def _with_shared_units(self, phrase: SpokenPhrase) -> list[Meaning]:
        return self.filler.meanings_or_none(self.filler.shared(phrase))

    def _check_dash(self, phrase: SpokenPhrase) -> None:
        """'5-10' is a range of inches, or 5 ft 10 where that is usual and the range is not."""
        part, two = phrase.first.parts[0], (phrase.second or phrase.first).parts[0]
        if len(phrase.first.parts) + len((phrase.second or phrase.first).parts) > 2:
            return
        if part.unit not in (None, self.kind.big) or two.unit not in (None, self.kind.small):
            return
        readings = self.filler.pair(part.number, two.number)
        alone = (SpokenPhrase(r, about=phrase.about, lean=phrase.lean) for r in readings)
        meanings = (
            meaning for spoken_phrase in alone for meaning in self.filler.meanings(spoken_phrase)
        )
        pairs = [meaning for meaning in meanings if self._is_usual(meaning)]
        ranges = self._with_shared_units(phrase)
        own = (*self.filler.own_units(), "")
        usual = [meaning for meaning in ranges if self._is_usual(meaning) and meaning.unit in own]
        joined = part.unit is not None  # "5ft-6" is hardly "5 ft to 6 ft"
        if pairs and (joined or not usual or part.number.value > two.number.value):
            offered = [*pairs, *(usual if joined and self.usual else [])]
            ask = f"Is that {_words(offered)}, or a range? Can you write it with its units?"
            raise Unclear(ask, _proposals(offered))

    def _check_descent(self, phrase: SpokenPhrase) -> None:
        """Asks about "1 to 1/2", which may be 1½, and "9 to 5", which may be eight hours."""
        first, second = phrase.first, phrase.second
        if second is None or len(first.parts) + len(second.parts) > 2:
            return
        number, two = first.parts[0].number, second.parts[0].number
        if two.value >= number.value:
            return
        reread: SpokenNumber | None = None
        if number.written.isdecimal() and not two.written and 0 < two.value < 1:
            reread, shown = added_readings(number, two), ""
        elif self.kind is COUNT and self.usual and self.usual[1] <= _DAY and number.value <= _CLOCK:
            hours = two.value + _CLOCK - number.value
            reread = SpokenNumber(hours, 1, f"{hours:g}")
            shown = f"{hours:g} (from {number.value:g} o'clock to {two.value:g})"
        if reread is None:
            return
        single = Reading((replace(second.parts[0], number=reread),))
        alone = SpokenPhrase(single, about=phrase.about, lean=phrase.lean)
        meanings = [*self.filler.meanings_or_none(alone), *self._with_shared_units(phrase)]
        units = ("", self.filler.first_unit())
        usual = [
            meaning
            for meaning in meanings
            if self._is_nearly_usual(meaning) and meaning.unit in units
        ]
        if not usual:
            return
        proposals = _proposals(usual)
        if shown:
            proposals = (replace(proposals[0], words=shown), *proposals[1:])
        words = listed(proposal.words for proposal in proposals)
        raise Unclear(f"Is that {words}?", proposals)


def _which(meanings: list[Meaning]) -> Unclear:
    return Unclear(f"Is that {_words(meanings)}?", _proposals(meanings))


def _different(meanings: list[Meaning]) -> list[Meaning]:
    """One of each value: zero is the same in every unit."""
    return list({(meaning.low, meaning.high): meaning for meaning in reversed(meanings)}.values())[
        ::-1
    ]


def _proposals(meanings: list[Meaning]) -> tuple[Proposal, ...]:
    return tuple(dict.fromkeys(meaning.proposal for meaning in meanings))


def _words(meanings: list[Meaning]) -> str:
    return listed(proposal.words for proposal in _proposals(meanings))
