"""Conditions of two trees, compared and put in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.content.wording_of_conditions import in_words

if TYPE_CHECKING:
    from consult.tree.condition import Condition
    from consult.tree.model import Tree

LONGEST = 400
"""Characters of a condition in words; a longer one is shown as it is written."""


def said(condition: Condition, tree: Tree) -> str:
    """A condition in words, as the part of a sentence after "when"."""
    words = in_words(condition, tree)
    if len(words) <= LONGEST:
        return words
    return words[: LONGEST - 1] + "…"


def same(old: Condition | None, new: Condition | None) -> bool:
    """Whether two conditions are written alike, but for spaces."""
    if old is None or new is None:
        return old is new
    return old.text.split() == new.text.split()


def now_when(what: str, old: Condition, new: Condition, trees: tuple[Tree, Tree]) -> str:
    """ "The caution 'a' now counts when …; before, when …."."""
    before, after = said(old, trees[0]), said(new, trees[1])
    if before == after:
        # Written otherwise, or longer than is shown: the text of it tells them apart.
        return f"{what} has its condition written differently: {new.text}; before: {old.text}."
    return f"{what} now counts when {after}; before, when {before}."
