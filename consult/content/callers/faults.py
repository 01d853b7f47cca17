"""Faults of one simulated call, in any tree."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from consult.moves import MovePiece, opposed

if TYPE_CHECKING:
    from consult.call.state import State
    from consult.tree.model import Tree

Kind = Literal["stuck", "contradiction", "opposed", "advice after a stop", "health before consent"]
Pieces = Callable[["State"], Iterable[MovePiece]]
"""What the documents of a call have the reader move."""


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault of a call."""

    kind: Kind
    what: str
    """The question, or both pieces of advice, by name; what is opposed, with the thing moved."""
    about: frozenset[str]
    """Questions whose answers led there."""


def advice_pieces(now: State) -> Iterator[MovePiece]:
    """What the advice and the notes of a call have the caller move, without any document."""
    for given in now.advice:
        one = given.advice
        yield MovePiece(f"advice '{one.name}'", one.moves, one.may_move)
    for note in now.fit.notes if now.fit is not None else ():
        yield MovePiece(f"note '{note.name}'", note.moves, note.may_move)


def faults(tree: Tree, now: State, pieces: Pieces = advice_pieces) -> Iterator[Fault]:
    """Every fault at the end of a fully answered call.

    ``pieces`` says what the call's documents have the caller move; opposed ones are a fault.
    """
    if now.current is not None:
        name = now.current.name
        yield Fault("stuck", f"'{name}'", frozenset([name]))
    yield from _contradictions(tree, now)
    about = {f"advice '{one.advice.name}'": one.advice.when.names for one in now.advice}
    for pair in opposed(pieces(now)):
        both = (about.get(piece.name, frozenset()) for piece in (pair.one, pair.other))
        yield Fault("opposed", str(pair), frozenset[str]().union(*both))
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
