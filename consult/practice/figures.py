"""A figure as people say it, and as a careful listener writes it down.

``figure_of(question, 1587.0, "imperial", "fine", key)`` may be said "five foot two and a half" and
is written "5 ft 2 1/2 in". Both mean the same value, rounded to what people read off.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from consult.practice.ways import pick
from consult.scale import IN_KG, IN_MM, from_unit

if TYPE_CHECKING:
    from consult.content.callers.chance import Key
    from consult.tree.model import Question

System = Literal["metric", "imperial"]
Rounding = Literal["fine", "whole", "coarse"]
"""As read off a tape; to whole centimetres or half inches; to the nearest five or so."""

_SMALL = 100.0
"""mm; below it nobody rounds by 5 cm."""
_METRE = 1000.0
_FEET_FROM = 1220.0
"""mm; from here on people who think in inches say feet."""
_SAID = (
    "nought one two three four five six seven eight nine ten eleven twelve thirteen fourteen "
    "fifteen sixteen seventeen eighteen nineteen"
)
_ONES = _SAID.split()
_TENS = ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
_QUARTERS = ("", "1/4", "1/2", "3/4")
_QUARTER_WORDS = ("", "a quarter", "a half", "three quarters")


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure, said and written."""

    words: str
    typed: str
    value: float
    """What both mean: mm, kg or plain."""
    other: str
    """A figure a little beside it, without a unit, for those who correct themselves."""


def in_words(number: int) -> str:
    """A whole number from 0 on as it is said; in figures from 10,000 on."""
    if number < 20:
        return _ONES[number]
    if number < 100:
        tens, one = divmod(number, 10)
        return f"{_TENS[tens - 2]}-{_ONES[one]}" if one else _TENS[tens - 2]
    if number >= 10_000:
        return f"{number}"
    size, name = (100, "hundred") if number < 1000 else (1000, "thousand")
    many, rest = divmod(number, size)
    said = f"{'a' if many == 1 else in_words(many)} {name}"
    if not rest:
        return said
    if rest < 100:
        return f"{said} and {in_words(rest)}"
    return f"{said} {in_words(rest).replace('a hundred', 'one hundred')}"


def figure_of(
    question: Question, value: float, system: System, rounding: Rounding, key: Key
) -> Figure:
    """A value in mm, kg or plain as the answer to a question of that kind."""
    if question.answer == "mass":
        return _kilos(value, rounding, key) if system == "metric" else _stones(value, rounding)
    if question.answer == "count":
        return _count(value, rounding)
    if system == "metric":
        return _centimetres(question, value, rounding, key)
    if value >= _FEET_FROM:
        return _feet(value, rounding, key)
    return _inches(question, value, rounding)


def _steps(question: Question | None, value: float, step: float) -> int:
    """How many steps people say: never none, unless nought is a usual answer."""
    least = 0 if question and question.expect and question.expect[0] <= 0 else 1
    return max(round(value / step), least)


def _halves(number: float) -> str:
    """A number in halves: "forty-one and a half"."""
    whole, half = int(number), number % 1 > 0
    if not half:
        return in_words(whole)
    return f"{in_words(whole)} and a half" if whole else "a half"


def _centimetres(question: Question, value: float, rounding: Rounding, key: Key) -> Figure:
    if value >= _METRE:
        step = {"fine": 10.0, "whole": 10.0, "coarse": 50.0}[rounding]
    elif value < _SMALL:
        step = {"fine": 5.0, "whole": 10.0, "coarse": 10.0}[rounding]
    else:
        step = {"fine": 5.0, "whole": 10.0, "coarse": 50.0}[rounding]
    cm = _steps(question, value, step) * step / 10
    other = _halves(cm + (1 if cm < 2 or cm % 1 else -0.5 if value < _METRE else 1))
    typed = f"{cm:g} cm"
    if cm == 0.5:
        return Figure("half a centimetre", typed, 5.0, other)
    said = [f"{_halves(cm)} centimetres", _halves(cm), f"{cm:g} centimetres"]
    if cm == 1:
        said = ["one centimetre"]
    elif value >= _METRE and cm % 100 >= 10:
        metres, rest = divmod(int(cm), 100)
        ones, tail = in_words(metres), in_words(rest)
        said = [
            f"{ones} metre{'s' if metres > 1 else ''} {tail}",
            f"{_halves(cm)} centimetres",
            f"{ones} {tail}",
        ]
    return Figure(pick(tuple(said), *key, "cm"), typed, cm * 10, other)


def _inches(question: Question, value: float, rounding: Rounding) -> Figure:
    small = value < _SMALL
    step = {"fine": 1, "whole": 2, "coarse": 2 if small else 8}[rounding]
    quarters = _steps(question, value, step * IN_MM["in"] / 4) * step
    whole, part = divmod(quarters, 4)
    typed = " ".join(each for each in (str(whole) if whole else "", _QUARTERS[part]) if each)
    other = in_words(whole + 1)
    mm = from_unit(quarters / 4, "in")
    if not quarters:
        return Figure("nothing at all", "0 in", 0.0, other)
    if not whole:
        of = "half an inch" if part == 2 else f"{_QUARTER_WORDS[part]} of an inch"
        return Figure(of, f"{typed} in", mm, other)
    tail = f" and {_QUARTER_WORDS[part]}" if part else ""
    unit = "inch" if quarters == 4 else "inches"
    return Figure(f"{in_words(whole)}{tail} {unit}", f"{typed} in", mm, other)


def _feet(value: float, rounding: Rounding, key: Key) -> Figure:
    step = {"fine": 1, "whole": 2, "coarse": 4}[rounding]
    halves = round(value / (IN_MM["in"] / 2) / step) * step
    feet, rest = divmod(halves, 24)
    inches, half = divmod(rest, 2)
    said, typed = f"{in_words(feet)} foot", f"{feet} ft"
    other = f"{in_words(feet)} foot {in_words(inches + 1 if inches < 11 else inches - 1)}"
    if inches and half:
        said, typed = f"{said} {in_words(inches)} and a half", f"{typed} {inches} 1/2 in"
    elif inches:
        tail = pick(("", f" inch{'es' if inches > 1 else ''}"), *key, "in")
        said, typed = f"{said} {in_words(inches)}{tail}", f"{typed} {inches} in"
    elif half:
        said, typed = f"{said} and half an inch", f"{typed} 1/2 in"
    return Figure(said, typed, from_unit(halves / 2, "in"), other)


def _kilos(value: float, rounding: Rounding, key: Key) -> Figure:
    step = 5 if rounding == "coarse" else 1
    kilos = max(round(value / step), 1) * step
    said = pick((f"{in_words(kilos)} kilos", f"{kilos} kilos", in_words(kilos)), *key, "kg")
    return Figure(said, f"{kilos} kg", float(kilos), in_words(kilos + 1))


def _stones(value: float, rounding: Rounding) -> Figure:
    step = 7 if rounding == "coarse" else 1
    pounds = max(round(value / IN_KG["lb"] / step), 1) * step
    stones, rest = divmod(pounds, 14)
    kg, other = from_unit(pounds, "lb"), f"{in_words(stones)} stone {in_words((rest + 1) % 14)}"
    if not stones:
        return Figure(f"{in_words(rest)} pounds", f"{rest} lb", kg, other)
    if not rest:
        return Figure(
            f"{in_words(stones)} stone", f"{stones} st", kg, f"{in_words(stones)} and a half"
        )
    said = f"{in_words(stones)} and a half stone" if rest == 7 else ""
    said = said or f"{in_words(stones)} stone {in_words(rest)}"
    return Figure(said, f"{stones} st {rest} lb", kg, other)


def _count(value: float, rounding: Rounding) -> Figure:
    fine = 0.5 if value < 20 else 1.0 if value < 100 else 50.0 if value < 1000 else 100.0
    step = {"fine": fine, "whole": max(fine, 1.0), "coarse": 5.0 * fine}[rounding]
    if value < step:
        step = fine
    number = round(value / step) * step
    whole = int(number)
    return Figure(
        _halves(number), f"{number:g}", number, in_words(whole + (1 if whole < 3 else -1))
    )
