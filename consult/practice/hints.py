"""What a hint says: the one thing that a good adviser would do next."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from consult.call.wording import question_label
from consult.practice.model import IN_PASSING, MEASUREMENT, WITHHOLDS
from consult.practice.truth import holds

if TYPE_CHECKING:
    from collections.abc import Sequence

    from consult.call.session import Session
    from consult.practice.acts import Turn
    from consult.practice.log import Entered
    from consult.practice.model import Behaviour, Persona

HINT_COST = 1
"""Points that a hint takes from the marks; said before it is given."""


@dataclass(frozen=True, slots=True)
class Hint:
    """What to do next."""

    text: str
    question: str = ""
    """What it is about; '' where not one question."""
    cost: int = HINT_COST


def hint_for(
    session: Session, persona: Persona, turns: Sequence[Turn], entries: Sequence[Entered]
) -> Hint:
    """The most urgent: a warning to say, something heard and not entered, a figure to doubt."""
    to_say = session.to_say()
    if to_say:
        return Hint(f"A caution must be read out now: {to_say[0].say}")
    told = _unheard(persona, turns, session)
    if told is not None:
        return told
    asking, stopped = session.asking, session.now.stopped is not None
    doubtful = None if stopped else _doubtful(persona, turns)
    if doubtful is not None:
        return doubtful
    if stopped and asking is None:
        return Hint("Product advice has stopped and nothing is left to ask. End the call.")
    if asking is None:
        return Hint("Everything was asked. Recommend the chair, and end the call.")
    last = turns[-1] if turns else None
    if last is not None and last.about == asking.name and asking.name in last.tells:
        answered = not entries or entries[-1].question != asking.name
        if answered:
            label = question_label(asking.name)
            return Hint(f"The caller answered. Enter what you heard: {label}.", asking.name)
    return Hint(f"Ask now: {asking.ask}", asking.name)


def _unheard(persona: Persona, turns: Sequence[Turn], session: Session) -> Hint | None:
    """A remark about another question that was not entered.

    After a stop the sign was acted on, under whichever question it was entered.
    """
    if session.now.stopped is not None:
        return None
    for turn in turns:
        for name in turn.shown:
            one = persona.behaviour(name)
            if one.kind in IN_PASSING and one.kind != "contradicts" and not _entered(session, one):
                label = question_label(one.about)
                said = f"In turn {turn.number} the caller said something that belongs to"
                return Hint(f"{said} “{label}”. Enter it: /{one.about} …", one.about)
    return None


def _entered(session: Session, remark: Behaviour) -> bool:
    """Whether a remark was entered; of a sign, whether it is part of the answer that stands."""
    answer = session.now.call.latest().get(remark.about)
    if answer is None or remark.kind != "sign_in_passing":
        return answer is not None
    return holds(session.basis.tree.questions[remark.about], remark.answer, answer.said)


def _doubtful(persona: Persona, turns: Sequence[Turn]) -> Hint | None:
    """Something that showed, and that nothing was done about since."""
    for place, turn in enumerate(turns):
        for name in turn.shown:
            one = persona.behaviour(name)
            at = one.about if one.kind == "contradicts" else turn.about
            if one.kind not in MEASUREMENT | WITHHOLDS | {"contradicts"}:
                continue
            later = turns[place + 1 :]
            if not any(each.about == at for each in later):
                return Hint(f"Turn {turn.number}: {one.explain}", at)
    return None
