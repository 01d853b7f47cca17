"""Offering an answer to a call: taken, or given back with the reason, what was typed untouched."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from consult.call.call import Answer
from consult.call.route import outside
from consult.call.state import State, state_so_far
from consult.call.understand import understand
from consult.units import Unclear

if TYPE_CHECKING:
    from consult.call.basis import Basis
    from consult.tree.model import Question

STANDS = "Enter once more if the caller measured again and it stands."


@dataclass(frozen=True, slots=True)
class Offered:
    """What became of an answer."""

    state: State | None
    """The call with the answer in it, its chair still to be chosen; None where given back."""
    trouble: str = ""
    """What to ask or say instead."""
    may_stand: bool = False
    """Only odd, not unreadable: offering it again with ``stands`` takes it."""


def offer(
    basis: Basis,
    now: State,
    question: Question,
    said: str,
    *,
    stands: bool = False,
    note: str = "",
    at: datetime | None = None,
    took: float | None = None,
) -> Offered:
    """Offer ``said`` as the answer to ``question``.

    An answer outside what is usual, or at odds with the other measures, is given back once; with
    ``stands`` it is taken as confirmed.
    """
    try:
        heard = understand(question, said, now.call.today)
    except Unclear as unclear:
        return Offered(None, str(unclear))
    odd = outside(question, heard)
    then = state_so_far(basis, now.call.add(Answer(question.name, said, stands, note, at, took)))
    if not odd and question.measures:
        doubts = (d for d in then.doubts if d.dimension == question.measures)
        odd = next((doubt.message for doubt in doubts if stands or not doubt.confirmed), "")
    if odd and not stands:
        return Offered(None, f"{odd} {STANDS}", may_stand=True)
    if stands and not odd:
        then = state_so_far(basis, now.call.add(Answer(question.name, said, False, note, at, took)))
    return Offered(then)
