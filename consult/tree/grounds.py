"""Why a condition is true: the questions, and the choices of them, that make it so."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from consult.tree.condition import named
from consult.tree.nodes import And, Compare, Name, Not, Or, compiled_truth

if TYPE_CHECKING:
    from consult.tree.nodes import Lookup, Node, Value

Ground = tuple[str, str | bool | None]
"""A question (or ``fit.`` or ``body.`` quantity), and the choice of it; None for what has none."""


def grounds(node: Node, lookup: Lookup) -> frozenset[Ground]:
    """Everything a condition is true through; nothing where it is not true.

    Of parts joined by ``or`` those that are true count, of parts joined by ``and`` all do. A part
    about a whole list (``signs != none``) is true through each choice that was made.
    """
    return frozenset(_grounds(node, lookup, wanted=True))


def items(value: Value | None) -> frozenset[str | bool | None]:
    """An answer as the choices it makes; of a number, a text or a date only that there is one."""
    if isinstance(value, frozenset):
        return frozenset(value)
    if value is None:
        return frozenset()
    return frozenset([value if isinstance(value, (str, bool)) else None])


def _grounds(node: Node, lookup: Lookup, *, wanted: bool) -> Iterator[Ground]:
    if compiled_truth(node)(lookup) is not wanted:
        return
    match node:
        case Not(of=inner):
            yield from _grounds(inner, lookup, wanted=not wanted)
        case And(parts=parts) | Or(parts=parts):
            # Where all of them are needed, each is as wanted; where one is enough, some are not.
            for part in parts:
                yield from _grounds(part, lookup, wanted=wanted)
        case Compare(parts=(part, Name(name=name)), signs=("in",)) if wanted:
            choice = part.compiled()(lookup)
            yield name, choice if isinstance(choice, str) else None
        case _:
            for one in named(node):
                if isinstance(one, Name):
                    yield from ((one.name, item) for item in items(lookup(one.name)))
