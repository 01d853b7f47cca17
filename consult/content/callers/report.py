"""How simulated callers fare in a tree: how long calls are, what they come to, what goes wrong."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from statistics import median
from typing import TYPE_CHECKING

from consult.call.coverage import Piece, come_to, pieces_of
from consult.content.callers.faults import Fault, Kind, Pieces, advice_pieces, faults

if TYPE_CHECKING:
    from consult.call.state import State
    from consult.tree.model import Tree

_MOST = 6
"""Answers in a sample; more are not read."""


@dataclass(frozen=True, slots=True)
class Lengths:
    """How many questions a call has."""

    shortest: int
    median: float
    longest: int
    of: int
    """Questions in the tree: a call that asked every one would be so long."""

    @property
    def share(self) -> float:
        """The part of all questions that the median caller is asked, 0 to 1."""
        return self.median / self.of


@dataclass(frozen=True, slots=True)
class Trouble:
    """One thing that must not happen, and how often it did."""

    kind: Kind
    what: str
    callers: int
    sample: int
    """Number of the first caller it happens to."""
    answers: tuple[str, ...]
    """What that caller said that bears on it: "hours: 9"; the last of them where that is much."""


@dataclass(frozen=True, slots=True)
class Report:
    """Everything that simulated callers show of a tree."""

    tree: str
    version: str
    callers: int
    stopped: int
    """Callers whom a stop ends the call for."""
    lengths: Lengths
    met: Mapping[Piece, int]
    """Every piece of the tree, in its order -> how many callers came to it."""
    troubles: tuple[Trouble, ...]

    @property
    def unmet(self) -> tuple[Piece, ...]:
        """What nobody came to. Somebody may all the same: ``consult check --prove`` finds out."""
        return tuple(piece for piece, count in self.met.items() if not count)


def report(
    tree: Tree, ended: Iterable[tuple[int, State]], pieces: Pieces = advice_pieces
) -> Report:
    """Count what came of calls, each with the number of its caller; at least one.

    ``pieces`` says what the documents of a call have the caller move.
    """
    met = dict.fromkeys(pieces_of(tree), 0)
    places = {(piece.part, piece.name): piece for piece in met}
    lengths: list[int] = []
    stopped = 0
    found: dict[tuple[Kind, str], Trouble] = {}
    for number, now in ended:
        lengths.append(len(now.steps))
        stopped += now.stopped is not None
        for one in come_to(now):
            met[places[one]] += 1
        for fault in faults(tree, now, pieces):
            key = (fault.kind, fault.what)
            before = found.get(key)
            if before is None:
                found[key] = Trouble(*key, 1, number, _answers(fault, now))
            else:
                found[key] = _once_more(before)
    return Report(
        tree=tree.name,
        version=tree.version,
        callers=len(lengths),
        stopped=stopped,
        lengths=Lengths(min(lengths), median(lengths), max(lengths), len(tree.questions)),
        met=met,
        troubles=tuple(found.values()),
    )


def _once_more(one: Trouble) -> Trouble:
    return Trouble(one.kind, one.what, one.callers + 1, one.sample, one.answers)


def _answers(fault: Fault, now: State) -> tuple[str, ...]:
    told = [step.answer for step in now.steps if step.answer is not None]
    bearing = [answer for answer in told if answer.question in fault.about]
    # What is worked out rests on the whole call; its end tells most.
    return tuple(f"{a.question}: {a.said}" for a in (bearing or told)[-_MOST:])
