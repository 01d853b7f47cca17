"""The score of an exercise: what was done well, what was not, and what would have been better.

The call is compared with what is true of the caller, and with the same caller led by an adviser who
does everything right (``model_call``). It passes if the chair fits the true body, no sign was
missed, consent was kept, and it took no longer than such a call may. If not, the score is limited.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from datetime import date, datetime, time
from functools import lru_cache

from consult.call.basis import Basis
from consult.practice.log import Log
from consult.practice.model import Persona
from consult.practice.model_call import led_exercise
from consult.practice.scoring.chair import chair_findings
from consult.practice.scoring.conduct import (
    hints_findings,
    order_findings,
    pace_findings,
    questions_findings,
    wording_findings,
)
from consult.practice.scoring.evidence import Evidence, Led, followed
from consult.practice.scoring.listening import (
    heard_findings,
    measures_findings,
    noticed_findings,
)
from consult.practice.scoring.points import Finding, Score, ScoreItem, scored_items
from consult.practice.scoring.signs import consent_findings, signs_findings
from consult.sentence import CHAIR, of_thing

_CRITERIA: Mapping[str, Callable[[Evidence], Iterable[Finding]]] = {
    "signs": signs_findings,
    "consent": consent_findings,
    "noticed": noticed_findings,
    "heard": heard_findings,
    "measures": measures_findings,
    "chair": chair_findings,
    "questions": questions_findings,
    "order": order_findings,
    "pace": pace_findings,
    "wording": wording_findings,
    "hints": hints_findings,
}


def score_of(log: Log, persona: Persona, basis: Basis) -> Score:
    """Score an exercise; the persona and the basis are those it was led with. Same inputs, same
    score."""
    led = evidence(log, persona, basis)
    found = (scored_items(name, list(look(led))) for name, look in _CRITERIA.items())
    return Score(tuple(_of_thing(basis.thing, item) for items in found for item in items))


def _of_thing(thing: str, item: ScoreItem) -> ScoreItem:
    """An item in the words of what is chosen."""
    if thing == CHAIR:
        return item
    name, why, better = (of_thing(one, thing) for one in (item.name, item.why, item.better))
    return replace(item, name=name, why=why, better=better)


def evidence(log: Log, persona: Persona, basis: Basis) -> Evidence:
    best = as_it_should_be(basis, persona, log.seed, log.began.date())
    return Evidence(basis, persona, followed(basis, log), best)


@lru_cache(maxsize=32)
def as_it_should_be(basis: Basis, persona: Persona, seed: int, day: date) -> Led:
    """The same caller led by an adviser who does everything right; at every level the same."""
    began = datetime.combine(day, time(9))
    return followed(basis, led_exercise(basis, persona, seed, "guided", began))
