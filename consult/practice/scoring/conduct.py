"""How the call was led: no needless questions, in good order, at a good pace, in plain words."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from operator import itemgetter

from consult.call.worth import call_seconds, seconds_of
from consult.practice.log import (
    Entered,
    Hinted,
    Recommend,
    Say,
    Spoke,
    Turn,
    call_minutes,
    turn_seconds,
)
from consult.practice.model_call import spoken_of, volunteered_counts
from consult.practice.scoring.evidence import Evidence, Led
from consult.practice.scoring.points import (
    IN_TIME,
    NEEDLESS_COST,
    PACES,
    POINTS,
    TOO_SLOW,
    Finding,
)
from consult.practice.speech import SPOKEN_FIGURES
from consult.tree.model import Caution
from consult.tree.placeholders import in_units


def questions_findings(evidence: Evidence) -> Iterator[Finding]:
    """Of asking nothing that is not needed, and leaving out nothing that is."""
    if not evidence.best.asked:
        return
    needless = list(_needless(evidence))
    if not needless:
        yield _none_left_out(evidence)
        return
    turn, reason = needless[0]
    many = f"{len(needless)} questions were" if len(needless) > 1 else "One question was"
    why = f"{many} not needed. {reason}"
    better = "Ask what the call leads to, and only once if the answer is clear."
    share = 1 - NEEDLESS_COST * len(needless) / POINTS["questions"]
    yield Finding("Needless questions", share, turn.number, why, better)


def order_findings(evidence: Evidence) -> Iterator[Finding]:
    """Of signs before measures, and measures before a chair."""
    own, best, questions = evidence.own, evidence.best, evidence.tree.questions
    signs = [question.name for question in evidence.signs() if question.name in own.asked]
    measures = [name for name in best.asked if questions[name].measures]
    taken = [own.asked[name][0] for name in measures if name in own.asked]
    if signs and taken:
        name, first = "Signs before measures", min(turn.number for turn in taken)
        late = next((sign for sign in signs if own.first(sign) > first), None)
        if late is None:
            why = "Warning signs were asked about before anything was measured."
            yield Finding(name, 1.0, first, why)
        else:
            why = f"You measured before you asked about {late.replace('_', ' ')}."
            better = (
                "Ask about warning signs first. A sign ends the call before anything is measured."
            )
            yield Finding(name, 0.0, own.first(late), why, better)
    named = next((t for t in own.log.turns if isinstance(t.act, Recommend) and t.act.parts), None)
    if named is not None and measures:
        # What a topic measures that is gone through after the chair does not decide it.
        at_best = next((t.number for t in best.log.turns if isinstance(t.act, Recommend)), 0)
        decides = (turn.about for turn in taken if best.first(turn.about) < at_best)
        late = next((about for about in decides if own.first(about) > named.number), None)
        name = "Measures before the chair"
        if late is None:
            why = "You recommended the chair after everything was measured."
            yield _as_far_as_led(evidence, name, why, named.number)
        else:
            why = f"You recommended a chair before the {late.replace('_', ' ')} was measured."
            better = "Measure first, because the chair depends on it."
            yield Finding(name, 0.0, named.number, why, better)


def pace_findings(evidence: Evidence) -> Iterator[Finding]:
    """Of the minutes the call would have taken on the telephone, and of the learner's own time at
    the keys. A call that takes much longer than a good adviser's fails."""
    if evidence.own.asked and evidence.best.asked:
        yield _minutes(evidence)
        yield from _at_the_keys(evidence)


def _minutes(evidence: Evidence) -> Finding:
    took, needed = (_telephone_minutes(evidence, led) for led in (evidence.own, evidence.best))
    allowed, name = IN_TIME * needed, "Minutes of the call"
    if took <= allowed:
        why = f"On the telephone it would have taken {took:.0f} minutes; it needs {needed:.0f}."
        return _as_far_as_led(evidence, name, why)
    why = (
        f"On the telephone it would have taken {took:.0f} minutes. This caller needs {needed:.0f},"
        f" and {allowed:.0f} are enough."
    )
    better = "Ask what the call leads to, have a figure measured again only where it sounds wrong."
    return Finding(name, 0.0, evidence.own.last, why, better, fails=True)


def _telephone_minutes(evidence: Evidence, led: Led) -> float:
    """Minutes on the telephone, without those in which a question about health was asked once
    more: that is never too slow."""
    questions = evidence.tree.questions
    again = sum(
        turn_seconds(turn, questions)
        for name, turns in led.asked.items()
        if questions[name].private == "health"
        for turn in turns[1:]
    )
    return call_minutes(led.log, questions) - again / 60


def _at_the_keys(evidence: Evidence) -> Iterator[Finding]:
    """The seconds the entries took, against what these questions take at the pace of the level;
    nothing without times."""
    log, questions = evidence.own.log, evidence.tree.questions
    timed = [
        entered
        for entered in log.entries
        if entered.taken and entered.took and entered.question in questions
    ]
    if not timed:
        return
    mean = call_seconds([entered.took for entered in timed]) / len(timed)
    usual = sum(seconds_of(questions[entered.question]) for entered in timed) / len(timed)
    pace = PACES[log.level] * usual
    if mean <= pace:
        why = f"You took {mean:.0f} seconds a question. Up to {pace:.0f} is fine at this level."
        yield _as_far_as_led(evidence, "Pace", why)
        return
    took = [
        (event.took, turn)
        for turn, event in log.by_turn()
        if isinstance(event, Entered) and event.took is not None
    ]
    _, slowest = max(took, key=itemgetter(0))
    why = f"You took {mean:.0f} seconds a question. {pace:.0f} are enough at this level."
    better = "Type while the caller speaks. Enter an early answer by its name, such as /desk 73."
    share = (TOO_SLOW - mean / pace) / (TOO_SLOW - 1)
    yield Finding("Pace", share, slowest, why, better)


def wording_findings(evidence: Evidence) -> Iterator[Finding]:
    """Of cautions said as they are written, and of reading the recommendation back."""
    for turn in evidence.own.log.turns:
        better = ""
        match turn.act:
            case Say(said, level, words) if level != "note" and (caution := evidence.caution(said)):
                name = f"Said as written: {caution.name.replace('_', ' ')}"
                why = "The caution was read as written."
                if not _as_written(evidence, caution, words):
                    why = "The caution was not read as written."
                    better = f"Read it word for word: “{caution.say}”"
            case Recommend(parts, _, words) if parts:
                name, why = "Read back", "You read back the chair and how to set it."
                if not words.strip():
                    why = "You did not read the chair back to the caller."
                    better = (
                        "Read out the parts and the seat height, so that the caller can correct "
                        "you."
                    )
            case _:
                continue
        yield Finding(name, 0.0 if better else 1.0, turn.number, why, better)


def hints_findings(evidence: Evidence) -> Iterator[Finding]:
    """Of finding the way without hints; each costs what was said before it was taken."""
    if not evidence.best.asked:
        return
    log = evidence.own.log
    hints = log.hints
    if not hints:
        yield _as_far_as_led(evidence, "Hints", "No hint was taken.")
        return
    cost = sum(hint.cost for hint in hints)
    many = f"{len(hints)} hints were" if len(hints) > 1 else "One hint was"
    why = f"{many} taken, which cost {cost} points. The first: {hints[0].text}"
    better = "Try Ctrl+G first: it lists the open questions."
    share = 1 - cost / POINTS["hints"]
    before = next(turn for turn, event in log.by_turn() if isinstance(event, Hinted))
    yield Finding("Hints", share, before, why, better)


def _as_far_as_led(evidence: Evidence, name: str, why: str, turn: int | None = None) -> Finding:
    """What was done well, worth as much as was asked of what there was to ask."""
    led = evidence.led_share
    at = evidence.own.last if turn is None else turn
    return Finding(name, led, at, why, came_up=led >= 1)


def _none_left_out(evidence: Evidence) -> Finding:
    """Whether all was asked that this call needs, where nothing needless was."""
    led, last = evidence.led_share, evidence.own.last
    if led >= 1:
        return Finding("Needless questions", 1.0, last, "Every question was needed.")
    missing = [name for name in evidence.due if name not in evidence.own.covered]
    many, due = len(missing), len(evidence.due)
    why = f"{many} of the {due} questions that this call needs were not asked."
    ask = in_units(evidence.tree.questions[missing[0]].ask, "metric")
    return Finding("Questions left out", led, last, why, f"Ask this one too: “{ask}”")


def _needless(evidence: Evidence) -> Iterator[tuple[Turn, str]]:
    """The turns that asked what was not needed, and why it was not."""
    own, persona, questions = evidence.own, evidence.persona, evidence.tree.questions
    needed = own.way | frozenset(evidence.best.asked)
    before: list[Turn] = []
    asked = Counter[str]()
    open_again: set[str] = set()
    """Asked before, with good reason to ask once more."""
    for event in own.log.events:
        if isinstance(event, Entered) and not event.taken:
            open_again.add(event.question)
        if not isinstance(event, Spoke):
            continue
        turn, about = event.turn, event.turn.about
        open_again |= turn.tells.keys() - {about}
        told = spoken_of(persona, before, "volunteers") - spoken_of(persona, before, "contradicts")
        before.append(turn)
        if not about:
            continue
        label, times = about.replace("_", " "), asked[about]
        figure = questions[about].answer in SPOKEN_FIGURES
        if about not in needed:
            yield turn, f"This call does not lead to the question about {label}."
        elif not times and about in told and volunteered_counts(questions[about]):
            yield turn, f"The caller had already told you about {label}."
        elif times and about not in open_again and not (figure and times == 1):
            yield turn, f"The answer about {label} was already clear."
        asked[about] += 1
        open_again.discard(about)
        if turn.shown or about not in turn.tells:
            open_again.add(about)


def _as_written(evidence: Evidence, caution: Caution, said: str) -> bool:
    """Whether words are those of a caution, its blanks filled with anything.

    What to do in another country, which the desk adds to some stops, may follow.
    """
    elsewhere = evidence.basis.contacts.elsewhere.get(caution.contact or "", "")
    words = " ".join(said.split()).removesuffix(" ".join(elsewhere.split())).rstrip()
    pieces = [re.escape(" ".join(piece.split())) for piece in re.split(r"<[^<>]*>", caution.say)]
    return re.fullmatch(".*".join(pieces), words, re.S) is not None
