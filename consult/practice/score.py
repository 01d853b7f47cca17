"""The score of an exercise: what was done well, what was not, and what would have been better.

The call is compared with what is true of the caller, and with the same caller led by an adviser who
does everything right (``model_call``). It passes if the chair fits the true body, no sign was
missed, consent was kept, and it took no longer than such a call may. If not, the score is limited.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime, time
from functools import lru_cache, partial

from consult.call.basis import Basis
from consult.practice.log import Log
from consult.practice.model import Persona
from consult.practice.model_call import led_exercise
from consult.practice.scoring.chair import chair_items
from consult.practice.scoring.conduct import (
    hints_items,
    order_items,
    pace_items,
    questions_items,
    wording_items,
)
from consult.practice.scoring.evidence import Evidence, Led, followed
from consult.practice.scoring.listening import heard_items, measures_items, noticed_items
from consult.practice.scoring.points import Score, ScoreItem
from consult.practice.scoring.signs import consent_items, signs_items
from consult.sentence import CHAIR, of_thing

_CRITERIA: tuple[Callable[[Evidence], tuple[ScoreItem, ...]], ...] = (
    signs_items,
    consent_items,
    noticed_items,
    heard_items,
    measures_items,
    chair_items,
    questions_items,
    order_items,
    pace_items,
    wording_items,
    hints_items,
)


def score_of(log: Log, persona: Persona, basis: Basis) -> Score:
    """Score an exercise; the persona and the basis are those it was led with. Same inputs, same
    score."""
    found = evidence(log, persona, basis)
    told = partial(_of_thing, basis.thing)
    return Score(tuple(told(item) for criterion in _CRITERIA for item in criterion(found)))


def _of_thing(thing: str, item: ScoreItem) -> ScoreItem:
    """An item in the words of what is chosen."""
    if thing == CHAIR:
        return item
    name, why, better = (of_thing(one, thing) for one in (item.name, item.why, item.better))
    return replace(item, name=name, why=why, better=better)


def evidence(log: Log, persona: Persona, basis: Basis) -> Evidence:
    """What the score is given by."""
    best = as_it_should_be(basis, persona, log.seed, log.began.date())
    return Evidence(basis, persona, followed(basis, log), best)


@lru_cache(maxsize=32)
def as_it_should_be(basis: Basis, persona: Persona, seed: int, day: date) -> Led:
    """The same caller led by an adviser who does everything right; at every level the same."""
    began = datetime.combine(day, time(9))
    return followed(basis, led_exercise(basis, persona, seed, "guided", began))
