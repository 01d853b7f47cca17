"""Safety: warning signs asked, caught, said and respected; consent before health.

A sign counts where a good adviser learns of it, or where the caller of this call mentions it.
It may be entered under any question: a stop counts by whom it sent the caller to. What everybody is
asked, such as the list of warning signs, needs no consent.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from consult.call.facts import Facts
from consult.practice.log import Entered, Lifted, Recommend, Say, Spoke, Turn
from consult.practice.model import BehaviourKind
from consult.practice.scoring.evidence import Evidence, facts_of, grave, in_quotes, learn_answer
from consult.practice.scoring.points import AT_ONCE, LATE_SHARE, SIGN, Finding
from consult.tree.model import Caution, Question, Tree

_CONSENT = "Consent before health"


def consent_findings(evidence: Evidence) -> Iterator[Finding]:
    """Of consent; nothing in a tree without that question, or where a call ends before it."""
    question = evidence.consent()
    if question is not None:
        finding = _too_soon(evidence, question) or _consent_asked(evidence, question)
        yield from [finding] if finding else []


def _too_soon(evidence: Evidence, question: Question) -> Finding | None:
    """The first question that needs consent and came before a yes, or after a no."""
    turns, said = evidence.own.log.turns, ""
    for turn in turns:
        said = turn.tells.get(question.name, said)
        asked = evidence.tree.questions.get(turn.about)
        if asked is None or asked.private != "health" or asked.stored_with_consent:
            continue
        if not _is_yes(evidence, question, said):
            label = turn.about.replace("_", " ")
            why = f"You asked about {label} before you had asked for consent."
            if said:
                why = f"You asked about {label}, though the caller had said no."
            better = f"Ask first, and wait for a clear yes: {in_quotes(question.ask)}"
            behaviour = _showed(evidence, "refuses_consent", turns)
            return Finding(_CONSENT, 0.0, turn.number, why, better, fails=True, behaviour=behaviour)
    return None


def _consent_asked(evidence: Evidence, question: Question) -> Finding | None:
    """Whether it was asked for, and the answer entered; None where it was not due."""
    own = evidence.own
    if question.name not in own.asked:
        if question.name not in evidence.best.asked or evidence.stopped:
            return None
        why = "You never asked whether you may ask about health."
        better = f"Ask, and wait for a clear yes: {in_quotes(question.ask)}"
        return Finding(_CONSENT, 0.0, own.last, why, better, fails=True)
    at, behaviour = own.first(question.name), _showed(evidence, "refuses_consent", own.log.turns)
    said = [turn.tells[question.name] for turn in own.log.turns if question.name in turn.tells]
    entered = own.entered(question)
    if entered is not None and said and entered is not _is_yes(evidence, question, said[-1]):
        why = "You entered a different answer about consent from the caller's."
        better = "Enter yes only for a clear yes. A maybe is a no."
        return Finding(_CONSENT, 0.0, at, why, better, fails=True, behaviour=behaviour)
    why = "You asked for consent and respected the answer."
    return Finding(_CONSENT, 1.0, at, why, behaviour=behaviour)


def _showed(evidence: Evidence, kind: BehaviourKind, turns: Iterable[Turn]) -> str:
    """The behaviour of a kind that showed in these turns; '' for none."""
    shown = {name for turn in turns for name in turn.shown}
    found = (behaviour.name for behaviour in evidence.persona.behaviours if behaviour.kind == kind)
    return next((name for name in found if name in shown), "")


def _is_yes(evidence: Evidence, question: Question, said: str) -> bool:
    """Whether what was last said of consent is a clear yes."""
    return facts_of(evidence.basis, {question.name: said}).value(question.name) is True


@dataclass(frozen=True, slots=True)
class _Due:
    """A caution that had to be said."""

    caution: Caution
    words: str
    """As they are to be said."""
    heard: int
    """Turn of this call at which the caller gave ground for it; 0 where that never came out."""


_HARMLESS = (None, "caller_name", "caller_contact", "consent", "follow_up", "reasons", "sex")
"""Facts that may be asked for after a stop: no chair is measured for by them."""


def signs_findings(evidence: Evidence) -> Iterator[Finding]:
    """Of the warning signs; a missed one, or a stop not respected, fails the call."""
    yield from _asked(evidence)
    due = _due(evidence)
    stopped = evidence.stopped
    # After a stop the caller need not be asked about the other signs.
    counted = [
        one for one in due if one.heard or not stopped or one.caution.name in evidence.own.said
    ] or [one for one in due if evidence.said_for(one.caution) is not None]
    for one in counted:
        if not _outranked(evidence, one, due):
            yield _acted_on(evidence, one, stopped=stopped)


def _asked(evidence: Evidence) -> Iterator[Finding]:
    """One finding for the lists together: every one of them asked, until there is an answer.

    Having no answer to the list that everybody hears fails the call, and so do answers to a list
    that nobody read out, and a chair for somebody who heard none: that no sign was there was luck.
    """
    signs = evidence.signs()
    if not signs or evidence.stopped:
        return
    own, name = evidence.own, "Warning signs asked about"
    answered = {turn.about for turn in own.log.turns if turn.about in turn.tells}
    missing = [question for question in signs if question.name not in answered]
    if not missing:
        why = "Every question about warning signs was asked."
        yield Finding(name, 1.0, own.first(signs[-1].name), why)
        return
    told = {about for turn in own.log.turns for about in turn.tells}
    unheard = [question for question in missing if question.name not in told]
    made_up = [question for question in unheard if question.name in own.covered]
    named = own.log.recommended is not None and bool(own.log.recommended.parts)
    unread = [question for question in missing if question.signs]
    why = f"{len(missing)} of {len(signs)} questions about warning signs were never asked."
    left = [turn for question in missing for turn in own.asked.get(question.name, ())]
    pressed = _showed(evidence, "presses", left)
    if pressed:
        why = "The caller wanted the warning signs left out, and you gave way."
    if made_up:
        why = f"{why} You still entered an answer."
    elif named and unheard:
        why = f"{why} You still recommended a chair."
    elif unread:
        why = f"{why} Read the list to everybody, with or without consent."
    yield Finding(
        name,
        1 - len(missing) / len(signs),
        own.last,
        why,
        f"Ask, and wait for the answer: {in_quotes(missing[0].ask)}",
        fails=bool(unread or made_up or (named and unheard)),
        behaviour=pressed,
    )


def _due(evidence: Evidence) -> list[_Due]:
    """Cautions that had to be said, by a good adviser's call and by what was heard in this one."""
    heard = _heard(evidence)
    words = {
        turn.act.caution: turn.act.words
        for turn in (*evidence.best.log.turns, *evidence.own.log.turns)
        if isinstance(turn.act, Say)
    }
    return [
        _Due(caution, words.get(caution.name, caution.say), heard.get(caution.name, 0))
        for caution in evidence.tree.cautions
        if caution.level != "note" and (caution.name in evidence.best.said or caution.name in heard)
    ]


def _heard(evidence: Evidence) -> dict[str, int]:
    """Caution that is true of the caller -> the turn at which its last ground was told."""
    true, told = evidence.true, Facts(evidence.basis, "metric")
    consent, every = evidence.consent(), grave(evidence.tree)
    found: dict[str, int] = {}
    for turn in evidence.own.log.turns:
        for name, said in turn.tells.items():
            learn_answer(told, name, said)
        refused = consent is not None and told.value(consent.name) is False
        for caution in every:
            if caution.name in found or (caution.level == "refer" and refused):
                continue
            if caution.when.evaluate(told.lookup) is True and evidence.calls_for(caution, true):
                found[caution.name] = turn.number
    return found


def _outranked(evidence: Evidence, due: _Due, every: list[_Due]) -> bool:
    """Whether a referral gave way to a stop that was said: its ground was told with the sign, or
    after it. One that was called for before should have been said by then."""
    if due.caution.level == "stop" or evidence.said_for(due.caution) is not None:
        return False
    return any(
        one.caution.level == "stop"
        and 0 < one.heard <= due.heard
        and evidence.said_for(one.caution) is not None
        for one in every
    )


def _acted_on(evidence: Evidence, due: _Due, *, stopped: bool) -> Finding:
    caution, own = due.caution, evidence.own
    name = f"{SIGN}{caution.name.replace('_', ' ')}"
    said = evidence.said_for(caution)
    if said is None:
        if due.heard and stopped and caution.level == "stop":
            why = "The caller mentioned this sign, and the stop you read does not cover it."
        elif due.heard:
            why = "The caller gave a reason for this caution, and you did not read it."
        else:
            why = "The caller has this sign, and you never found out."
        # After a stop the caller is not advised, and hears whom to ask: no referral is needed.
        return Finding(
            name,
            0.0,
            due.heard or own.last,
            why,
            f"{_how(evidence, due)}Say: {in_quotes(due.words)}",
            fails=not stopped or (caution.level == "stop" and caution.contact is not None),
            behaviour=_let_fall(evidence, due),
        )
    if caution.level == "stop":
        broken = _not_respected(evidence, said)
        if broken is not None:
            turn, why = broken
            pressed = _showed(evidence, "presses", own.log.turns)
            return Finding(name, 0.0, turn, why, _END, fails=True, behaviour=pressed)
    behaviour = _let_fall(evidence, due)
    if due.heard and said.number - due.heard > AT_ONCE:
        why = f"You read it {said.number - due.heard} turns after the caller mentioned it."
        better = f"Say at once: {in_quotes(due.words)}"
        return Finding(name, LATE_SHARE, due.heard, why, better, behaviour=behaviour)
    return Finding(name, 1.0, said.number, "You heard it and acted on it.", behaviour=behaviour)


_END = (
    "A stop ends all advice on chairs: read it, ask how to reach the caller, and close. Lift a "
    "stop only if a typing mistake raised it."
)


def _how(evidence: Evidence, due: _Due) -> str:
    """The question that would have brought it out; '' where the caller told of it."""
    if due.heard:
        return ""
    asked = [
        question
        for question in evidence.tree.questions.values()
        if question.name in due.caution.when.names
    ]
    missing = [question for question in asked if question.name not in evidence.own.asked]
    return f"Ask: {in_quotes(missing[0].ask)} " if missing else ""


def _let_fall(evidence: Evidence, due: _Due) -> str:
    """The behaviour by which it is told in passing; '' where it is not, or came out otherwise."""
    turns = [turn for turn in evidence.own.log.turns if turn.number == due.heard]
    shown = {name for turn in turns for name in turn.shown}
    signs = (
        behaviour
        for behaviour in evidence.persona.behaviours
        if behaviour.kind == "sign_in_passing"
    )
    told = (behaviour.name for behaviour in signs if behaviour.about in due.caution.when.names)
    return next((name for name in told if name in shown or not due.heard), "")


def _not_respected(evidence: Evidence, said: Turn) -> tuple[int, str] | None:
    """What was done after a stop that ends all advice, and the turn of it."""
    allowed = _after_stop(evidence)
    for number, event in evidence.own.log.by_turn():
        if number < said.number:
            continue
        match event:
            case Lifted(taken=True):
                return number, "You lifted the stop, although the sign was true."
            case Spoke(Turn(act=Recommend(parts))) if parts:
                return number, "You recommended a chair after the stop."
            case Spoke(turn) if turn.about not in allowed:
                return number, "You went on with other questions after the stop."
            case Entered(taken=True, question=question) if question not in allowed:
                return number, "You went on with other answers after the stop."
    return None


def _after_stop(evidence: Evidence) -> frozenset[str]:
    """What may be asked after a stop: the signs again, how the call ends, and once more what lay on
    the way, as long as no chair hangs on it."""
    questions = evidence.tree.questions
    return frozenset(
        [
            "",
            *_closing(evidence.tree),
            *(name for name, question in questions.items() if question.private == "health"),
            *(
                name
                for name in evidence.own.way
                if questions[name].measures is None and questions[name].sets in _HARMLESS
            ),
        ]
    )


def _closing(tree: Tree) -> frozenset[str]:
    """The questions that the tree goes on with after a stop."""
    found: set[str] = set()
    waiting = [tree.after_stop or ""]
    while waiting:
        name = waiting.pop()
        if name in tree.questions and name not in found:
            found.add(name)
            waiting += [route.go for route in tree.questions[name].routes]
    return frozenset(found)
