"""Problems of several trees and of the quick check, told once each."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from consult.content.prove.appearing import items

if TYPE_CHECKING:
    from consult.content.prove.model import Proofs
    from consult.problems import Problem, Where
    from consult.tree.model import Tree

_ALIKE = {
    "never-reached": "never",
    "never-wins": "never",
    "always-false": "never",
    "promise-idle": "never",
    "always-true": "always",
}
"""Rules that say the same of one piece; whatever says "no caller" has to hold in every tree."""


def dead_somewhere(proofs: Iterable[Proofs]) -> bool:
    """Whether something is told that another tree with the same sub-tree may take back."""
    return any(problem.rule in _ALIKE for one in proofs for problem in one.problems)


def together(proofs: Sequence[Proofs]) -> list[Problem]:
    """The problems of several trees: what a sub-tree says for nobody counts where no tree needs it.

    A piece of a sub-tree that one main tree never comes to is not dead while another uses it.
    """
    found: dict[Problem, None] = {}
    for one in proofs:
        for problem in one.problems:
            sharing = [other for other in proofs if problem.where.file in other.files]
            if problem.rule not in _ALIKE or all(_told(problem, other) for other in sharing):
                found[problem] = None
    return list(found)


def beyond(
    quick: Iterable[Problem], proven: Iterable[Problem], trees: Iterable[Tree]
) -> list[Problem]:
    """Of what was proven, that which the quick check did not say of the same piece already."""
    starts: dict[str, set[int]] = defaultdict(set)
    ways: dict[str, set[int]] = defaultdict(set)
    for tree in trees:
        for where in (item.where for item in items(tree)):
            starts[where.file].add(where.line)
        for question in tree.questions.values():
            for route in question.routes:
                ways[route.where.file].add(route.where.line)
    begin = {file: sorted(lines) for file, lines in starts.items()}
    end = {file: sorted(lines) for file, lines in ways.items()}

    def piece(where: Where) -> tuple[str, int, int]:
        # A block goes on to the next one's first line, a route up to the line that says where to.
        file = where.file
        after, before = begin.get(file, []), end.get(file, [])
        return file, bisect_right(after, where.line), bisect_left(before, where.line)

    said = {(piece(one.where), _ALIKE.get(one.rule, one.rule)) for one in quick}
    return [one for one in proven if (piece(one.where), _ALIKE.get(one.rule, one.rule)) not in said]


def _told(problem: Problem, proofs: Proofs) -> bool:
    return any((each.where, each.rule) == (problem.where, problem.rule) for each in proofs.problems)
