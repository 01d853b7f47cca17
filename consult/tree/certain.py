"""What a condition can evaluate to where some answers are fixed and all others are left open."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from functools import lru_cache, reduce

from consult.tree.condition import Condition, ConditionError, named, parse_condition
from consult.tree.kleene import Truth, conjunction, disjunction, negation
from consult.tree.nodes import And, Compare, Name, Node, Not, Or, Value, compiled_truth
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
        return frozenset((compiled_truth(node)(fixed.get),))
    return OPEN


def _joined(parts: Iterable[Node], fixed: Mapping[str, Value | None]) -> Outcomes:
    return reduce(
        lambda left, right: frozenset(conjunction((one, other)) for one in left for other in right),
        (outcomes(part, fixed) for part in parts),
    )


def possible(
    text: str | None, fixed: Mapping[str, Value | None], questions: Collection[str]
) -> Outcomes:
    """The same of a condition as written; OPEN where it cannot be read, false where it is none."""
    if text is None:
        return frozenset((False,))
    condition = _parsed(text)
    if condition is None:
        return OPEN
    names = frozenset(each for each in condition.names if each in questions)
    read = tuple((name, fixed[name]) for name in sorted(names) if name in fixed)
    return _worked_out(text, names, read)


# A check runs after every key in an editor; all conditions but one are as they were.
@lru_cache(maxsize=4096)
def _parsed(text: str) -> Condition | None:
    try:
        return parse_condition(text)
    except ConditionError:
        return None


@lru_cache(maxsize=4096)
def _worked_out(
    text: str, questions: frozenset[str], fixed: tuple[tuple[str, Value | None], ...]
) -> Outcomes:
    return outcomes(parse_condition(text).resolve(questions).node, dict(fixed))
