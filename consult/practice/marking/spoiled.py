"""Whether one wrong figure spoiled the chair: the same call again with the figure put right."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.call.call import Answer
from consult.call.state import state
from consult.practice.acts import Recommend
from consult.practice.exercise import parts_and_seat
from consult.practice.marking.table import AS_GOOD, SEAT_OFF
from consult.practice.marking.true_caller import worth

if TYPE_CHECKING:
    from consult.practice.marking.evidence import Evidence
    from consult.practice.marking.true_caller import Worth


def spoiled_the_chair(evidence: Evidence, question: str) -> bool:
    """Whether the chair, or its seat height, would have come out better with the true figure.

    Of an error that shows at no one question, whether the chair does not fit: it bore on all.
    """
    said = evidence.own.log.recommended
    own = _worth(evidence, said) if said is not None else None
    if own is None or (own.chair_fits and own.seat_fits):
        return False
    call = evidence.own.state.call
    answer = call.latest().get(question)
    if answer is None:
        return True
    true = evidence.persona.truth[question]
    right = _worth(
        evidence,
        Recommend(*parts_and_seat(state(evidence.basis, call.add(Answer(question, true))))),
    )
    return right is not None and _better(own, right)


def _worth(evidence: Evidence, said: Recommend) -> Worth | None:
    return worth(evidence.basis, evidence.persona, evidence.best, said)


def _better(own: Worth, right: Worth) -> bool:
    """Whether putting it right makes a difference: a better chair, or a seat nearer by a third of
    what it may be off."""
    if right.p > own.p + AS_GOOD or (right.exact and not own.exact):
        return True
    if own.seat_off is None or right.seat_off is None:
        return False
    return abs(own.seat_off) - abs(right.seat_off) > SEAT_OFF / 3
