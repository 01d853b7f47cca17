"""An answer in the caller's own words, and what it means in words the tree takes."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from consult.call.understand import is_unknown, understand
from consult.call.worth import taped
from consult.practice.figures import figure_of
from consult.practice.truth import NONE, NOT_KNOWN, SOME_DAY
from consult.practice.ways import ANSWER, LEAD_IN, OTHER, often, pick

if TYPE_CHECKING:
    from consult.content.callers.chance import Key
    from consult.practice.figures import Rounding, System
    from consult.practice.log import Turn
    from consult.practice.model import Persona
    from consult.tree.model import Question

_BEGINNING = re.compile(r"(?:^|(?<=[.?!] ))[^\W\d_]")
_CORRECTS = 0.12
"""Share of figures that somebody says wrongly first (our own, so that it is met now and then)."""
_LEADS_IN = 0.4
"""Share of short answers with a word or two before them (our own)."""
_LED_IN = frozenset(["yes", "no", "none", "not_known", "figure", "measured", "hurry"])


@dataclass(frozen=True, slots=True)
class Answered:
    """What was said, and what a careful listener enters for it."""

    words: str
    typed: str


@dataclass(frozen=True, slots=True)
class Voice:
    """A caller at one turn."""

    persona: Persona
    key: Key
    """What the choice of words hangs on; figures never hang on it."""
    turns: tuple[Turn, ...] = ()
    """What was said before."""

    def phrase(self, name: str, *more: str) -> str:
        """One phrase of a list, in the caller's way of speaking; at times led in to."""
        ways = self.persona.ways
        if ways is None:
            return ""
        said = pick(ways.of(self.persona.manner.way, name), *self.key, name, *more)
        return self._led_in(said, name) if name in _LED_IN else said

    def _led_in(self, said: str, name: str) -> str:
        """The phrase with an "er" or a "well" before it now and then."""
        persona = self.persona
        leads = persona.ways.of(persona.manner.way, LEAD_IN) if persona.ways else ()
        if not said or not leads or not self.often(_LEADS_IN, name, LEAD_IN):
            return said
        return f"{pick(leads, *self.key, name, LEAD_IN)} {_small(said)}"

    def remark(self, name: str) -> str:
        """One phrase of a list that the caller has not made yet; '' once all are made."""
        persona = self.persona
        known = persona.ways.of(persona.manner.way, name) if persona.ways else ()
        fresh = (one for one in known if not any(one in turn.caller for turn in self.turns))
        said = pick(tuple(fresh), *self.key, name)
        return self._led_in(said, name) if name in _LED_IN else said

    def often(self, share: float, *what: str) -> bool:
        """Whether it happens this time."""
        return often(share, *self.key, *what)


def figure_answer(
    voice: Voice,
    question: Question,
    value: float,
    system: System,
    rounding: Rounding,
    *,
    corrects: bool = True,
) -> Answered:
    """A figure in mm, kg or plain; ``corrects`` lets the caller say another one first."""
    figure = figure_of(question, value, system, rounding, voice.key)
    if rounding == "coarse" or voice.often(voice.persona.manner.vague, "vague"):
        said = voice.phrase("figure_vague").replace(ANSWER, figure.words)
        return Answered(sentence(said), f"about {figure.typed}")
    if corrects and figure.value and voice.often(_CORRECTS, "corrects"):
        said = voice.phrase("figure_corrected").replace(OTHER, figure.other)
        return Answered(sentence(said.replace(ANSWER, figure.words)), figure.typed)
    # Half of those with a tape in hand speak of it.
    speaks_of_it = taped(question) and voice.often(0.5, "taped")
    said = voice.phrase("measured" if speaks_of_it else "figure").replace(ANSWER, figure.words)
    return Answered(sentence(said), figure.typed)


def plain_answer(voice: Voice, question: Question, truth: str) -> Answered:
    """Every other answer: choices, yes or no, text, dates, and not knowing."""
    if is_unknown(truth) and question.unknown_allowed:
        own = _own(voice, question, NOT_KNOWN)
        return Answered(own or voice.phrase("not_known"), NOT_KNOWN)
    match question.answer:
        case "yes-no":
            typed = "yes" if understand(question, truth, SOME_DAY).value else "no"
            return Answered(_own(voice, question, typed) or voice.phrase(typed), typed)
        case "choice":
            choice = str(understand(question, truth, SOME_DAY).value)
            return Answered(_chosen(voice, question, (choice,)), choice)
        case "choices":
            found = understand(question, truth, SOME_DAY).value
            assert isinstance(found, frozenset), "a question of several choices is read as such"
            chosen = tuple(name for name in question.choices if name in found)
            return Answered(_chosen(voice, question, chosen), ", ".join(chosen))
        case "date":
            said = voice.phrase("date").replace(ANSWER, truth.strip(" ."))
            return Answered(sentence(said), truth)
        case _:
            list_ = "name" if question.sets == "caller_name" else "text"
            said = voice.phrase(list_).replace(ANSWER, truth.strip(" ."))
            return Answered(sentence(said), truth)


def sentence(text: str) -> str:
    """The text with a capital at the beginning of every sentence."""
    return _BEGINNING.sub(lambda found: found.group().upper(), text)


def _own(voice: Voice, question: Question, choice: str) -> str:
    """The caller's own words for an answer, else those all callers share; '' where none are."""
    persona = voice.persona
    own = persona.says.get(question.name, {}).get(choice, ())
    if not own and persona.ways:
        own = persona.ways.answers.get(question.name, {}).get(choice, ())
    return pick(own, *voice.key, question.name, choice)


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
    later = [_small(label) for label in rest]
    if not later:
        return first
    return f"{', '.join([first, *later[:-1]])}, and {later[-1]}"


def _small(label: str) -> str:
    """A label in the middle of a sentence; "I" and abbreviations keep their capitals."""
    return (
        label
        if label[1:2].isupper() or label[:2] in ("I ", "I'")
        else label[:1].lower() + label[1:]
    )
