"""What calls begin with, with what was learned from the maker's own calls."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from consult.tree.learned import Learned
    from consult.tree.model import Tree


def with_times(tree: Tree, learned: Learned) -> Tree:
    """The tree whose questions take the seconds that were learned."""
    seconds = learned.of("time")
    if not seconds.keys() & tree.questions.keys():
        return tree
    questions = {
        name: replace(one, seconds=seconds.get(name)) for name, one in tree.questions.items()
    }
    return replace(tree, questions=questions)
