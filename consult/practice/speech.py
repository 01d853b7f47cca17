"""What a caller says to anything an adviser does: same persona, seed and turns, same words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.call.understand import is_unknown
from consult.practice.acts import Again, Ask, Close, Coach, Recommend, Say, Turn
from consult.practice.answering import Answered, Voice, figure_answer, plain_answer
from consult.practice.effects import (
    FIGURES,
    Effects,
    added,
    effects,
    effects_on_opening,
)
from consult.practice.model import MEASUREMENT
from consult.practice.truth import NONE
from consult.practice.ways import ASK, keyed, often, pick

if TYPE_CHECKING:
    from consult.practice.acts import Act
    from consult.practice.figures import Rounding, System
    from consult.practice.model import Persona
    from consult.tree.model import Question

_ASKS_BACK = 0.25
_REMARKS = 0.3
"""Shares of replies with such a remark, of callers who make them (our own)."""
_KEPT_FOR_FEET = ("stature", "weight")
"""What people of mixed units say in feet and stones."""
_WITHHELD = {
    "vague": "vague",
    "hurry": "wants_to_skip",
    "for_somebody_else": "not_here",
    "interrupted": "interrupted",
}
"""Kind -> the list of words.yaml for it, where the behaviour has no words of its own."""
_MENDS = {
    "for_somebody_else": "fetched",
    "vague": "thinks_again",
    "hurry": "thinks_again",
    "refuses_consent": "reconsiders",
    "interrupted": "back_again",
}
"""Kind -> the list for what is said before the mended answer; ``mended`` for figures."""


def reply(persona: Persona, seed: int, turns: tuple[Turn, ...], act: Act | None) -> Turn:
    """What comes of an act after these turns; None for the act opens the call.

    Raises KeyError where the tree of the persona has no such question.
    """
    number = len(turns) + 1
    voice = Voice(persona, keyed(seed, persona.name, number), turns)
    match act:
        case None:
            return _opening(voice, number)
        case Ask(name) | Coach(name) | Again(name):
            return _answer(voice, seed, turns, act, persona.questions[name])
        case Say(_, level, words):
            return Turn(number, act, words, voice.phrase(f"on_{level}"))
        case Recommend(parts):
            heard = voice.phrase("on_recommendation" if parts else "on_no_chair")
            return Turn(number, act, act.words, heard)
        case Close():
            return Turn(number, act, voice.phrase("adviser_goodbye"), voice.phrase("goodbye"))


def units_for(persona: Persona, seed: int, question: Question, effect: Effects) -> System:
    """The units this caller says a figure in."""
    units = persona.manner.units
    if units == "mixed":
        feet = question.measures in _KEPT_FOR_FEET
        turned = often(0.5, *keyed(seed, persona.name, question.name, "units"))
        system: System = "imperial" if feet or turned else "metric"
    else:
        system = "imperial" if units == "imperial" else "metric"
    if effect.of("mixes_units"):
        return "metric" if system == "imperial" else "imperial"
    return system


def adviser_words(voice: Voice, act: Act, question: Question) -> str:
    """What the adviser says to ask, coach or ask again."""
    if isinstance(act, Coach) and question.coach:
        return f"{question.coach} {question.ask}"
    if isinstance(act, Again):
        measured = question.answer in ("length", "mass")
        phrase = voice.phrase("again_measured" if measured else "again_said")
        return phrase.replace(ASK, question.ask)
    return question.ask


def _opening(voice: Voice, number: int) -> Turn:
    persona = voice.persona
    said = pick(persona.opening, *voice.key, "opening") or voice.phrase("greeting")
    effect = effects_on_opening(persona)
    words = [said, *_remarks(voice, effect)]
    return Turn(
        number=number,
        act=None,
        adviser="",
        caller=" ".join(words),
        shown=tuple(one.name for one in effect.shown),
        tells=_told(persona, effect),
        true=_true(persona, effect, ""),
    )


def _answer(voice: Voice, seed: int, turns: tuple[Turn, ...], act: Act, question: Question) -> Turn:
    persona = voice.persona
    effect = effects(persona, question, turns, act)
    tells: dict[str, str] = {}
    if effect.withheld is not None:
        own = pick(effect.withheld.says, *voice.key, "withheld")
        words = [own or voice.phrase(_WITHHELD[effect.withheld.kind])]
    else:
        answered = _answered(voice, seed, question, effect)
        tells[question.name] = answered.typed
        words = [*_before(voice, act, question, effect), answered.words]
    words += _remarks(voice, effect)
    if effect.withheld is None:
        words += _after(voice, question, effect)
    return Turn(
        number=len(turns) + 1,
        act=act,
        adviser=adviser_words(voice, act, question),
        caller=" ".join(each for each in words if each),
        about=question.name,
        shown=tuple(one.name for one in effect.shown),
        tells={**tells, **_told(persona, effect)},
        true=_true(persona, effect, question.name),
    )


def _answered(voice: Voice, seed: int, question: Question, effect: Effects) -> Answered:
    persona = voice.persona
    truth = persona.truth[question.name]
    if question.answer in FIGURES and not is_unknown(truth):
        value = persona.measured[question.name]
        value += sum(added(persona, one) for one in effect.shown if one.kind in MEASUREMENT)
        rounding: Rounding = "whole" if persona.manner.rounds else "fine"
        if effect.of("rounds"):
            rounding = "coarse"
        return figure_answer(
            voice,
            question,
            max(value, 0.0),
            units_for(persona, seed, question, effect),
            rounding,
            corrects=not (effect.mended or effect.repeated),
        )
    if effect.denied:
        return plain_answer(voice, question, question.exclusive or NONE)
    refuses = effect.of("refuses_consent")
    if refuses is not None:
        own = pick(refuses.says, *voice.key, "refuses")
        return Answered(own or voice.phrase("refuses"), "no")
    return plain_answer(voice, question, truth)


def _before(voice: Voice, act: Act, question: Question, effect: Effects) -> list[str]:
    """What a caller says before the answer."""
    persona = voice.persona
    words = []
    for one in effect.shown:
        # A wrong tape is heard in what the caller tells of it, and so are shoes and rounding.
        if one.kind in MEASUREMENT or one.kind == "mixes_units":
            words.append(pick(one.says, *voice.key, one.name))
    if effect.mended:
        first = effect.mended[0]
        of_kind = voice.phrase(_MENDS.get(first.kind, "mended"))
        words.append(pick(first.mends, *voice.key, first.name) or of_kind)
    elif effect.settled:
        first = effect.settled[0]
        words.append(pick(first.mends, *voice.key, first.name) or voice.phrase("settled"))
    elif effect.repeated:
        words.append(voice.phrase("same_again" if question.answer in FIGURES else "as_i_said"))
    elif persona.manner.hurry and voice.often(_REMARKS, "hurry"):
        words.append(voice.remark("hurry"))
    elif (
        not words
        and isinstance(act, Ask)
        and _on_the_body(question)
        and voice.often(_ASKS_BACK, "asks back")
    ):
        words.append(voice.remark("asks_back"))
    return words


def _on_the_body(question: Question) -> bool:
    """Whether somebody has to take a tape to their body."""
    return question.measures is not None and question.answer == "length"


def _after(voice: Voice, question: Question, effect: Effects) -> list[str]:
    """A chatty caller goes on talking; not where it is about health or consent."""
    manner = voice.persona.manner
    serious = question.private == "health" or question.sets == "consent" or effect.in_passing
    if manner.chatty and not serious and voice.often(_REMARKS, "chatty"):
        return [voice.remark("chatty")]
    return []


def _remarks(voice: Voice, effect: Effects) -> list[str]:
    return [pick(one.says, *voice.key, one.name) for one in effect.in_passing]


def _told(persona: Persona, effect: Effects) -> dict[str, str]:
    """What remarks about other questions mean."""
    return {one.about: one.answer or persona.truth[one.about] for one in effect.in_passing}


def _true(persona: Persona, effect: Effects, asked: str) -> dict[str, str]:
    names = [*([asked] if asked else []), *(one.about for one in effect.in_passing)]
    return {name: persona.truth[name] for name in names}
