"""The slow part of a state: the chair, and what is still to ask."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from consult.call.pace import Coming, coming
from consult.call.state import State, with_chair
from consult.call.topics import TopicLine, topics_of
from consult.call.why_next import why_next

if TYPE_CHECKING:
    from consult.call.basis import Basis


@dataclass(frozen=True, slots=True, eq=False)
class WorkedOut:
    """A state with its chair and the questions ahead."""

    state: State
    """With its chair chosen."""
    coming: Coming
    topics: tuple[TopicLine, ...]
    why_next: str
    """Why the question at hand is asked next; '' where it is simply next in the tree."""


def work_out(basis: Basis, now: State) -> WorkedOut:
    """Choose the chair of a state, and work out what is still to ask and why."""
    chosen = with_chair(basis, now)
    return WorkedOut(chosen, coming(basis, now), topics_of(basis, now), why_next(basis, now))
