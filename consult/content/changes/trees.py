"""Differences between two trees, for people who do not read YAML."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from consult.content.changes.questions import question_changes
from consult.content.changes.rules import rule_changes
from consult.content.changes.topics import topic_changes
from consult.content.changes.words import Change, Weight, named, only_in, reworded

if TYPE_CHECKING:
    from consult.tree.model import Tree


def changes(old: Tree, new: Tree) -> list[Change]:
    """Every difference but the places in the files, the most serious first."""
    found = [*rule_changes(old, new), *question_changes(old, new), *topic_changes(old, new)]
    found += _of_the_tree(old, new)
    # Sorting keeps the order within one weight, which is that of the tree.
    return list(dict.fromkeys(sorted(found, key=lambda each: each.weight)))


def _of_the_tree(old: Tree, new: Tree) -> Iterator[Change]:
    if old.first != new.first:
        text = f"A call now starts with {named(new.first)}; before, with {named(old.first)}."
        yield Change(Weight.WAY, text)
    if old.after_stop != new.after_stop:
        now, then = (
            f"goes on with {named(each)}" if each else "ends"
            for each in (new.after_stop, old.after_stop)
        )
        text = f"After a stop caution a call now {now}; before, it {then}."
        yield Change(Weight.SAFETY, text, f"tree.{old.name}", weaker=True)
    if old.advises != new.advises:
        now, then = (each.replace("_", " ") for each in (new.advises, old.advises))
        text = f"The tree {named(old.name)} now advises {now}; before, {then}."
        yield Change(Weight.SAFETY, text, f"tree.{old.name}", new.advises == "a_buyer")
    if old.fits != new.fits:
        now = "A chair is now worked out" if new.fits else "No chair is worked out any more"
        yield Change(Weight.ADVICE, f"{now} in this tree.")
    if old.title != new.title:
        yield Change(Weight.WORDS, reworded("The title", old.title, new.title))
    if old.name != new.name:
        yield Change(
            Weight.REST, f"The tree is now called {named(new.name)}, not {named(old.name)}."
        )
    if old.version != new.version:
        yield Change(Weight.REST, f"The version is now {new.version}; it was {old.version}.")
    before, after = ([Path(file).name for file in tree.files] for tree in (old, new))
    for file in only_in(after, before):
        yield Change(Weight.WAY, f"The file {file} is now part of the tree.")
    for file in only_in(before, after):
        yield Change(Weight.WAY, f"The file {file} is no longer part of the tree.")
