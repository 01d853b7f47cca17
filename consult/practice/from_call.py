"""A practice caller made from a real call, with everything personal taken out.

What is kept are choices, small counts, and lengths and masses moved at random and rounded to half
a centimetre or half a kilogram. Free text, names, dates, notes and what the tree marks as personal
are not; answers about health only where the caller consented. The caller has to have agreed to
training use, which is another purpose than advice: the consent of the call does not cover it. An
unusual mixture of choices can still remind somebody of the call: a trainer reads the file before
anybody practises on it.
"""

from __future__ import annotations

import hashlib
import json
import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import cast

from consult.body.measured import Sex
from consult.call.basis import Basis
from consult.call.call import CAME, ODDS, Call
from consult.call.state import State, state_so_far
from consult.call.understand import AnswerValue, understand
from consult.content.callers.chance import normal_within, uniform
from consult.practice.caller_check import not_taken
from consult.practice.truth import usual_value, value_of
from consult.problems import CannotDoError
from consult.tree.model import Question, Tree
from consult.units import Unclear

_MENDED = "The first figure was wrong. A good adviser asks for an odd figure to be measured again."
_SMALL = 10.0
"""Numbers below it tell of nobody: hours a day, how many share a chair."""
_OWN_WORDS = frozenset(["caller_name", "caller_contact", "first_reference"])
_NAME = re.compile(r"[a-z][a-z0-9_]{0,59}")
_MOVED = {"mm": 12.0, "kg": 3.0}
"""How far a figure is moved at most; half of it is the standard deviation of the moves."""
_SHARE_MOVED = 0.1
"""Of a figure, where that is less: a heel of 2 cm is not moved by 1.2."""
_STEP = {"mm": 5.0, "kg": 0.5}
_STEPS = (0, 1, -1, 2, -2, 3, -3, 4, -4)
"""Steps to go from the moved figure where that one was said in the call."""
_OFF = {"mm": (15.0, 150.0), "kg": (1.5, 15.0)}
"""A first figure this far from the last was measured wrongly; further, it was a slip of the key."""


class ExerciseRefused(CannotDoError):  # noqa: N818 - it is shown, not only raised
    """No exercise may be made of this call so; its text can be shown as it is."""


def exercise_from_call(
    call: Call,
    basis: Basis,
    *,
    name: str,
    seed: int,
    caller_agreed: date | None,
    agreed_by: str,
    health: bool = True,
) -> str:
    """The text of a practice caller file called ``name``. Raises ``ExerciseRefused``.

    Same call, name and seed, same text: figures are moved by the seed and the call together.
    ``caller_agreed`` is the day the caller agreed to training use; ``agreed_by`` is the trainer who
    agrees that the call is practised on, and is not kept. With ``health`` answers about health are
    kept where the caller consented to them.
    """
    for why in _why_not(call, name, caller_agreed, agreed_by):
        raise ExerciseRefused(why)
    maker = _Maker(call, basis, seed, health=health)
    text = maker.text(name)
    if repeated := _repeated(name, call, basis.tree):
        message = f"The name '{name}' repeats words of the call: {repeated} Choose another."
        raise ExerciseRefused(message)
    return text


def _why_not(call: Call, name: str, caller_agreed: date | None, agreed_by: str) -> Iterator[str]:
    """Why no exercise may be made, or not by this name."""
    if caller_agreed is None:
        yield (
            "The caller must agree to training use, which the consent of the call does not "
            "cover. Ask them, then give the day: --caller-agreed 2026-11-25"
        )
    elif caller_agreed < call.today:
        yield f"The call was on {call.today}. The caller cannot have agreed before that."
    if not agreed_by.strip():
        yield (
            "A trainer must agree before a real call is used for practice. Name the "
            "trainer: --agreed-by NAME"
        )
    if not _NAME.fullmatch(name):
        yield "A name has small letters, digits and underscores, and starts with a letter."
    if set(name.split("_")) & set(agreed_by.casefold().split()):
        yield "The name shows who agreed. Choose another."


class _Maker:
    """One call on its way to a caller file."""

    def __init__(self, call: Call, basis: Basis, seed: int, *, health: bool) -> None:
        self.call, self.basis = call, basis
        self.now: State = state_so_far(basis, call)
        self.health = health and self.now.consent is True
        self.said = _numbers_said(call, basis.tree)
        # With the call in the key nobody finds out the moves by trying seeds.
        told = "\x1f".join(f"{answer.question}={answer.said}" for answer in call.answers)
        digest = hashlib.sha256(told.encode("utf-8", "surrogatepass")).hexdigest()
        self.key = ("from a call", seed, digest)
        self.values = dict(self._values())

    def text(self, name: str) -> str:
        sex = self._sex()
        body, truth = dict(self._body(sex)), dict(self._truth())
        if not body and not truth:
            raise ExerciseRefused("This call has no answers to practise with.")
        tree = self.basis.tree
        lines = [
            f"practice: {name}",
            f"title: {_quoted(('As a call went: ' + tree.title)[:120])}",
            f"tree: {tree.name}",
            f"sex: {sex}",
        ]
        if body:
            lines += ["body:", *(f"  {key}: {_quoted(value)}" for key, value in body.items())]
        if truth:
            lines += ["truth:", *(f"  {key}: {value}" for key, value in truth.items())]
        if self.call.system == "imperial":
            lines += ["manner:", "  units: imperial"]
        if first := list(self._wrong_at_first(body)):
            lines += ["behaviours:", *first]
        return "\n".join(lines) + "\n"

    def _values(self) -> Iterator[tuple[str, AnswerValue | None]]:
        """Question -> what the last answer means; those that mean nothing clear are left out."""
        for name, answer in self.call.latest().items():
            question = self.basis.tree.questions.get(name)
            if question is None or not _may_stay(question, health=self.health):
                continue
            try:
                yield name, understand(question, answer.said, self.call.today).value
            except Unclear:
                continue

    def _sex(self) -> Sex:
        every = self.basis.tree.questions.items()
        told = (self.values.get(name) for name, question in every if question.sets == "sex")
        by_chance = "female" if uniform(*self.key, "sex") < 0.5 else "male"
        return cast("Sex", next((one for one in told if one in ("female", "male")), by_chance))

    def _body(self, sex: Sex) -> Iterator[tuple[str, str]]:
        """What was measured, as it is estimated from all measures together."""
        population = self.basis.population
        known: dict[str, float] = {}
        for name, question in self._figures():
            dimension = question.measures
            if dimension is None or dimension in known or dimension not in population.traits:
                continue
            mean = self.now.estimate.dimensions[dimension].mean
            moved = self._moved(mean, population.unit(dimension), name)
            if moved is None:
                continue
            # Two figures moved apart may be nobody's; the one that was measured first stays.
            if usual_value(population, sex, dimension, known).reached(moved, moved):
                known[dimension] = moved
                yield dimension, _figure(moved, population.unit(dimension))

    def _truth(self) -> Iterator[tuple[str, str]]:
        for name, question in self.basis.tree.questions.items():
            match self.values.get(name):
                case None if name in self.values and question.unknown_allowed:
                    yield name, _quoted("?")
                case bool() as yes:
                    yield name, _quoted("yes" if yes else "no")
                case str() as word:
                    yield name, _quoted(word)
                case frozenset() as found:
                    chosen = [_quoted(choice) for choice in question.choices if choice in found]
                    yield name, f"[{', '.join(chosen)}]"
                case float() as figure if question.measures is None:
                    said = self._plain_figure(question, figure)
                    if said and not not_taken(question, said):
                        yield name, _quoted(said)

    def _plain_figure(self, question: Question, value: float) -> str:
        """A figure of the workplace, moved; a count only where it is small."""
        if question.answer == "count":
            return f"{value:.0f}" if value < _SMALL and value == round(value) else ""
        unit = "kg" if question.answer == "mass" else "mm"
        moved = self._moved(value, unit, question.name)
        return "" if moved is None else _figure(moved, unit)

    def _wrong_at_first(self, body: dict[str, str]) -> Iterator[str]:
        """Measures that were given once more, quite otherwise: the lines of each."""
        for name, question in self._figures():
            said = (answer.said for answer in self.call.answers if answer.question == name)
            meant = (value_of(question, one, self.call.today) for one in said)
            first = next((one for one in meant if isinstance(one, float)), None)
            last = self.values[name]
            if question.measures not in body or first is None or not isinstance(last, float):
                continue
            unit = self.basis.population.unit(question.measures)
            off = _rounded(first - last, unit)
            least, most = _OFF[unit]
            if least <= abs(off) <= most and not _numbers_in(_figure(off, unit)) & self.said:
                yield f"  - name: first_{name}"
                yield "    kind: wrong_tape"
                yield f"    at: {name}"
                yield f"    off: {_quoted(_figure(off, unit))}"
                yield f"    explain: {_quoted(_MENDED)}"

    def _figures(self) -> Iterator[tuple[str, Question]]:
        """Body measures that were told, in the order of the tree."""
        for name, question in self.basis.tree.questions.items():
            if question.measures and isinstance(self.values.get(name), float):
                yield name, question

    def _moved(self, value: float, unit: str, name: str) -> float | None:
        """The figure moved and rounded, and never one that was said; None where none is left."""
        most = min(_MOVED[unit], _SHARE_MOVED * value)
        by = normal_within(0.0, most / 2, -most, most, *self.key, name) if most > 0 else 0.0
        middle = _rounded(value + by, unit)
        near = (middle + step * _STEP[unit] for step in _STEPS)
        free = (one for one in near if not _numbers_in(_figure(one, unit)) & self.said)
        return next((one for one in free if one >= 0), None)


def _rounded(value: float, unit: str) -> float:
    return round(value / _STEP[unit]) * _STEP[unit]


def _figure(value: float, unit: str) -> str:
    return f"{value:.1f} kg" if unit == "kg" else f"{value / 10:.1f} cm"


def _quoted(text: str) -> str:
    """The text between quotes, as YAML and JSON both have it."""
    return json.dumps(text, ensure_ascii=False)


def _may_stay(question: Question, *, health: bool) -> bool:
    """Whether answers to a question may be in a practice caller; ``health``: those about it too."""
    if question.answer in ("text", "date"):
        return False
    if question.private == "health":
        return health
    # A measure stands with the body, moved like the rest of it, and sex says whose body.
    return question.private is None or question.measures is not None or question.sets == "sex"


# -- what was said in the call: neither a figure nor the name of the file repeats it --------------


@dataclass(frozen=True, slots=True)
class _SaidText:
    """Something a person said or wrote in a call."""

    text: str
    where: str
    personal: bool = False
    """A name, a contact or a reference, whose words are nobody else's."""
    own: frozenset[str] = frozenset()
    """Words of the question's own choices, which say nothing of the caller."""


def _said_in(call: Call, tree: Tree) -> Iterator[_SaidText]:
    """Everything said in a call, answers that were amended later too."""
    for answer in call.answers:
        if answer.question in (ODDS, CAME):
            # Our own words; of their figures only body measures tell of anybody.
            continue
        question = tree.questions.get(answer.question)
        choices = question.choices if question is not None else {}
        own = _words(" ".join((*choices, *choices.values())))
        personal = question is None or (
            question.answer == "text"
            and (question.private is not None or question.sets in _OWN_WORDS)
        )
        yield _SaidText(answer.said, f"the answer to {answer.question}", personal, own)
        yield _SaidText(answer.note, f"the note on {answer.question}")
    for handled in call.handled:
        yield _SaidText(handled.lifted, f"why {handled.caution} was lifted")


def _repeated(name: str, call: Call, tree: Tree) -> str:
    """What of a call is in a name, a sentence; '' for nothing. The tree's own words are free, but
    for those of a name or a contact."""
    texts = sorted(_said_in(call, tree), key=lambda said: not said.personal)
    free = _words_of(tree)
    for word in sorted(_words(name)):
        for said in texts:
            if word in _words(said.text) - said.own and (said.personal or word not in free):
                return f"“{word}” is left, of {said.where}."
    for number in sorted(_numbers_said(call, tree) & _numbers_in(name)):
        return f"The number {number:g} is left, as it was said."
    return ""


def _numbers_said(call: Call, tree: Tree) -> set[float]:
    """Every number said, and every figure as it was understood, in cm, mm and kg."""
    numbers = {number for said in _said_in(call, tree) for number in _numbers_in(said.text)}
    for answer in call.answers:
        question = tree.questions.get(answer.question)
        if answer.question == CAME:
            numbers |= _numbers_in(answer.said)
        elif question is not None and question.answer in ("length", "mass", "count"):
            value = value_of(question, answer.said, call.today)
            if isinstance(value, float):
                numbers |= {round(one, 1) for one in (value, value / 10) if one >= _SMALL}
    return numbers


def _numbers_in(text: str) -> set[float]:
    """The numbers of a text that are not small."""
    found = re.findall(r"\d+(?:[.,]\d+)?", _plain(text))
    numbers = (float(figure.replace(",", ".")) for figure in found)
    return {round(number, 1) for number in numbers if _SMALL <= number < 1e15}


def _words_of(tree: Tree) -> frozenset[str]:
    """Every word that the tree itself says."""
    texts = (
        text
        for question in tree.questions.values()
        for text in (
            question.name,
            question.ask,
            question.coach,
            *question.called,
            *question.choices,
            *question.choices.values(),
        )
    )
    return _words(" ".join(texts))


def _words(text: str) -> frozenset[str]:
    """Words that could tell of somebody: three letters or figures and more."""
    return frozenset(word for word in re.findall(r"[^\W_]{3,}", _plain(text)))


def _plain(text: str) -> str:
    """Small letters, however they were typed."""
    return unicodedata.normalize("NFKC", text).casefold()
