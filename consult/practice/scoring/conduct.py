"""How the call was led: no needless questions, in good order, at a good pace, in plain words."""

from __future__ import annotations

import re
from collections.abc import Iterator

from consult.call.worth import call_seconds, seconds_of
from consult.practice.log import (
    Again,
    Ask,
    Coach,
    Entered,
    Recommend,
    Say,
    Spoke,
    Turn,
    call_minutes,
    turn_seconds,
)
from consult.practice.model_call import contradicted, volunteered, volunteered_counts
from consult.practice.scoring.evidence import Evidence, Led
from consult.practice.scoring.points import (
    IN_TIME,
    NEEDLESS_COST,
    PACES,
    POINTS,
    TOO_SLOW,
    Finding,
    ScoreItem,
    scored_items,
)
from consult.practice.speech import FIGURES
from consult.tree.model import Caution
from consult.tree.placeholders import in_units


def questions_items(evidence: Evidence) -> tuple[ScoreItem, ...]:
    """Items for asking nothing that is not needed, and leaving out nothing that is."""
    if not evidence.best.asked:
        return ()
    needless = _needless(evidence)
    if not needless:
        return scored_items("questions", [_none_left_out(evidence)])
    turn, reason = needless[0]
    many = f"{len(needless)} questions were" if len(needless) > 1 else "One question was"
    why = f"{many} not needed. {reason}"
    better = "Ask what the call leads to, and only once if the answer is clear."
    share = 1 - NEEDLESS_COST * len(needless) / POINTS["questions"]
    return scored_items(
        "questions", [Finding("Needless questions", share, turn.number, why, better)]
    )


def order_items(evidence: Evidence) -> tuple[ScoreItem, ...]:
    """Items for signs before measures, and measures before a chair."""
    own, best, questions = evidence.own, evidence.best, evidence.tree.questions
    found = []
    signs = [one.name for one in evidence.signs() if one.name in own.asked]
    measures = [name for name in best.asked if questions[name].measures]
    taken = [own.asked[name][0] for name in measures if name in own.asked]
    if signs and taken:
        first = min(taken, key=lambda turn: turn.number)
        late = [name for name in signs if own.first(name) > first.number]
        if late:
            why = f"You measured before you asked about {late[0].replace('_', ' ')}."
            better = (
                "Ask about warning signs first. A sign ends the call before anything is measured."
            )
            found.append(Finding("Signs before measures", 0.0, own.first(late[0]), why, better))
        else:
            why = "Warning signs were asked about before anything was measured."
            found.append(Finding("Signs before measures", 1.0, first.number, why))
    named = next((t for t in own.log.turns if isinstance(t.act, Recommend) and t.act.parts), None)
    if named is not None and measures:
        # What a topic measures that is gone through after the chair does not decide it.
        at_best = next((t.number for t in best.log.turns if isinstance(t.act, Recommend)), 0)
        decides = [turn for turn in taken if best.first(turn.about) < at_best]
        late_measure = next((turn for turn in decides if turn.number > named.number), None)
        if late_measure is not None:
            label = late_measure.about.replace("_", " ")
            why = f"You recommended a chair before the {label} was measured."
            better = "Measure first, because the chair depends on it."
            found.append(Finding("Measures before the chair", 0.0, named.number, why, better))
        else:
            why = "You recommended the chair after everything was measured."
            found.append(
                _as_far_as_led(evidence, "Measures before the chair", 1.0, why, named.number)
            )
    return scored_items("order", found)


def pace_items(evidence: Evidence) -> tuple[ScoreItem, ...]:
    """Items for the minutes the call would have taken on the telephone, and for the learner's own
    time at the keys. A call that takes much longer than a good adviser's fails."""
    if not evidence.own.asked or not evidence.best.asked:
        return ()
    return scored_items("pace", [_minutes(evidence), *_at_the_keys(evidence)])


def _minutes(evidence: Evidence) -> Finding:
    took, needed = (_telephone_minutes(evidence, led) for led in (evidence.own, evidence.best))
    allowed = IN_TIME * needed
    name, last = "Minutes of the call", evidence.own.last
    if took <= allowed:
        why = f"On the telephone it would have taken {took:.0f} minutes; it needs {needed:.0f}."
        return _as_far_as_led(evidence, name, 1.0, why)
    why = (
        f"On the telephone it would have taken {took:.0f} minutes. This caller needs {needed:.0f},"
        f" and {allowed:.0f} are enough."
    )
    better = "Ask what the call leads to, have a figure measured again only where it sounds wrong."
    return Finding(name, 0.0, last, why, better, fails=True)


def _telephone_minutes(evidence: Evidence, led: Led) -> float:
    """Minutes on the telephone, without those in which a question about health was asked once
    more: that is never too slow."""
    questions = evidence.tree.questions
    again = [
        turn
        for name, turns in led.asked.items()
        if questions[name].private == "health"
        for turn in turns[1:]
    ]
    return (
        call_minutes(led.log, questions) - sum(turn_seconds(one, questions) for one in again) / 60
    )


def _at_the_keys(evidence: Evidence) -> Iterator[Finding]:
    """The seconds the entries took, against what these questions take at the pace of the level;
    nothing without times."""
    log, questions = evidence.own.log, evidence.tree.questions
    timed = [one for one in log.entries if one.taken and one.took and one.question in questions]
    if not timed:
        return
    mean = call_seconds([one.took for one in timed]) / len(timed)
    usual = sum(seconds_of(questions[one.question]) for one in timed) / len(timed)
    pace = PACES[log.level] * usual
    if mean <= pace:
        why = f"You took {mean:.0f} seconds a question. Up to {pace:.0f} is fine at this level."
        yield _as_far_as_led(evidence, "Pace", 1.0, why)
        return
    turn = _slowest(evidence)
    why = f"You took {mean:.0f} seconds a question. {pace:.0f} are enough at this level."
    better = "Type while the caller speaks. Enter an early answer by its name, such as /desk 73."
    share = (TOO_SLOW - mean / pace) / (TOO_SLOW - 1)
    yield Finding("Pace", share, turn, why, better)


def wording_items(evidence: Evidence) -> tuple[ScoreItem, ...]:
    """Items for cautions said as they are written, and for reading the recommendation back."""
    found = []
    for turn in evidence.own.log.turns:
        if isinstance(turn.act, Say):
            caution = evidence.caution(turn.act.caution)
            if caution is None or caution.level == "note":
                continue
            name = f"Said as written: {caution.name.replace('_', ' ')}"
            if _as_written(evidence, caution, turn.act.words):
                why = "The caution was read as written."
                found.append(Finding(name, 1.0, turn.number, why))
            else:
                why = "The caution was not read as written."
                better = f"Read it word for word: “{caution.say}”"
                found.append(Finding(name, 0.0, turn.number, why, better))
        elif isinstance(turn.act, Recommend) and turn.act.parts:
            if turn.act.words.strip():
                why = "You read back the chair and how to set it."
                found.append(Finding("Read back", 1.0, turn.number, why))
            else:
                why = "You did not read the chair back to the caller."
                better = (
                    "Read out the parts and the seat height, so that the caller can correct you."
                )
                found.append(Finding("Read back", 0.0, turn.number, why, better))
    return scored_items("wording", found)


def hints_items(evidence: Evidence) -> tuple[ScoreItem, ...]:
    """Items for finding the way without hints; each costs what was said before it was taken."""
    if not evidence.best.asked:
        return ()
    hints = evidence.own.log.hints
    if not hints:
        return scored_items("hints", [_as_far_as_led(evidence, "Hints", 1.0, "No hint was taken.")])
    cost = sum(one.cost for one in hints)
    many = f"{len(hints)} hints were" if len(hints) > 1 else "One hint was"
    why = f"{many} taken, which cost {cost} points. The first: {hints[0].text}"
    better = "Try Ctrl+G first: it lists the open questions."
    share = 1 - cost / POINTS["hints"]
    return scored_items("hints", [Finding("Hints", share, _first_hint(evidence), why, better)])


def _as_far_as_led(
    evidence: Evidence, name: str, share: float, why: str, turn: int | None = None
) -> Finding:
    """A finding that is worth as much as was asked of what there was to ask."""
    led = evidence.led_share
    at = evidence.own.last if turn is None else turn
    return Finding(name, share * led, at, why, came_up=led >= 1)


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


def _needless(evidence: Evidence) -> list[tuple[Turn, str]]:
    """The turns that asked what was not needed, and why it was not."""
    own = evidence.own
    needed = own.way | frozenset(evidence.best.asked)
    found: list[tuple[Turn, str]] = []
    before: list[Turn] = []
    asked: dict[str, int] = {}
    open_again: set[str] = set()
    """Asked before, with good reason to ask once more."""
    for event in own.log.events:
        if isinstance(event, Entered) and not event.taken:
            open_again.add(event.question)
        if not isinstance(event, Spoke):
            continue
        turn = event.turn
        open_again |= turn.tells.keys() - {turn.about}
        told = volunteered(evidence.persona, before) - contradicted(evidence.persona, before)
        before.append(turn)
        if not isinstance(turn.act, (Ask, Coach, Again)):
            continue
        label, times = turn.about.replace("_", " "), asked.get(turn.about, 0)
        figure = evidence.tree.questions[turn.about].answer in FIGURES
        if turn.about not in needed:
            found.append((turn, f"This call does not lead to the question about {label}."))
        elif (
            not times
            and turn.about in told
            and volunteered_counts(evidence.tree.questions[turn.about])
        ):
            found.append((turn, f"The caller had already told you about {label}."))
        elif times and turn.about not in open_again and not (figure and times == 1):
            found.append((turn, f"The answer about {label} was already clear."))
        asked[turn.about] = times + 1
        open_again.discard(turn.about)
        if turn.shown or turn.about not in turn.tells:
            open_again.add(turn.about)
    return found


def _slowest(evidence: Evidence) -> int:
    """Number of the turn before the entry that took longest."""
    last, slowest, found = 0, -1.0, evidence.own.last
    for event in evidence.own.log.events:
        if isinstance(event, Spoke):
            last = event.turn.number
        elif isinstance(event, Entered) and event.took is not None and event.took > slowest:
            slowest, found = event.took, last
    return found


def _first_hint(evidence: Evidence) -> int:
    """Number of the turn before the first hint."""
    last = 0
    for event in evidence.own.log.events:
        if isinstance(event, Spoke):
            last = event.turn.number
        elif not isinstance(event, Entered) and event in evidence.own.log.hints:
            break
    return last


def _as_written(evidence: Evidence, caution: Caution, said: str) -> bool:
    """Whether words are those of a caution, its blanks filled with anything.

    What to do in another country, which the desk adds to some stops, may follow.
    """
    elsewhere = evidence.basis.contacts.elsewhere.get(caution.contact or "", "")
    words = " ".join(said.split()).removesuffix(" ".join(elsewhere.split())).rstrip()
    pieces = [re.escape(" ".join(piece.split())) for piece in re.split(r"<[^<>]*>", caution.say)]
    return re.fullmatch(".*".join(pieces), words, re.S) is not None
