"""Which answers and cautions of a tree tell about the caller's health."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from consult.tree.model import Tree


@dataclass(frozen=True, slots=True)
class Private:
    """Names whose content may only be kept with consent."""

    questions: frozenset[str]
    telling: frozenset[str]
    """Cautions that apply because of a health answer: that one was raised tells of it."""
    stops: frozenset[str]
    """Those that end product advice; that a call was stopped is always kept."""


def private_of(tree: Tree) -> Private:
    """What a tree calls private; the same rule as ``call.without_health``."""
    health = frozenset(n for n, question in tree.questions.items() if question.private == "health")
    telling = frozenset(one.name for one in tree.cautions if one.when.names & health)
    stops = frozenset(one.name for one in tree.cautions if one.level == "stop")
    return Private(health, telling, stops)
