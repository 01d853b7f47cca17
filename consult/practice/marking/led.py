"""A log read again: what was asked, entered and said, and the state of the call it left."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from consult.call.by_name import fact_named
from consult.call.call import Answer, Call
from consult.call.session import BY_NAME
from consult.call.state import State, state_so_far
from consult.call.understand import Value
from consult.practice.acts import Again, Ask, Coach, Say, Turn
from consult.practice.log import Entered, Lifted, Spoke
from consult.practice.truth import value_of
from consult.units import Unclear

if TYPE_CHECKING:
    from consult.call.basis import Basis
    from consult.practice.log import Log
    from consult.tree.model import Question, Tree


@dataclass(frozen=True, slots=True, eq=False)
class Led:
    """One exercise as it went."""

    log: Log
    asked: Mapping[str, tuple[Turn, ...]]
    """Question -> the turns that asked it, coached it or asked it again."""
    said: Mapping[str, Turn]
    """Caution -> the first turn that said it."""
    state: State
    """Of the call at its end, from what was entered and said; without the chair."""

    @property
    def last(self) -> int:
        """Number of the last turn, for what was never done; 0 where nothing was said."""
        return self.log.turns[-1].number if self.log.turns else 0

    @property
    def way(self) -> frozenset[str]:
        """The questions that the call led past."""
        return frozenset(step.question.name for step in self.state.steps)

    @property
    def covered(self) -> frozenset[str]:
        """What was asked, or entered without being asked."""
        return frozenset([*self.asked, *self.state.call.latest()])

    def first(self, question: str) -> int:
        """Number of the turn that first asked a question; that of the last turn if none did."""
        turns = self.asked.get(question, ())
        return turns[0].number if turns else self.last

    def entered(self, question: Question) -> Value | None:
        """What stands for a question at the end, mm, kg or plain; None where nothing usable."""
        answer = self.state.call.latest().get(question.name)
        return value_of(question, answer.said, self.state.call.today) if answer else None


def followed(basis: Basis, log: Log) -> Led:
    """Read a log against the tree it was led through."""
    asked: dict[str, tuple[Turn, ...]] = {}
    said: dict[str, Turn] = {}
    for turn in log.turns:
        if isinstance(turn.act, (Ask, Coach, Again)):
            asked[turn.about] = (*asked.get(turn.about, ()), turn)
        elif isinstance(turn.act, Say):
            said.setdefault(turn.act.caution, turn)
    return Led(log, asked, said, state_so_far(basis, call_of(basis, log)))


def call_of(basis: Basis, log: Log) -> Call:
    """The call that the entries of a log make."""
    tree, call = basis.tree, Call(log.began.date())
    for event in log.events:
        if isinstance(event, Entered) and event.taken and event.question in tree.questions:
            words = event.recorded or said_in(tree, event.question, event.said)
            if words is not None:
                call = call.add(Answer(event.question, words, event.confirmed, at=event.at))
        elif isinstance(event, Spoke) and isinstance(event.turn.act, Say):
            call = call.handle(event.turn.act.caution)
        elif isinstance(event, Lifted) and event.taken:
            for one in state_so_far(basis, call).cautions:
                if one.caution.level == "stop" and one.lifted is None:
                    call = call.handle(one.caution.name, lifted=event.reason)
    return call


def said_in(tree: Tree, question: str, typed: str) -> str | None:
    """The answer in what was typed for a question; None where it only named it."""
    if typed.startswith(2 * BY_NAME):
        return typed.removeprefix(BY_NAME)
    if not typed.startswith(BY_NAME):
        return typed
    # The desk found out which question was meant; no other needs to be looked through again.
    alone = replace(tree, questions={question: tree.questions[question]})
    try:
        words = fact_named(alone, typed.removeprefix(BY_NAME)).said
    except Unclear:
        return None
    return words if words.strip() else None
