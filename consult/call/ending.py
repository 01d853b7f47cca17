"""What a call leaves for later when it ends: how sure consult was, and what came of the chair."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from consult.call.call import CAME, ODDS, Answer
from consult.call.stated_odds import stated_odds

if TYPE_CHECKING:
    from datetime import datetime

    from consult.call.basis import Basis
    from consult.call.chair_outcome import ChairOutcome
    from consult.call.state import State


def ended(basis: Basis, now: State, came: ChairOutcome | None, at: datetime) -> State:
    """A finished call with those lines added to its answers; unchanged where they are there.

    ``now`` has its chair chosen. ``came`` is about the chair of the call that this one follows.
    """
    odds, call = stated_odds(basis, now), now.call
    lines = {ODDS: odds.text if odds else "", CAME: came.text if came else ""}
    for name, text in lines.items():
        old = call.latest().get(name)
        if text and (old is None or old.said != text):
            call = call.add(Answer(name, text, at=at))
    return now if call is now.call else replace(now, call=call)
