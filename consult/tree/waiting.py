"""What must be said before a condition can be true.

Most conditions of a tree read questions that are not asked in most calls. Unless one of them is
answered such a condition is not known, whatever it says of the answers, and need not be worked out.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from consult.tree.nodes import And, ChoiceName, Compare, Known, Minus, Name, Not, Number, Or, Sum

if TYPE_CHECKING:
    from consult.tree.nodes import Node


def can_tell_alone(node: Node) -> bool:
    """Whether it may be true or false with none of its names known."""
    match node:
        case Name() | ChoiceName() | Number():
            return False
        case Not(of=of):
            return can_tell_alone(of)
        case And(parts=parts) | Or(parts=parts):
            return any(can_tell_alone(part) for part in parts)
        case Compare(parts=parts):
            fixed = [_is_fixed(part) for part in parts]
            return any(one and other for one, other in pairwise(fixed))
    return True


def _is_fixed(node: Node) -> bool:
    """Whether it has a value whatever was said."""
    match node:
        case Name():
            return False
        case Minus(of=of):
            return _is_fixed(of)
        case Sum(left=left, right=right):
            return _is_fixed(left) and _is_fixed(right)
        case Known() | Not() | And() | Or() | Compare():
            return can_tell_alone(node)
    return True
