"""What was entered, held against what the caller said: names, choices, and signs nobody has."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.practice.effects import FIGURES
from consult.practice.marking.item import Finding, Item, items
from consult.practice.truth import value_of

if TYPE_CHECKING:
    from consult.call.understand import Value
    from consult.practice.marking.evidence import Evidence
    from consult.tree.model import Question

_WORTH = 4.0
"""What a false warning sign, or a wrong name, weighs against an answer of any other kind."""


def heard_marks(evidence: Evidence) -> tuple[Item, ...]:
    """Marks for entering what was said. Figures have criteria of their own, and so has consent."""
    questions, told = evidence.tree.questions, _told(evidence)
    found, right = [], 0
    for name, answer in evidence.own.state.call.latest().items():
        question = questions.get(name)
        if question is None or name not in told or not _counts(question):
            continue
        entered = value_of(question, answer.said)
        as_told = any(_same(entered, value_of(question, said)) for said in told[name])
        # A sign may be entered under any question, as long as the caller is sent where it sends.
        if as_told or (evidence.stopped and _signs(evidence, question, answer.said)):
            right += 1
        else:
            found.append(_wrong(evidence, question, answer.said, told[name][-1]))
    if not found and not right:
        return ()
    if right:
        why = f"{right} answers were entered as the caller gave them."
        why = why if right > 1 else "One answer was entered as the caller gave it."
        found.append(Finding("Entered as heard", 1.0, evidence.own.last, why, weight=float(right)))
    return items("heard", found)


def _told(evidence: Evidence) -> dict[str, list[str]]:
    """Question -> all that the caller said of it and what is true, the last said last."""
    persona = evidence.persona
    found: dict[str, list[str]] = {}
    for turn in evidence.own.log.turns:
        for name, said in turn.tells.items():
            true = [persona.truth[name]] if name in persona.truth else []
            found.setdefault(name, true).append(said)
    return found


def _counts(question: Question) -> bool:
    if question.answer in FIGURES or question.sets in ("consent", "agreed"):
        return False
    return question.answer != "text" or question.sets == "caller_name"


def _wrong(evidence: Evidence, question: Question, entered: str, said: str) -> Finding:
    """One wrong entry; a sign that the caller does not have, and a wrong name, weigh more."""
    label = question.name.replace("_", " ").capitalize()
    why = f"“{entered}” was entered, and the caller said “{said}”."
    at = evidence.own.first(question.name)
    better = "Say back what you enter, and correct it when the caller objects."
    weight = 1.0
    if question.sets == "caller_name":
        weight, why = _WORTH, f"{why} A wrong name goes onto every document."
    elif _signs(evidence, question, entered) - _signs(evidence, question, said):
        weight, label = _WORTH, f"A sign that is not there: {question.name.replace('_', ' ')}"
        why = f"{why} A caution was raised for a sign that the caller does not have."
    return Finding(label, 0.0, at, why, better, weight=weight)


def _signs(evidence: Evidence, question: Question, said: str) -> set[str]:
    """The choices of an answer that a stop or a referral asks about."""
    value = value_of(question, said)
    chosen = value if isinstance(value, frozenset) else {str(value)}
    grave = [one for one in evidence.tree.cautions if one.level != "note"]
    alone = [one.when.names for one in grave if question.name in one.when.names]
    return {one for one in chosen if one != question.exclusive and any(one in n for n in alone)}


def _same(entered: Value | None, said: Value | None) -> bool:
    if isinstance(entered, str) and isinstance(said, str):
        return " ".join(entered.casefold().split()) == " ".join(said.casefold().split())
    return entered == said
