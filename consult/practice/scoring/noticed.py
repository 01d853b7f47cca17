"""What went wrong at the caller's end, and whether it was noticed: asked again, or coached."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from consult.call.worth import taped
from consult.practice.log import Entered, Hinted, Spoke
from consult.practice.model import MEASUREMENT, WITHHOLDS
from consult.practice.scoring.chair import spoiled_the_chair
from consult.practice.scoring.evidence import quoted
from consult.practice.scoring.points import DID_NOTHING, Finding, Item, items

if TYPE_CHECKING:
    from consult.practice.model import Behaviour
    from consult.practice.scoring.evidence import Evidence
    from consult.tree.model import Question


def noticed_items(evidence: Evidence) -> tuple[Item, ...]:
    """Items for wrong figures, no answers, remarks that contradict one, and the desk's doubts."""
    found = []
    for one in evidence.persona.behaviours:
        finding = None
        if one.kind in MEASUREMENT:
            finding = _wrong_figure(evidence, one)
        elif one.kind == "contradicts":
            finding = _contradiction(evidence, one)
        elif one.kind in WITHHOLDS:
            finding = _no_answer(evidence, one)
        if finding is not None:
            found.append(_weighed(evidence, one, finding))
    return items("noticed", [*found, *_confirmed_unasked(evidence)])


def _weighed(evidence: Evidence, one: Behaviour, finding: Finding) -> Finding:
    """A finding that weighs what the error did to the chair; what a hint told was not noticed."""
    if finding.share < 1:
        if one.kind in MEASUREMENT and not spoiled_the_chair(evidence, one.at):
            return replace(finding, weight=DID_NOTHING)
        return finding
    hint = _hinted(evidence, one)
    if hint is None:
        return finding
    why = f"A hint told you: {hint.text}"
    return replace(finding, share=0.0, why=why, better="Listen for it, and ask before the hint.")


def _hinted(evidence: Evidence, one: Behaviour) -> Hinted | None:
    """The hint that told of an error after it showed and before anything was done about it."""
    shown: set[str] = set()
    for event in evidence.own.log.events:
        if isinstance(event, Spoke):
            if shown & {event.turn.about}:
                return None
            if one.name in event.turn.shown:
                shown |= {event.turn.about, one.about or event.turn.about}
        elif isinstance(event, Hinted) and event.question in shown and one.explain in event.text:
            return event
    return None


def _wrong_figure(evidence: Evidence, one: Behaviour) -> Finding | None:
    """Of one wrong way of measuring; None where nothing is due that it shows at."""
    own, questions = evidence.own, evidence.tree.questions
    due = [
        name
        for name in evidence.due
        if one.at in (name, "") and questions[name].answer in ("length", "mass", "count")
    ]
    name = one.name.replace("_", " ")
    stood = [
        turns[-1]
        for turns in own.asked.values()
        if one.name in turns[-1].shown and turns[-1].about in questions
    ]
    if stood:
        at = stood[0]
        better = _better(questions[at.about])
        why = (
            f"You accepted what the caller said about {_label(at.about)} without checking. "
            f"{one.explain}"
        )
        return Finding(f"Noticed: {name}", 0.0, at.number, why.strip(), better, behaviour=one.name)
    asked = [each for each in due if each in own.asked]
    if not due or (not asked and evidence.stopped):
        return None
    if not asked:
        better = _better(questions[due[0]])
        why = f"You never asked for {_label(due[0])}."
        return Finding(f"Noticed: {name}", 0.0, own.last, why, better, behaviour=one.name)
    why = f"You coached {_label(asked[0])}, or asked for it again."
    return Finding(f"Noticed: {name}", 1.0, own.first(asked[0]), why, behaviour=one.name)


def _contradiction(evidence: Evidence, one: Behaviour) -> Finding | None:
    """Of a remark at odds with the truth; None where it was never made, or bears on nothing."""
    own = evidence.own
    made = next((turn for turn in own.log.turns if one.name in turn.shown), None)
    if made is None or one.about not in own.way | frozenset(own.asked):
        return None
    again = [turn for turn in own.asked.get(one.about, ()) if turn.number > made.number]
    label, question = _label(one.about), evidence.tree.questions[one.about]
    if again:
        why = f"You asked about {label} after that remark, and it became clear."
        return Finding(
            f"Noticed: {one.name.replace('_', ' ')}", 1.0, again[-1].number, why, behaviour=one.name
        )
    why = f"A remark contradicted the answer about {label}, and you did not ask. {one.explain}"
    return Finding(
        f"Noticed: {one.name.replace('_', ' ')}",
        0.0,
        made.number,
        why.strip(),
        f"Repeat both and ask which is right: {quoted(question.ask)}",
        behaviour=one.name,
    )


def _no_answer(evidence: Evidence, one: Behaviour) -> Finding | None:
    """Of not answering; None where it did not show."""
    own, name = evidence.own, f"Noticed: {one.name.replace('_', ' ')}"
    met = [turns for turns in own.asked.values() if any(one.name in turn.shown for turn in turns)]
    left = [turns[-1] for turns in met if turns[-1].about not in turns[-1].tells]
    if left:
        question = evidence.tree.questions[left[0].about]
        why = f"{_label(question.name).capitalize()} was left without an answer. {one.explain}"
        better = f"Say briefly what it is for, and ask again: {quoted(question.ask)}"
        return Finding(name, 0.0, left[0].number, why.strip(), better, behaviour=one.name)
    if met:
        why = f"You asked about {_label(met[0][0].about)} again, and got an answer."
        return Finding(name, 1.0, met[0][-1].number, why, behaviour=one.name)
    return None


def _confirmed_unasked(evidence: Evidence) -> Iterator[Finding]:
    """Of every answer the desk doubted and that was entered to stand: was it asked again?"""
    doubted: dict[str, bool] = {}
    last = 0
    for event in evidence.own.log.events:
        if isinstance(event, Spoke):
            last = event.turn.number
            if event.turn.about in doubted:
                doubted[event.turn.about] = True
        elif isinstance(event, Entered) and not event.taken:
            doubted.setdefault(event.question, False)
        elif isinstance(event, Entered) and event.confirmed:
            question = evidence.tree.questions[event.question]
            label = _label(event.question)
            if doubted.pop(event.question, False):
                why = f"consult doubted {label}, and you had it measured again."
                yield Finding(f"Doubt: {label}", 1.0, last, why)
            else:
                why = f"consult doubted {label}, and you entered it without asking again."
                better = _better(question)
                yield Finding(f"Doubt: {label}", 0.0, last, why, better)
        elif isinstance(event, Entered):
            doubted.pop(event.question, None)


def _better(question: Question) -> str:
    if question.coach and taped(question):
        return f"Read the coaching out: {quoted(question.coach)}"
    return f"Ask once more: {quoted(question.ask)}"


def _label(question: str) -> str:
    return f"the {question.replace('_', ' ')}"
