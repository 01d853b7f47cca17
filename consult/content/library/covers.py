"""Whether a changed condition is still true for every caller it was true for.

Found by trying answers, not by proof: every answer that the two conditions can tell apart, in all
combinations where those are not too many, else in many drawn with a fixed seed.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from itertools import combinations, product
from math import prod
from typing import TYPE_CHECKING

from consult.content.effect.renamed import renamed_questions
from consult.tree.condition import children
from consult.tree.nodes import Choice, Name, Node, Number, Value
from consult.tree.quantities import QUANTITIES

if TYPE_CHECKING:
    from consult.tree.condition import Condition
    from consult.tree.model import Question, Tree

MOST = 20_000
"""Combinations of answers tried."""
_TOGETHER = 3
"""Choices of one question tried together, at most, besides all of them."""

Told = Mapping[str, Value | None]


def no_longer(old: Condition, new: Condition, trees: tuple[Tree, Tree]) -> Told | None:
    """Answers for which the old condition counts and the new does not; None where none is found.

    A question that was only renamed is the same question; what is given back has its new name.
    """
    if old.text.split() == new.text.split():
        return None
    called = renamed_questions(*trees)
    named = {called.get(each, each) for each in old.names} | new.names
    names = sorted(each for each in named if _is_asked(each, trees))
    numbers = sorted({*_numbers(old.node), *_numbers(new.node)})
    mentioned = {*_choices(old.node), *_choices(new.node)}
    domains = [_domain(name, trees, numbers, mentioned) for name in names]
    for values in _tried(domains):
        told = dict(zip(names, values, strict=True))
        before = {**told, **{was: told.get(now) for was, now in called.items()}}
        if old.evaluate(before.get) is True and new.evaluate(told.get) is not True:
            return told
    return None


def _is_asked(name: str, trees: tuple[Tree, Tree]) -> bool:
    return "." in name or any(name in tree.questions for tree in trees)


def _tried(domains: Sequence[Sequence[Value | None]]) -> Iterator[tuple[Value | None, ...]]:
    if prod(map(len, domains)) <= MOST:
        yield from product(*domains)
        return
    draw = random.Random(0)
    for _ in range(MOST):
        yield tuple(draw.choice(domain) for domain in domains)


def _domain(
    name: str, trees: tuple[Tree, Tree], numbers: Sequence[float], mentioned: set[str]
) -> list[Value | None]:
    asked = [tree.questions[name] for tree in trees if name in tree.questions]
    if not asked:
        owner, _, rest = name.partition(".")
        kind = QUANTITIES.get(owner, {}).get(rest)
        return [None, True, False] if kind == "yes-no" else [None, *_around(numbers)]
    return [
        None,
        *dict.fromkeys(value for one in asked for value in _answers(one, numbers, mentioned)),
    ]


def _answers(asked: Question, numbers: Sequence[float], mentioned: set[str]) -> Iterator[Value]:
    match asked.answer:
        case "yes-no":
            yield from (True, False)
        case "choice":
            yield from asked.choices
        case "choices":
            yield from (frozenset((name,)) for name in asked.choices)
            told = [name for name in asked.choices if name in mentioned and name != asked.exclusive]
            for count in (*range(2, _TOGETHER + 1), len(told)):
                yield from (frozenset(each) for each in combinations(told, count))
        case "date":
            yield from (date(2026, 1, 1), date(2026, 6, 1), date(2026, 12, 31))
        case "text":
            yield "said"
        case _:
            yield from _around(numbers)


def _around(numbers: Sequence[float]) -> Iterator[float]:
    """Every number that is written, and one on either side of it."""
    for number in numbers or (1.0,):
        step = max(abs(number), 1.0) / 1000
        yield from (number - step, number, number + step)


def _numbers(node: Node) -> Iterator[float]:
    if isinstance(node, Number):
        yield node.value
    for inner in children(node):
        yield from _numbers(inner)


def _choices(node: Node) -> Iterator[str]:
    if isinstance(node, (Choice, Name)):
        yield node.name
    for inner in children(node):
        yield from _choices(inner)
