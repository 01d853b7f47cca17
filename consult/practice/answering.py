"""An answer in the caller's own words, and what it means in words the tree takes."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from consult.call.understand import is_unknown, understand
from consult.call.worth import taped
from consult.content.callers.chance import ChanceKey
from consult.practice.log import Turn
from consult.practice.model import Persona
from consult.practice.truth import NONE, NOT_KNOWN, SOME_DAY
from consult.practice.ways import ANSWER, LEAD_IN, OTHER, often, pick
from consult.scale import IN_KG, IN_MM, from_unit
from consult.tree.model import Question

_BEGINNING = re.compile(r"(?:^|(?<=[.?!] ))[^\W\d_]")
_CORRECTS = 0.12
"""Share of figures that somebody says wrongly first (our own, so that it is met now and then)."""
_LEADS_IN = 0.4
"""Share of short answers with a word or two before them (our own)."""
_LED_IN = frozenset(["yes", "no", "none", "not_known", "figure", "measured", "hurry"])


@dataclass(frozen=True, slots=True)
class SaidAnswer:
    """What was said, and what a careful listener enters for it."""

    words: str
    typed: str


@dataclass(frozen=True, slots=True)
class Voice:
    """A caller at one turn."""

    persona: Persona
    key: ChanceKey
    """What the choice of words hangs on; figures never hang on it."""
    turns: tuple[Turn, ...] = ()
    """What was said before."""

    def phrase(self, name: str) -> str:
        """One phrase of a list, in the caller's way of speaking; at times led in to."""
        return self._one_of(self._known(name), name)

    def remark(self, name: str) -> str:
        """One phrase of a list that the caller has not made yet; '' once all are made."""
        made = [turn.caller for turn in self.turns]
        fresh = [one for one in self._known(name) if not any(one in said for said in made)]
        return self._one_of(tuple(fresh), name)

    def _known(self, name: str) -> tuple[str, ...]:
        return self.persona.ways.of(self.persona.manner.way, name)

    def _one_of(self, phrases: tuple[str, ...], name: str) -> str:
        """A phrase, with an "er" or a "well" before it now and then."""
        said = pick(phrases, *self.key, name)
        leads = self._known(LEAD_IN) if name in _LED_IN else ()
        if not said or not leads or not self.often(_LEADS_IN, name, LEAD_IN):
            return said
        return f"{pick(leads, *self.key, name, LEAD_IN)} {_small(said)}"

    def often(self, share: float, *what: str) -> bool:
        """Whether it happens this time."""
        return often(share, *self.key, *what)


def figure_answer(
    voice: Voice,
    question: Question,
    value: float,
    system: SaidUnits,
    rounding: Rounding,
    *,
    corrects: bool,
) -> SaidAnswer:
    """A figure in mm, kg or plain; ``corrects`` lets the caller say another one first."""
    figure = figure_of(question, value, system, rounding, voice.key)
    if rounding == "coarse" or voice.often(voice.persona.manner.vague, "vague"):
        said = voice.phrase("figure_vague").replace(ANSWER, figure.words)
        return SaidAnswer(sentence(said), f"about {figure.typed}")
    if corrects and figure.value and voice.often(_CORRECTS, "corrects"):
        said = voice.phrase("figure_corrected").replace(OTHER, figure.other)
        return SaidAnswer(sentence(said.replace(ANSWER, figure.words)), figure.typed)
    # Half of those with a tape in hand speak of it.
    speaks_of_it = taped(question) and voice.often(0.5, "taped")
    said = voice.phrase("measured" if speaks_of_it else "figure").replace(ANSWER, figure.words)
    return SaidAnswer(sentence(said), figure.typed)


def answer_as_asked(voice: Voice, question: Question, truth: str) -> SaidAnswer:
    """Every other answer: choices, yes or no, text, dates, and not knowing."""
    if is_unknown(truth) and question.unknown_allowed:
        own = _own(voice, question, NOT_KNOWN)
        return SaidAnswer(own or voice.phrase("not_known"), NOT_KNOWN)
    match question.answer:
        case "yes-no":
            typed = "yes" if understand(question, truth, SOME_DAY).value else "no"
            return SaidAnswer(_own(voice, question, typed) or voice.phrase(typed), typed)
        case "choice" | "choices":
            found = understand(question, truth, SOME_DAY).value
            named = found if isinstance(found, frozenset) else {found}
            chosen = tuple(name for name in question.choices if name in named)
            return SaidAnswer(_chosen(voice, question, chosen), ", ".join(chosen))
        case "date":
            phrases = "date"
        case _:
            phrases = "name" if question.sets == "caller_name" else "text"
    said = voice.phrase(phrases).replace(ANSWER, truth.strip(" ."))
    return SaidAnswer(sentence(said), truth)


def sentence(text: str) -> str:
    """The text with a capital at the beginning of every sentence."""
    return _BEGINNING.sub(lambda match: match.group().upper(), text)


def _own(voice: Voice, question: Question, choice: str) -> str:
    """The caller's own words for an answer, else those all callers share; '' where none are."""
    persona = voice.persona
    sources = (persona.says, persona.ways.answers)
    found = (words.get(question.name, {}).get(choice, ()) for words in sources)
    return pick(next(filter(None, found), ()), *voice.key, question.name, choice)


def _chosen(voice: Voice, question: Question, chosen: tuple[str, ...]) -> str:
    """Choices in words; own words stand by themselves, labels are worked into a phrase."""
    own = {name: _own(voice, question, name) for name in chosen}
    said = [words for words in own.values() if words]
    labels = [question.choices[name] for name in chosen if not own[name]]
    if chosen == (NONE,) and labels:
        said, labels = [voice.phrase("none")], []
    if len(question.choices) == 1 and labels:
        said, labels = [voice.phrase("heard")], []
    if labels:
        vague = voice.often(voice.persona.manner.vague, "vague")
        frame = voice.phrase("choice_vague" if vague else "choice")
        said.append(sentence(frame.replace(ANSWER, _joined(labels))))
    return " ".join(said)


def _joined(labels: list[str]) -> str:
    """ "Neck, lower back, and knees": labels as one speaks them in a row."""
    first, *rest = [label.strip(" .") for label in labels]
    *most, last = [first, *map(_small, rest)]
    return f"{', '.join(most)}, and {last}" if most else last


def _small(label: str) -> str:
    """A label in the middle of a sentence; "I" and abbreviations keep their capitals."""
    keeps = label[1:2].isupper() or label[:2] in ("I ", "I'")
    return label if keeps else label[:1].lower() + label[1:]


# -- A figure as people say it, and as a careful listener writes it down --------------------------
# ``figure_of(question, 1587.0, "imperial", "fine", key)`` may be said "five foot two and a half"
# and is written "5 ft 2 1/2 in". Both mean the same value, rounded to what people read off.

SaidUnits = Literal["metric", "imperial"]
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
class SpokenFigure:
    """One figure, said and written."""

    words: str
    typed: str
    value: float
    """What both mean: mm, kg or plain."""
    other: str
    """A figure a little beside it, without a unit, for those who correct themselves."""


def say_number(number: int) -> str:
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
    message = f"{'a' if many == 1 else say_number(many)} {name}"
    if not rest:
        return message
    if rest < 100:
        return f"{message} and {say_number(rest)}"
    return f"{message} {say_number(rest).replace('a hundred', 'one hundred')}"


def figure_of(
    question: Question, value: float, system: SaidUnits, rounding: Rounding, key: ChanceKey
) -> SpokenFigure:
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
        return say_number(whole)
    return f"{say_number(whole)} and a half" if whole else "a half"


def _centimetres(
    question: Question, value: float, rounding: Rounding, key: ChanceKey
) -> SpokenFigure:
    fine, coarse = 10.0 if value >= _METRE else 5.0, 10.0 if value < _SMALL else 50.0
    step = {"fine": fine, "whole": 10.0, "coarse": coarse}[rounding]
    cm = _steps(question, value, step) * step / 10
    other = _halves(cm + (1 if cm < 2 or cm % 1 else -0.5 if value < _METRE else 1))
    typed = f"{cm:g} cm"
    if cm == 0.5:
        return SpokenFigure("half a centimetre", typed, 5.0, other)
    said = [f"{_halves(cm)} centimetres", _halves(cm), f"{cm:g} centimetres"]
    if cm == 1:
        said = ["one centimetre"]
    elif value >= _METRE and cm % 100 >= 10:
        metres, rest = divmod(int(cm), 100)
        ones, tail = say_number(metres), say_number(rest)
        metre = "metres" if metres > 1 else "metre"
        said = [f"{ones} {metre} {tail}", f"{_halves(cm)} centimetres", f"{ones} {tail}"]
    return SpokenFigure(pick(tuple(said), *key, "cm"), typed, cm * 10, other)


def _inches(question: Question, value: float, rounding: Rounding) -> SpokenFigure:
    small = value < _SMALL
    step = {"fine": 1, "whole": 2, "coarse": 2 if small else 8}[rounding]
    quarters = _steps(question, value, step * IN_MM["in"] / 4) * step
    whole, part = divmod(quarters, 4)
    typed = " ".join(each for each in (str(whole) if whole else "", _QUARTERS[part]) if each)
    other = say_number(whole + 1)
    mm = from_unit(quarters / 4, "in")
    if not quarters:
        return SpokenFigure("nothing at all", "0 in", 0.0, other)
    if not whole:
        of = "half an inch" if part == 2 else f"{_QUARTER_WORDS[part]} of an inch"
        return SpokenFigure(of, f"{typed} in", mm, other)
    tail = f" and {_QUARTER_WORDS[part]}" if part else ""
    unit = "inch" if quarters == 4 else "inches"
    return SpokenFigure(f"{say_number(whole)}{tail} {unit}", f"{typed} in", mm, other)


def _feet(value: float, rounding: Rounding, key: ChanceKey) -> SpokenFigure:
    step = {"fine": 1, "whole": 2, "coarse": 4}[rounding]
    halves = round(value / (IN_MM["in"] / 2) / step) * step
    feet, rest = divmod(halves, 24)
    inches, half = divmod(rest, 2)
    said, typed = f"{say_number(feet)} foot", f"{feet} ft"
    other = f"{say_number(feet)} foot {say_number(inches + 1 if inches < 11 else inches - 1)}"
    if inches and half:
        said, typed = f"{said} {say_number(inches)} and a half", f"{typed} {inches} 1/2 in"
    elif inches:
        tail = pick(("", f" inch{'es' if inches > 1 else ''}"), *key, "in")
        said, typed = f"{said} {say_number(inches)}{tail}", f"{typed} {inches} in"
    elif half:
        said, typed = f"{said} and half an inch", f"{typed} 1/2 in"
    return SpokenFigure(said, typed, from_unit(halves / 2, "in"), other)


def _kilos(value: float, rounding: Rounding, key: ChanceKey) -> SpokenFigure:
    step = 5 if rounding == "coarse" else 1
    kilos = max(round(value / step), 1) * step
    said = pick((f"{say_number(kilos)} kilos", f"{kilos} kilos", say_number(kilos)), *key, "kg")
    return SpokenFigure(said, f"{kilos} kg", float(kilos), say_number(kilos + 1))


def _stones(value: float, rounding: Rounding) -> SpokenFigure:
    step = 7 if rounding == "coarse" else 1
    pounds = max(round(value / IN_KG["lb"] / step), 1) * step
    stones, rest = divmod(pounds, 14)
    said, typed = say_number(stones), f"{stones} st {rest} lb"
    other = f"{said} stone {say_number((rest + 1) % 14)}"
    if not stones:
        words, typed = f"{say_number(rest)} pounds", f"{rest} lb"
    elif not rest:
        words, typed, other = f"{said} stone", f"{stones} st", f"{said} and a half"
    else:
        words = f"{said} and a half stone" if rest == 7 else f"{said} stone {say_number(rest)}"
    return SpokenFigure(words, typed, from_unit(pounds, "lb"), other)


def _count(value: float, rounding: Rounding) -> SpokenFigure:
    fine = 0.5 if value < 20 else 1.0 if value < 100 else 50.0 if value < 1000 else 100.0
    step = {"fine": fine, "whole": max(fine, 1.0), "coarse": 5.0 * fine}[rounding]
    if value < step:
        step = fine
    number = round(value / step) * step
    whole = int(number)
    return SpokenFigure(
        _halves(number), f"{number:g}", number, say_number(whole + (1 if whole < 3 else -1))
    )
