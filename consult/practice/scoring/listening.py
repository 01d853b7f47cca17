"""What was entered, beside what the caller said; and whether the caller's errors were noticed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from consult.call.understand import AnswerValue
from consult.call.worth import taped
from consult.practice.log import Entered, Hinted, Spoke
from consult.practice.model import MEASUREMENT, WITHHOLDS, Behaviour
from consult.practice.scoring.chair import spoiled_the_chair
from consult.practice.scoring.evidence import Evidence, in_quotes
from consult.practice.scoring.points import (
    DID_NOTHING,
    ROUNDING_TALL,
    SAID_ROUNDING,
    SPREADS,
    WORKPLACE_SD,
    Finding,
)
from consult.practice.speech import SPOKEN_FIGURES
from consult.practice.truth import value_of
from consult.scale import format_length, format_mass
from consult.tree.model import Question

_WORTH = 4.0
"""What a false warning sign, or a wrong name, weighs against an answer of any other kind."""


def heard_findings(evidence: Evidence) -> Iterator[Finding]:
    """Of entering what was said. Figures have criteria of their own, and so has consent."""
    questions, told, right = evidence.tree.questions, _told(evidence), 0
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
            yield _wrong(evidence, question, answer.said, told[name][-1])
    if right:
        why = f"{right} answers were entered as the caller gave them."
        why = why if right > 1 else "One answer was entered as the caller gave it."
        yield Finding("Entered as heard", 1.0, evidence.own.last, why, weight=float(right))


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
    if question.answer in SPOKEN_FIGURES or question.sets in ("consent", "agreed"):
        return False
    return question.answer != "text" or question.sets == "caller_name"


def _labels(question: Question, said: str) -> str:
    """An answer as the list of the question has it; what is no choice, as it is."""
    chosen = _chosen(question, said)
    return ", ".join(label for name, label in question.choices.items() if name in chosen) or said


def _chosen(question: Question, said: str) -> frozenset[str]:
    value = value_of(question, said)
    return value if isinstance(value, frozenset) else frozenset([str(value)])


def _wrong(evidence: Evidence, question: Question, entered: str, said: str) -> Finding:
    """One wrong entry; a sign that the caller does not have, and a wrong name, weigh more."""
    label = question.name.replace("_", " ").capitalize()
    heard, meant = (_labels(question, one) for one in (entered, said))
    why = f"“{heard}” was entered, and the caller said “{meant}”."
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
    grave = [caution for caution in evidence.tree.cautions if caution.level != "note"]
    alone = [caution.when.names for caution in grave if question.name in caution.when.names]
    chosen = _chosen(question, said)
    return {one for one in chosen if one != question.exclusive and any(one in n for n in alone)}


def _same(entered: AnswerValue | None, said: AnswerValue | None) -> bool:
    if isinstance(entered, str) and isinstance(said, str):
        return " ".join(entered.casefold().split()) == " ".join(said.casefold().split())
    return entered == said


_TALL = 1000.0
"""mm; from here on lengths are said to the inch."""
_SAME = 0.5
"""mm or kg, within which two figures are the same."""


def measures_findings(evidence: Evidence) -> Iterator[Finding]:
    """Of every figure of the body and the workplace that a good adviser gets here."""
    for question in map(evidence.tree.questions.__getitem__, evidence.due):
        if question.answer in ("length", "mass") and (question.measures or question.sets):
            got = evidence.best.entered(question)
            if isinstance(got, float):
                yield from _measure(evidence, question, got)


def _allowed(evidence: Evidence, question: Question, true: float) -> float:
    """mm or kg that an answer may lie from the truth: the error of self-measuring, and rounding."""
    population, dimension, sd = evidence.basis.population, question.measures, WORKPLACE_SD
    if dimension is not None and dimension in population.order:
        sd = population.measurement_sd(dimension)
    return SPREADS * sd + _rounding(question, true)


def _rounding(question: Question, true: float) -> float:
    """mm or kg to which people round what they say."""
    if question.answer == "mass":
        return SAID_ROUNDING["kg"]
    return ROUNDING_TALL if true >= _TALL else SAID_ROUNDING["mm"]


def _measure(evidence: Evidence, question: Question, best: float) -> Iterator[Finding]:
    """Of one figure; nothing where it could not be had. ``best`` is what a good adviser got."""
    own, name = evidence.own, question.name.replace("_", " ").capitalize()
    entered, true = own.entered(question), _true(evidence, question)
    at = own.asked[question.name][-1].number if question.name in own.asked else own.last
    better = f"Ask: {in_quotes(question.ask)}"
    if question.coach and taped(question):
        better = f"{better} Coach it: {in_quotes(question.coach)}"
    if true is None:
        return
    if not isinstance(entered, float):
        if not evidence.stopped:
            yield Finding(name, 0.0, at, "There is no figure for it at the end.", better)
        return
    off, allowed = abs(entered - true), _allowed(evidence, question, true)
    told = _told(evidence).get(question.name, [])
    heard = [one for one in (value_of(question, said) for said in told) if isinstance(one, float)]
    # Both may be rounded, what was said and what was typed.
    near = 2 * _rounding(question, true)
    misheard = bool(heard) and min(abs(value - entered) for value in heard) > near
    say_back = f"The caller said “{told[-1]}”. Say back each figure as you type it." if told else ""
    if off <= allowed and misheard and abs(entered - best) > _SAME:
        why = f"You entered {_said(question, entered)}, and the caller said something else."
        yield Finding(name, 0.5, at, why, say_back)
    elif off <= allowed or abs(entered - best) <= _SAME:
        why = f"{_said(question, entered)} is as close as a tape at home can measure."
        yield Finding(name, 1.0, at, why)
    else:
        why = (
            f"You entered {_said(question, entered)}, but the true figure is "
            f"{_said(question, true)}. Careful measuring is within {_said(question, allowed)}."
        )
        yield Finding(name, 0.0, at, why, say_back if misheard else better)


def _true(evidence: Evidence, question: Question) -> float | None:
    """The truth, mm or kg; of a stature remembered what such a caller says of it."""
    value = evidence.persona.body.get(question.measures or "")
    if value is None:
        found = evidence.true.value(question.name)
        return found if isinstance(found, float) else None
    if question.measures == "stature" and evidence.true.setting("stature_origin") == "remembered":
        value += evidence.basis.population.remembered_bias or 0.0
    return value


def _said(question: Question, value: float) -> str:
    return (format_mass if question.answer == "mass" else format_length)(value, "metric")


# -- what went wrong at the caller's end, and whether it was noticed: asked again, or coached -----


def noticed_findings(evidence: Evidence) -> Iterator[Finding]:
    """Of wrong figures, no answers, remarks that contradict one, and the desk's doubts."""
    for behaviour in evidence.persona.behaviours:
        finding = None
        if behaviour.kind in MEASUREMENT:
            finding = _wrong_figure(evidence, behaviour)
        elif behaviour.kind == "contradicts":
            finding = _contradiction(evidence, behaviour)
        elif behaviour.kind in WITHHOLDS:
            finding = _no_answer(evidence, behaviour)
        if finding is not None:
            # What is the same for all of them: the name, and whom it is about.
            name = f"Noticed: {behaviour.name.replace('_', ' ')}"
            yield _weighed(
                evidence, behaviour, replace(finding, name=name, behaviour=behaviour.name)
            )
    yield from _confirmed_unasked(evidence)


def _weighed(evidence: Evidence, behaviour: Behaviour, finding: Finding) -> Finding:
    """A finding that weighs what the error did to the chair; what a hint told was not noticed."""
    if finding.share < 1:
        if behaviour.kind in MEASUREMENT and not spoiled_the_chair(evidence, behaviour.at):
            return replace(finding, weight=DID_NOTHING)
        return finding
    hint = _hinted(evidence, behaviour)
    if hint is None:
        return finding
    why = f"A hint told you: {hint.text}"
    return replace(finding, share=0.0, why=why, better="Listen for it, and ask before the hint.")


def _hinted(evidence: Evidence, behaviour: Behaviour) -> Hinted | None:
    """The hint that told of an error after it showed and before anything was done about it."""
    shown: set[str] = set()
    for event in evidence.own.log.events:
        if isinstance(event, Spoke):
            if shown & {event.turn.about}:
                return None
            if behaviour.name in event.turn.shown:
                shown |= {event.turn.about, behaviour.about or event.turn.about}
        elif (
            isinstance(event, Hinted)
            and event.question in shown
            and behaviour.explain in event.text
        ):
            return event
    return None


def _wrong_figure(evidence: Evidence, behaviour: Behaviour) -> Finding | None:
    """Of one wrong way of measuring; None where nothing is due that it shows at."""
    own, questions = evidence.own, evidence.tree.questions
    last = [turns[-1] for name, turns in own.asked.items() if name in questions]
    stood = next((turn for turn in last if behaviour.name in turn.shown), None)
    if stood is not None:
        why = f"You accepted what the caller said about {_label(stood.about)} without checking."
        better = _better(questions[stood.about])
        return Finding("", 0.0, stood.number, f"{why} {behaviour.explain}".strip(), better)
    at = (name for name in evidence.due if behaviour.at in (name, ""))
    due = [name for name in at if questions[name].answer in SPOKEN_FIGURES]
    asked = next((name for name in due if name in own.asked), None)
    if asked is not None:
        why = f"You coached {_label(asked)}, or asked for it again."
        return Finding("", 1.0, own.first(asked), why)
    if not due or evidence.stopped:
        return None
    why = f"You never asked for {_label(due[0])}."
    return Finding("", 0.0, own.last, why, _better(questions[due[0]]))


def _contradiction(evidence: Evidence, behaviour: Behaviour) -> Finding | None:
    """Of a remark at odds with the truth; None where it was never made, or bears on nothing."""
    own, label = evidence.own, _label(behaviour.about)
    made = next((turn for turn in own.log.turns if behaviour.name in turn.shown), None)
    if made is None or behaviour.about not in own.way | frozenset(own.asked):
        return None
    last = own.asked[behaviour.about][-1] if behaviour.about in own.asked else made
    if last.number > made.number:
        why = f"You asked about {label} after that remark, and it became clear."
        return Finding("", 1.0, last.number, why)
    why = (
        f"A remark contradicted the answer about {label}, and you did not ask. {behaviour.explain}"
    )
    ask = evidence.tree.questions[behaviour.about].ask
    better = f"Repeat both and ask which is right: {in_quotes(ask)}"
    return Finding("", 0.0, made.number, why.strip(), better)


def _no_answer(evidence: Evidence, behaviour: Behaviour) -> Finding | None:
    """Of not answering; None where it did not show."""
    asked = evidence.own.asked.values()
    last = [turns[-1] for turns in asked if any(behaviour.name in turn.shown for turn in turns)]
    left = next((turn for turn in last if turn.about not in turn.tells), None)
    if left is not None:
        why = f"{_label(left.about).capitalize()} was left without an answer. {behaviour.explain}"
        ask = evidence.tree.questions[left.about].ask
        better = f"Say briefly what it is for, and ask again: {in_quotes(ask)}"
        return Finding("", 0.0, left.number, why.strip(), better)
    if last:
        why = f"You asked about {_label(last[0].about)} again, and got an answer."
        return Finding("", 1.0, last[0].number, why)
    return None


def _confirmed_unasked(evidence: Evidence) -> Iterator[Finding]:
    """Of every answer the desk doubted and that was entered to stand: was it asked again?"""
    doubted: dict[str, bool] = {}
    for number, event in evidence.own.log.by_turn():
        match event:
            case Spoke(turn) if turn.about in doubted:
                doubted[turn.about] = True
            case Entered(taken=False, question=name):
                doubted.setdefault(name, False)
            case Entered(question=name, confirmed=confirmed):
                label, again = _label(name), doubted.pop(name, False)
                if confirmed and again:
                    why = f"consult doubted {label}, and you had it measured again."
                    yield Finding(f"Doubt: {label}", 1.0, number, why)
                elif confirmed:
                    why = f"consult doubted {label}, and you entered it without asking again."
                    better = _better(evidence.tree.questions[name])
                    yield Finding(f"Doubt: {label}", 0.0, number, why, better)


def _better(question: Question) -> str:
    if question.coach and taped(question):
        return f"Read the coaching out: {in_quotes(question.coach)}"
    return f"Ask once more: {in_quotes(question.ask)}"


def _label(question: str) -> str:
    return f"the {question.replace('_', ' ')}"
