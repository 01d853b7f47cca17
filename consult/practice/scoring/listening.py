"""What was entered, beside what the caller said; and whether the caller's errors were noticed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from consult.call.understand import Value
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
    ScoreItem,
    scored_items,
)
from consult.practice.speech import FIGURES
from consult.practice.truth import value_of
from consult.scale import format_length, format_mass
from consult.tree.model import Question

_WORTH = 4.0
"""What a false warning sign, or a wrong name, weighs against an answer of any other kind."""


def heard_items(evidence: Evidence) -> tuple[ScoreItem, ...]:
    """Items for entering what was said. Figures have criteria of their own, and so has consent."""
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
    return scored_items("heard", found)


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
    grave = [one for one in evidence.tree.cautions if one.level != "note"]
    alone = [one.when.names for one in grave if question.name in one.when.names]
    chosen = _chosen(question, said)
    return {one for one in chosen if one != question.exclusive and any(one in n for n in alone)}


def _same(entered: Value | None, said: Value | None) -> bool:
    if isinstance(entered, str) and isinstance(said, str):
        return " ".join(entered.casefold().split()) == " ".join(said.casefold().split())
    return entered == said


_TALL = 1000.0
"""mm; from here on lengths are said to the inch."""
_SAME = 0.5
"""mm or kg, within which two figures are the same."""


def measures_items(evidence: Evidence) -> tuple[ScoreItem, ...]:
    """Items for every figure of the body and the workplace that a good adviser gets here."""
    questions = evidence.tree.questions
    found = []
    for name in evidence.due:
        question = questions[name]
        if question.answer not in ("length", "mass") or not (question.measures or question.sets):
            continue
        got = evidence.best.entered(question)
        if isinstance(got, float):
            finding = _measure(evidence, question, got)
            if finding is not None:
                found.append(finding)
    return scored_items("measures", found)


def tolerance(evidence: Evidence, question: Question) -> float:
    """mm or kg that an answer may lie from the truth: the error of self-measuring, and rounding."""
    population = evidence.basis.population
    true = _true(evidence, question) or 0.0
    if question.measures in population.order:
        sd = population.measurement_sd(question.measures or "")
    else:
        sd = WORKPLACE_SD
    return SPREADS * sd + _rounding(question, true)


def _rounding(question: Question, true: float) -> float:
    """mm or kg to which people round what they say."""
    if question.answer == "mass":
        return SAID_ROUNDING["kg"]
    return ROUNDING_TALL if true >= _TALL else SAID_ROUNDING["mm"]


def _measure(evidence: Evidence, question: Question, best: float) -> Finding | None:
    own, name = evidence.own, question.name.replace("_", " ").capitalize()
    entered, true = own.entered(question), _true(evidence, question)
    at = own.asked[question.name][-1].number if question.name in own.asked else own.last
    better = f"Ask: {in_quotes(question.ask)}"
    if question.coach and taped(question):
        better = f"{better} Coach it: {in_quotes(question.coach)}"
    if not isinstance(entered, float):
        if evidence.stopped or true is None:
            return None
        return Finding(name, 0.0, at, "There is no figure for it at the end.", better)
    if true is None:
        return None
    off, allowed = abs(entered - true), tolerance(evidence, question)
    told = _told(evidence).get(question.name, [])
    heard = [one for one in (value_of(question, said) for said in told) if isinstance(one, float)]
    # Both may be rounded, what was said and what was typed.
    near = 2 * _rounding(question, true)
    misheard = bool(heard) and min(abs(one - entered) for one in heard) > near
    say_back = f"The caller said “{told[-1]}”. Say back each figure as you type it." if told else ""
    if off <= allowed and misheard and abs(entered - best) > _SAME:
        why = f"You entered {_said(question, entered)}, and the caller said something else."
        return Finding(name, 0.5, at, why, say_back)
    if off <= allowed or abs(entered - best) <= _SAME:
        why = f"{_said(question, entered)} is as close as a tape at home can measure."
        return Finding(name, 1.0, at, why)
    why = (
        f"You entered {_said(question, entered)}, but the true figure is "
        f"{_said(question, true)}. Careful measuring is within {_said(question, allowed)}."
    )
    return Finding(name, 0.0, at, why, say_back if misheard else better)


def _true(evidence: Evidence, question: Question) -> float | None:
    """The truth, mm or kg; of a stature remembered what such a caller says of it."""
    body = evidence.persona.body
    if question.measures is not None and question.measures in body:
        value = body[question.measures]
        if question.measures == "stature" and _remembered(evidence):
            value += evidence.basis.population.remembered_bias or 0.0
        return value
    found = evidence.true.value(question.name)
    return found if isinstance(found, float) else None


def _remembered(evidence: Evidence) -> bool:
    return evidence.true.setting("stature_origin") == "remembered"


def _said(question: Question, value: float) -> str:
    return (
        format_mass(value, "metric")
        if question.answer == "mass"
        else format_length(value, "metric")
    )


# -- what went wrong at the caller's end, and whether it was noticed: asked again, or coached -----


def noticed_items(evidence: Evidence) -> tuple[ScoreItem, ...]:
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
    return scored_items("noticed", [*found, *_confirmed_unasked(evidence)])


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
        f"Repeat both and ask which is right: {in_quotes(question.ask)}",
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
        better = f"Say briefly what it is for, and ask again: {in_quotes(question.ask)}"
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
        return f"Read the coaching out: {in_quotes(question.coach)}"
    return f"Ask once more: {in_quotes(question.ask)}"


def _label(question: str) -> str:
    return f"the {question.replace('_', ' ')}"
