"""Offer an answer to a call: it is stored, or returned with the reason."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from consult.call.call import Answer
from consult.call.route import outside
from consult.call.state import State, state_so_far
from consult.call.understand import likelier, understand
from consult.problems import listed
from consult.units import Proposal, Unclear

if TYPE_CHECKING:
    from consult.call.basis import Basis
    from consult.tree.model import Question

STANDS = "If it was measured again and is right, press Enter."


@dataclass(frozen=True, slots=True)
class Offered:
    """The result of offering an answer."""

    state: State | None
    """The call with the answer, before its chair is chosen; None if the answer was returned."""
    trouble: str = ""
    """What to ask or say instead."""
    may_stand: bool = False
    """Whether it is only odd, not unreadable: offered again with ``stands``, it is stored."""
    proposals: tuple[Proposal, ...] = ()
    """Possible meanings, if known; each can be stored instead."""


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
    ``stands`` it is taken as confirmed. A figure that hung on the caller's units is recorded with
    its unit, so that it means the same whatever units are shown later.
    """
    try:
        heard = understand(question, said, now.call.today, now.call.system)
    except Unclear as unclear:
        return Offered(None, str(unclear), proposals=unclear.proposals)
    said = heard.settled or said
    odd = outside(question, heard)
    likely = likelier(question, said) if odd and not stands else ()
    if likely:
        words = listed(one.words for one in likely)
        typed = Proposal(said, f"{said.strip()}, as it was said", confirmed=True)
        return Offered(None, f"{odd} Or did they say {words}?", True, (*likely, typed))
    then = state_so_far(basis, now.call.add(Answer(question.name, said, stands, note, at, took)))
    if not odd and question.measures:
        doubts = (d for d in then.doubts if d.dimension == question.measures)
        odd = next((doubt.message for doubt in doubts if stands or not doubt.confirmed), "")
    if odd and not stands:
        return Offered(None, f"{odd} {STANDS}", may_stand=True)
    if stands and not odd:
        then = state_so_far(basis, now.call.add(Answer(question.name, said, False, note, at, took)))
    return Offered(then)
