"""The order in which a call can pass the questions of a tree."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from consult.tree.model import END

if TYPE_CHECKING:
    from collections.abc import Mapping

    from consult.tree.model import Tree


@dataclass(frozen=True, slots=True)
class Order:
    """The questions that routes lead to from one of them, each after all that can precede it."""

    names: tuple[str, ...]
    before: Mapping[str, frozenset[str]]
    """Question -> those that can have been passed when it comes."""


def order_from(tree: Tree, root: str) -> Order:
    """The order from ``root`` on. The tree has no circle: none is loaded that has."""
    last_first: list[str] = []
    done = {END}
    waiting = [(root, False)]
    while waiting:
        name, behind_done = waiting.pop()
        if behind_done:
            last_first.append(name)
        elif name not in done:
            done.add(name)
            waiting.append((name, True))
            waiting += [(route.go, False) for route in tree.questions[name].routes]
    names = tuple(reversed(last_first))
    before: dict[str, set[str]] = {name: set() for name in names}
    for name in names:
        for route in tree.questions[name].routes:
            if route.go != END:
                before[route.go] |= before[name] | {name}
    return Order(names, {name: frozenset(found) for name, found in before.items()})
