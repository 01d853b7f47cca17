"""What a condition can evaluate to where some answers are fixed and all others are left open."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import reduce

from consult.tree.condition import named
from consult.tree.kleene import Truth, conjunction, disjunction, negation
from consult.tree.nodes import And, Compare, Name, Node, Not, Or, Value, truth
from consult.tree.tables import pairs_of

Outcomes = frozenset[Truth]

OPEN: Outcomes = frozenset((True, False, None))
"""Of a condition of which nothing is certain."""
TRUE: Outcomes = frozenset((True,))
"""Of a condition that is true whatever else is answered."""


def outcomes(node: Node, fixed: Mapping[str, Value | None]) -> Outcomes:
    """Every value the condition can have; never fewer than it has, and sometimes more.

    ``fixed`` maps a name to its answer, None for one that is surely not known. Whatever reads any
    other name may be true, false or unknown.
    """
    match node:
        case Not(of=inner):
            return frozenset(negation(each) for each in outcomes(inner, fixed))
        case And(parts=parts):
            return _joined(parts, fixed)
        case Or(parts=parts):
            return reduce(
                lambda left, right: frozenset(
                    disjunction((one, other)) for one in left for other in right
                ),
                (outcomes(part, fixed) for part in parts),
            )
        case Compare() if len(node.signs) > 1:
            return _joined(pairs_of(node), fixed)
    if all(each.name in fixed for each in named(node) if isinstance(each, Name)):
        return frozenset((truth(node, fixed.get),))
    return OPEN


def _joined(parts: Iterable[Node], fixed: Mapping[str, Value | None]) -> Outcomes:
    return reduce(
        lambda left, right: frozenset(conjunction((one, other)) for one in left for other in right),
        (outcomes(part, fixed) for part in parts),
    )
