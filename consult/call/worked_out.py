"""What takes longer than the next question may wait: the chair, and what is still to ask."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from consult.call.pace import Coming, coming
from consult.call.state import State, with_chair

if TYPE_CHECKING:
    from consult.call.basis import Basis


@dataclass(frozen=True, slots=True, eq=False)
class WorkedOut:
    """A state with everything about it."""

    state: State
    """With its chair chosen."""
    coming: Coming


def work_out(basis: Basis, now: State) -> WorkedOut:
    """Choose the chair of a state, and tell what is still to ask."""
    return WorkedOut(with_chair(basis, now), coming(basis, now))
