"""What a caller says to anything an adviser does: same persona, seed and turns, same words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from consult.call.understand import is_unknown
from consult.call.worth import taped
from consult.practice.answering import (
    Rounding,
    SaidAnswer,
    SaidUnits,
    Voice,
    answer_as_asked,
    figure_answer,
)
from consult.practice.log import Act, Again, Ask, Close, Coach, Recommend, Say, Turn
from consult.practice.model import (
    IN_PASSING,
    MEASUREMENT,
    OPENING,
    STOP,
    WITHHOLDS,
    Behaviour,
    Persona,
)
from consult.practice.truth import NONE
from consult.practice.ways import ASK, keyed, often, pick
from consult.tree.model import Question

SPOKEN_FIGURES = frozenset(["length", "mass", "count"])
_USUAL_HEEL = 25.0
"""mm; where nothing says how high the heels are."""


@dataclass(frozen=True, slots=True)
class Effects:
    """What shows in one reply."""

    shown: tuple[Behaviour, ...] = ()
    withheld: Behaviour | None = None
    """No answer is given because of it."""
    mended: tuple[Behaviour, ...] = ()
    """Showed here before and are mended now."""
    settled: tuple[Behaviour, ...] = ()
    """Remarks made elsewhere that contradict what is answered now."""
    denied: bool = False
    """Has a sign that is asked about, and says none: it is mentioned later."""
    repeated: bool = False
    """The question was answered before."""

    def of(self, kind: str) -> Behaviour | None:
        """The first behaviour of a kind that shows."""
        return next((behaviour for behaviour in self.shown if behaviour.kind == kind), None)

    @property
    def in_passing(self) -> tuple[Behaviour, ...]:
        """Those that say something of another question."""
        return tuple(behaviour for behaviour in self.shown if behaviour.kind in IN_PASSING)


def effects(persona: Persona, question: Question, turns: Sequence[Turn], act: Act) -> Effects:
    """What shows when a question is asked; ``turns`` is all that was said before."""
    before = [turn for turn in turns if turn.about == question.name]
    careful = isinstance(act, (Coach, Again)) or bool(before)
    showed = {name for turn in turns for name in turn.shown}
    unknown = is_unknown(persona.truth[question.name])
    shown: list[Behaviour] = []
    mended: list[Behaviour] = []
    for behaviour in persona.behaviours:
        if not _concerns(behaviour, question):
            continue
        if behaviour.kind in IN_PASSING:
            if behaviour.name not in showed:
                shown.append(behaviour)
        elif behaviour.kind == "mixes_units":
            shown.append(behaviour)
        elif behaviour.kind == "for_somebody_else":
            if not _fetched(persona, behaviour, turns):
                (mended if careful else shown).append(behaviour)
        elif not careful and not (behaviour.kind in MEASUREMENT and unknown):
            shown.append(behaviour)
        elif before and behaviour.name in before[-1].shown and _mends(behaviour, persona, question):
            # What was mended in an earlier turn is not mended again.
            mended.append(behaviour)
    withheld = next((behaviour for behaviour in shown if behaviour.kind in WITHHOLDS), None)
    if withheld is not None:
        # Nothing is wrong yet with a figure that was not given.
        shown = [
            behaviour
            for behaviour in shown
            if behaviour is withheld or behaviour.kind in IN_PASSING
        ]
    return Effects(
        shown=tuple(shown),
        withheld=withheld,
        mended=tuple(mended),
        settled=tuple(
            behaviour
            for behaviour in persona.behaviours
            if behaviour.kind == "contradicts"
            and behaviour.about == question.name
            and behaviour.name in showed
        ),
        denied=not any(question.name in turn.tells for turn in before)
        and any(
            behaviour.denied_first
            and behaviour.about == question.name
            and behaviour.name not in showed
            for behaviour in persona.behaviours
        ),
        repeated=any(question.name in turn.tells for turn in before),
    )


def added_by(persona: Persona, behaviour: Behaviour) -> float:
    """mm or kg that a behaviour adds to a figure."""
    if behaviour.off or behaviour.kind != "shoes_on":
        return behaviour.off
    heel = next((name for name, q in persona.questions.items() if q.sets == "heel"), "")
    return persona.measured.get(heel, 0.0) or _USUAL_HEEL


def _concerns(behaviour: Behaviour, question: Question) -> bool:
    """Whether a behaviour can show at a question."""
    if behaviour.at:
        return behaviour.at == question.name
    match behaviour.kind:
        case "mixes_units":
            return question.answer in ("length", "mass")
        case "rounds":
            return question.answer in SPOKEN_FIGURES
        case "for_somebody_else":
            return question.measures is not None
        case _:
            return False


def _mends(behaviour: Behaviour, persona: Persona, question: Question) -> bool:
    """Whether asking again changes the answer; a no may stay a no."""
    if behaviour.kind == "refuses_consent":
        return persona.truth[question.name] != "no"
    return behaviour.kind in MEASUREMENT | WITHHOLDS


def _fetched(persona: Persona, behaviour: Behaviour, turns: Sequence[Turn]) -> bool:
    """Whether the one who will sit, or the tape, was fetched by now."""
    asked: set[str] = set()
    for turn in turns:
        question = persona.questions.get(turn.about)
        if question is not None and _concerns(behaviour, question):
            if isinstance(turn.act, (Coach, Again)) or turn.about in asked:
                return True
            asked.add(turn.about)
    return False


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
    "presses": "wants_to_skip",
}
"""Kind -> the list of words.yaml for it, where the behaviour has no words of its own."""
_MENDS = {
    "for_somebody_else": "fetched",
    "vague": "thinks_again",
    "hurry": "thinks_again",
    "refuses_consent": "reconsiders",
    "interrupted": "back_again",
    "presses": "thinks_again",
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
            return _opening(voice)
        case Ask(name) | Coach(name) | Again(name):
            return _answer(voice, seed, act, persona.questions[name])
        case Say(_, "stop", words) if (pressing := _presses(persona, turns)) is not None:
            said = pick(pressing.says, *voice.key, pressing.name)
            return Turn(number, act, words, said, shown=(pressing.name,))
        case Say(_, level, words):
            return Turn(number, act, words, voice.phrase(f"on_{level}"))
        case Recommend(parts):
            heard = voice.phrase("on_recommendation" if parts else "on_no_chair")
            return Turn(number, act, act.words, heard)
        case Close():
            return Turn(number, act, voice.phrase("adviser_goodbye"), voice.phrase("goodbye"))


def _presses(persona: Persona, turns: Sequence[Turn]) -> Behaviour | None:
    """The behaviour by which a stop is not taken for an answer; None once it showed."""
    showed = {name for turn in turns for name in turn.shown}
    presses = (
        behaviour
        for behaviour in persona.behaviours
        if behaviour.kind == "presses" and behaviour.at == STOP
    )
    return next((behaviour for behaviour in presses if behaviour.name not in showed), None)


def units_for(persona: Persona, seed: int, question: Question, effect: Effects) -> SaidUnits:
    """The units this caller says a figure in."""
    units = persona.manner.units
    if units == "mixed":
        feet = question.measures in _KEPT_FOR_FEET
        turned = often(0.5, *keyed(seed, persona.name, question.name, "units"))
        units = "imperial" if feet or turned else "metric"
    if effect.of("mixes_units"):
        return "metric" if units == "imperial" else "imperial"
    return units


def adviser_words(voice: Voice, act: Act, question: Question, reason: str) -> str:
    """What the adviser says to ask, coach or ask again, where a reason was wanted with it."""
    if isinstance(act, Coach) and question.coach:
        return f"{question.coach} {question.ask}"
    if reason:
        return f"{reason} {question.ask}"
    if isinstance(act, Again):
        measured = question.answer in ("length", "mass")
        phrase = voice.phrase("again_measured" if measured else "again_said")
        return phrase.replace(ASK, question.ask)
    return question.ask


def _opening(voice: Voice) -> Turn:
    said = pick(voice.persona.opening, *voice.key, "opening") or voice.phrase("greeting")
    at_once = (behaviour for behaviour in voice.persona.behaviours if behaviour.at == OPENING)
    effect = Effects(tuple(behaviour for behaviour in at_once if behaviour.kind in IN_PASSING))
    return _turn(voice, None, "", [said, *_remarks(voice, effect)], effect)


def _answer(voice: Voice, seed: int, act: Act, question: Question) -> Turn:
    effect = effects(voice.persona, question, voice.turns, act)
    told: dict[str, str] = {}
    if effect.withheld is not None:
        own = pick(effect.withheld.says, *voice.key, "withheld")
        words = [own or voice.phrase(_WITHHELD[effect.withheld.kind]), *_remarks(voice, effect)]
    else:
        answered = _answered(voice, seed, question, effect)
        told[question.name] = answered.typed
        words = [*_before(voice, act, question, effect), answered.words]
        words += [*_remarks(voice, effect), *_after(voice, question, effect)]
    reason = next((behaviour.because for behaviour in effect.mended if behaviour.because), "")
    adviser = adviser_words(voice, act, question, reason)
    return _turn(voice, act, adviser, words, effect, question.name, told)


def _turn(
    voice: Voice,
    act: Act | None,
    adviser: str,
    words: Sequence[str],
    effect: Effects,
    about: str = "",
    told: Mapping[str, str] | None = None,
) -> Turn:
    """A reply; ``told`` is what it says of the question that it is about."""
    truth = voice.persona.truth
    remarks = {
        behaviour.about: behaviour.answer or truth[behaviour.about]
        for behaviour in effect.in_passing
    }
    asked = [about] if about else []
    return Turn(
        number=len(voice.turns) + 1,
        act=act,
        adviser=adviser,
        caller=" ".join(word for word in words if word),
        about=about,
        shown=tuple(behaviour.name for behaviour in effect.shown),
        tells={**(told or {}), **remarks},
        true={name: truth[name] for name in (*asked, *remarks)},
    )


def _answered(voice: Voice, seed: int, question: Question, effect: Effects) -> SaidAnswer:
    persona = voice.persona
    truth = persona.truth[question.name]
    if question.answer in SPOKEN_FIGURES and not is_unknown(truth):
        value = persona.measured[question.name]
        value += sum(
            added_by(persona, behaviour)
            for behaviour in effect.shown
            if behaviour.kind in MEASUREMENT
        )
        rounding: Rounding = "whole" if persona.manner.rounds else "fine"
        if effect.of("rounds"):
            rounding = "coarse"
        units = units_for(persona, seed, question, effect)
        corrects = not (effect.mended or effect.repeated)
        return figure_answer(voice, question, max(value, 0.0), units, rounding, corrects=corrects)
    if effect.denied:
        return answer_as_asked(voice, question, question.exclusive or NONE)
    if refuses := effect.of("refuses_consent"):
        own = pick(refuses.says, *voice.key, "refuses")
        return SaidAnswer(own or voice.phrase("refuses"), "no")
    return answer_as_asked(voice, question, truth)


def _before(voice: Voice, act: Act, question: Question, effect: Effects) -> list[str]:
    """What a caller says before the answer."""
    persona = voice.persona
    # A wrong tape is heard in what the caller tells of it, and so are shoes and rounding.
    heard = (
        behaviour
        for behaviour in effect.shown
        if behaviour.kind in MEASUREMENT or behaviour.kind == "mixes_units"
    )
    words = [pick(behaviour.says, *voice.key, behaviour.name) for behaviour in heard]
    if changed := effect.mended or effect.settled:
        phrases = _MENDS.get(changed[0].kind, "mended") if effect.mended else "settled"
        own = pick(changed[0].mends, *voice.key, changed[0].name)
        words.append(own or voice.phrase(phrases))
    elif effect.repeated:
        words.append(
            voice.phrase("same_again" if question.answer in SPOKEN_FIGURES else "as_i_said")
        )
    elif persona.manner.hurry and voice.often(_REMARKS, "hurry"):
        words.append(voice.remark("hurry"))
    elif (
        not words
        and isinstance(act, Ask)
        and question.measures is not None
        and taped(question)
        and voice.often(_ASKS_BACK, "asks back")
    ):
        words.append(voice.remark("asks_back"))
    return words


def _after(voice: Voice, question: Question, effect: Effects) -> list[str]:
    """A chatty caller goes on talking; not where it is about health or consent."""
    manner = voice.persona.manner
    serious = question.private == "health" or question.sets == "consent" or effect.in_passing
    if manner.chatty and not serious and voice.often(_REMARKS, "chatty"):
        return [voice.remark("chatty")]
    return []


def _remarks(voice: Voice, effect: Effects) -> list[str]:
    return [pick(behaviour.says, *voice.key, behaviour.name) for behaviour in effect.in_passing]
