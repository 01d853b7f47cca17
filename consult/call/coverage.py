"""Which pieces of a tree calls reached: questions, cautions, advice and needs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, get_args

if TYPE_CHECKING:
    from consult.call.state import State
    from consult.problems import Where
    from consult.tree.model import Tree

Part = Literal["question", "caution", "advice", "need"]

PARTS: tuple[Part, ...] = get_args(Part)
"""The parts of a tree that a call can come to, in the order they are told in."""

PLURAL: Mapping[Part, str] = {
    "question": "questions",
    "caution": "cautions",
    "advice": "advice",
    "need": "needs",
}


@dataclass(frozen=True, slots=True)
class TreePiece:
    """One question, caution, piece of advice or need. A sub-tree's are the same in every tree."""

    part: Part
    name: str
    where: Where


@dataclass(frozen=True, slots=True)
class Coverage:
    """The pieces of one main tree that calls reached."""

    tree: str
    version: str
    calls: tuple[str, ...]
    """Names of the calls led with this tree, in the order given."""
    reached: Mapping[TreePiece, tuple[str, ...]]
    """Every piece of the tree -> the calls that came to it, other trees' calls among them."""

    @property
    def missed(self) -> tuple[TreePiece, ...]:
        """The pieces that no call reached, in the order of the tree."""
        return tuple(piece for piece, calls in self.reached.items() if not calls)

    @property
    def elsewhere(self) -> tuple[TreePiece, ...]:
        """The pieces reached only by calls of other trees, through a shared sub-tree."""
        own = set(self.calls)
        return tuple(p for p, calls in self.reached.items() if calls and own.isdisjoint(calls))


def pieces_of(tree: Tree) -> tuple[TreePiece, ...]:
    """Everything of a tree that a call can come to; no needs where no chair is worked out."""
    return (
        *(TreePiece("question", one.name, one.where) for one in tree.questions.values()),
        *(TreePiece("caution", one.name, one.where) for one in tree.cautions),
        *(TreePiece("advice", one.name, one.where) for one in tree.advice),
        *(TreePiece("need", one.name, one.where) for one in tree.needs if tree.fits),
    )


def come_to(now: State) -> Iterator[tuple[Part, str]]:
    """What one call came to: questions that were answered, and what was called for at its end."""
    for step in now.steps:
        if step.status in ("answered", "unknown"):
            yield "question", step.question.name
    yield from (("caution", raised.caution.name) for raised in now.cautions)
    yield from (("advice", given.advice.name) for given in now.advice)
    yield from (("need", need.name) for need in now.needs)


def coverage(calls: Sequence[tuple[str, Tree, State]]) -> tuple[Coverage, ...]:
    """What calls, each with its name and the main tree it was led with, came to between them.

    A piece of a sub-tree that several main trees take in is reached in all of them as soon as one
    call of any of them comes to it. Trees come in the order of their first call.
    """
    trees = {tree.name: tree for _, tree, _ in calls}
    places = {
        name: {(piece.part, piece.name): piece for piece in pieces_of(tree)}
        for name, tree in trees.items()
    }
    by_piece: dict[TreePiece, list[str]] = {}
    for call, tree, now in calls:
        for one in come_to(now):
            # A stop whose reason was not kept is no piece of any tree.
            if one in places[tree.name]:
                by_piece.setdefault(places[tree.name][one], []).append(call)
    return tuple(
        Coverage(
            tree=name,
            version=tree.version,
            calls=tuple(call for call, led_with, _ in calls if led_with.name == name),
            reached={piece: tuple(by_piece.get(piece, ())) for piece in places[name].values()},
        )
        for name, tree in trees.items()
    )
