"""The topics of a call: which are open, what each could change, and how long it would take."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from consult.call.call import Answer
from consult.call.facts import Facts
from consult.call.route import read, walk
from consult.call.worth import seconds_of

if TYPE_CHECKING:
    from datetime import datetime

    from consult.call.basis import Basis
    from consult.call.state import State


@dataclass(frozen=True, slots=True)
class TopicLine:
    """A topic as the list of topics shows it."""

    name: str
    title: str
    changes: str
    status: Literal["open", "done", "closed"]
    """Done: nothing is left to ask of one that was open or told of."""
    questions: int
    """How many are left to ask, once it is open; all of a pool count."""
    seconds: float
    """How long they take."""


def topics_of(basis: Basis, now: State) -> tuple[TopicLine, ...]:
    """Every topic, in the order of the tree; none after a stop, which ends all of them."""
    if not basis.tree.topics or now.stopped is not None:
        return ()
    call = now.call
    # With everything open the way shows what is left of a closed topic, too.
    facts = Facts(basis, call.system, thorough=True)
    steps, _ = walk(basis.tree, call.latest(), facts, call.today, lambda *_: False)
    asked = {question.name for question in now.to_ask}
    found = []
    for topic in basis.tree.topics.values():
        mine = [step for step in steps if step.question.topic == topic.name]
        left = [step.question for step in mine if step.to_ask]
        gate = basis.tree.questions[topic.questions[0]].gate
        is_open = call.thorough or (gate is not None and gate.evaluate(facts.lookup) is True)
        if is_open and not any(name in asked for name in topic.questions):
            left = []
        status: Literal["open", "done", "closed"] = "open" if is_open else "closed"
        if not left and (is_open or mine):
            status = "done"
        seconds = sum(seconds_of(question) for question in left)
        found.append(TopicLine(topic.name, topic.title, topic.changes, status, len(left), seconds))
    return tuple(found)


def opening(basis: Basis, now: State, topic: str, at: datetime | None = None) -> Answer:
    """The adviser's answer that opens one topic more."""
    question = basis.tree.adviser_opens(topic)
    earlier = now.call.latest().get(question.name)
    understood = read(question, earlier, now.call.today).understood
    before = understood.value if understood else None
    names = {*(before if isinstance(before, frozenset) else ()), topic} - {question.exclusive}
    said = ", ".join(choice for choice in question.choices if choice in names)
    return Answer(question.name, said, note=earlier.note if earlier else "", at=at)
