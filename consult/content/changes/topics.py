"""Differences in topics: which there are, their lines in the list, what opens them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from consult.content.changes.conditions import now_when, said, same
from consult.content.changes.words import Change, Weight, moved, named, only_in, reworded

if TYPE_CHECKING:
    from consult.tree.model import Topic, Tree


def topic_changes(old: Tree, new: Tree) -> Iterator[Change]:
    """Topics that were added, removed or changed."""
    for name in only_in(old.topics, new.topics):
        yield Change(Weight.WAY, f"The topic {named(name)} was removed.")
    for name in only_in(new.topics, old.topics):
        yield Change(Weight.WAY, f"The topic {named(name)} is new.")
    for name, behind in moved(list(old.topics), list(new.topics)):
        place = f"after {named(behind)}" if behind else "first"
        yield Change(Weight.REST, f"The topic {named(name)} moved: it is now {place}.")
    for name, one in old.topics.items():
        other = new.topics.get(name)
        if other is None:
            continue
        what = f"The topic {named(name)}"
        if one.title != other.title:
            yield Change(Weight.WORDS, reworded(what, one.title, other.title, "is called"))
        if one.changes != other.changes:
            yield Change(Weight.WORDS, reworded(what, one.changes, other.changes, "could change"))
        yield from _opening(one, other, (old, new))


def _opening(old: Topic, new: Topic, trees: tuple[Tree, Tree]) -> Iterator[Change]:
    what, one, other = f"The topic {named(old.name)}", old.open_when, new.open_when
    # Where a caution rests on an answer, fewer calls may hear the question.
    names = {*old.questions, *new.questions}
    guards = not all(caution.when.names.isdisjoint(names) for caution in trees[0].cautions)
    weight, about = (Weight.SAFETY, f"topic.{old.name}") if guards else (Weight.WAY, "")
    if one is None and other is not None:
        yield Change(weight, f"{what} now opens by itself when {said(other, trees[1])}.", about)
    elif one is not None and other is None:
        text = f"{what} no longer opens by itself; before, it was when {said(one, trees[0])}."
        yield Change(weight, text, about, guards)
    elif one is not None and other is not None and not same(one, other):
        text = now_when(f"The opening of {named(old.name)}", one, other, trees)
        yield Change(weight, text, about, guards)
