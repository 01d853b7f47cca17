"""What may be the matter with one simulated call, whatever tree it was led through."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from consult.call.state import State
    from consult.tree.model import Tree

Kind = Literal["stuck", "contradiction", "advice after a stop", "health before consent"]


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that must not happen to anybody."""

    kind: Kind
    what: str
    """The question, or both pieces of advice, by name."""
    about: frozenset[str]
    """Questions whose answers led there."""


def faults(tree: Tree, now: State) -> Iterator[Fault]:
    """Everything wrong at the end of a call in which whatever was asked was answered."""
    if now.current is not None:
        name = now.current.name
        yield Fault("stuck", f"'{name}'", frozenset([name]))
    yield from _contradictions(tree, now)
    if now.stopped is not None:
        for given in now.advice:
            said = f"'{given.advice.name}' after '{now.stopped.name}'"
            yield Fault("advice after a stop", said, given.advice.when.names)
    yield from _health_too_soon(now)


def _contradictions(tree: Tree, now: State) -> Iterator[Fault]:
    given = {one.advice.name: one.advice for one in now.advice}
    for advice in tree.advice:
        for other in advice.contradicts:
            if advice.name in given and other in given:
                about = advice.when.names | given[other].when.names
                yield Fault("contradiction", f"'{advice.name}' with '{other}'", about)


def _health_too_soon(now: State) -> Iterator[Fault]:
    """Answers about health that were asked for before a clear yes, but the warning signs."""
    consent = False
    for step in now.steps:
        if step.question.sets == "consent":
            consent = step.understood is not None and step.understood.value is True
        elif step.question.private == "health" and not consent and step.answer is not None:
            if step.question.stored_with_consent:
                continue
            name = step.question.name
            if not step.question.stored_with_consent:
                yield Fault("health before consent", f"'{name}'", frozenset([name]))
