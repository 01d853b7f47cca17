"""Consent: asked, answered with a clear yes, and only then a question about health.

What everybody is asked, such as the list of warning signs, needs no consent.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.practice.acts import Again, Ask, Coach
from consult.practice.marking.evidence import facts_of, quoted
from consult.practice.marking.item import Finding, Item, items

if TYPE_CHECKING:
    from consult.practice.marking.evidence import Evidence
    from consult.tree.model import Question


NAME = "Consent before health"


def consent_marks(evidence: Evidence) -> tuple[Item, ...]:
    """Marks for consent; none in a tree without that question, or where a call ends before it."""
    question = evidence.consent()
    if question is None:
        return ()
    found = _too_soon(evidence, question) or _asked(evidence, question)
    return items("consent", [found] if found else [])


def _too_soon(evidence: Evidence, question: Question) -> Finding | None:
    """The first question that needs consent and came before a yes, or after a no."""
    questions, said = evidence.tree.questions, ""
    for turn in evidence.own.log.turns:
        said = turn.tells.get(question.name, said)
        if not isinstance(turn.act, (Ask, Coach, Again)):
            continue
        asked = questions[turn.about]
        needs_consent = asked.private == "health" and not asked.stored_with_consent
        if needs_consent and not _yes(evidence, question, said):
            label = turn.about.replace("_", " ")
            why = f"You asked about {label} before you had asked for consent."
            if said:
                why = f"You asked about {label}, though the caller had said no."
            better = f"Ask first, and wait for a clear yes: {quoted(question.ask)}"
            return Finding(
                NAME, 0.0, turn.number, why, better, fails=True, behaviour=_refusal(evidence)
            )
    return None


def _asked(evidence: Evidence, question: Question) -> Finding | None:
    """Whether it was asked for, and the answer entered; None where it was not due."""
    own, behaviour = evidence.own, _refusal(evidence)
    if question.name not in own.asked:
        if question.name not in evidence.best.asked or evidence.stopped:
            return None
        why = "You never asked whether you may ask about health."
        better = f"Ask, and wait for a clear yes: {quoted(question.ask)}"
        return Finding(NAME, 0.0, own.last, why, better, fails=True)
    at = own.first(question.name)
    said = [turn.tells[question.name] for turn in own.log.turns if question.name in turn.tells]
    entered = own.entered(question)
    if entered is not None and said and entered is not _yes(evidence, question, said[-1]):
        why = "You entered a different answer about consent from the caller's."
        better = "Enter yes only for a clear yes. A maybe is a no."
        return Finding(NAME, 0.0, at, why, better, fails=True, behaviour=behaviour)
    why = "You asked for consent and respected the answer."
    return Finding(NAME, 1.0, at, why, behaviour=behaviour)


def _refusal(evidence: Evidence) -> str:
    """The behaviour by which consent was refused in this call; '' where it was not so."""
    shown = {name for turn in evidence.own.log.turns for name in turn.shown}
    refusals = [one for one in evidence.persona.behaviours if one.kind == "refuses_consent"]
    return next((one.name for one in refusals if one.name in shown), "")


def _yes(evidence: Evidence, question: Question, said: str) -> bool:
    """Whether what was last said of consent is a clear yes."""
    return facts_of(evidence.basis, {question.name: said}).value(question.name) is True
