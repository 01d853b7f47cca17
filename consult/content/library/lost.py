"""What protects callers less than before, such as cautions that some would not hear any more."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from consult.content.library.covers import no_longer
from consult.content.names_in_words import quantity_in_words, question_in_words, unit_of
from consult.tree.load import load_tree

if TYPE_CHECKING:
    from consult.content.library.covers import Told
    from consult.tree.model import Caution, Tree
    from consult.tree.nodes import Value

LEVELS = ("note", "refer", "stop")
EVERY = "every_caution"
"""Stands for all cautions, where what is live cannot be read any more."""


@dataclass(frozen=True, slots=True)
class Weaker:
    """One way in which something protects less; publishing needs a reason for each such thing."""

    what: str
    """ "caution.numb_legs", "contact.GB.emergency"; what a reason is given for."""
    why: str
    """A plain sentence."""
    level: str = ""
    """Of a caution."""


def lost_in_folders(old: Path, new: Path, mains: list[str]) -> list[Weaker]:
    """What is lost in the main trees named, by comparing them alone."""
    found: dict[Weaker, None] = {}
    for name in mains:
        found.update(dict.fromkeys(_lost_in_file(old / name, new / name)))
    return list(found)


def _lost_in_file(old: Path, new: Path) -> Iterator[Weaker]:
    if not old.is_file():
        return
    before = load_tree(old, filled=False).tree
    if before is None:
        why = (
            f"{old} cannot be read by this version of consult, so removed warnings cannot be "
            "found. Compare the cautions yourself."
        )
        yield Weaker(EVERY, why)
        return
    if not new.is_file():
        for caution in before.cautions:
            yield _lost(caution, f"Its tree {new.name} was removed.")
        return
    after = load_tree(new, filled=False).tree
    if after is not None:
        yield from lost_in_trees(before, after)


def lost_in_trees(old: Tree, new: Tree) -> Iterator[Weaker]:
    """Cautions removed, renamed, lowered, or with a condition that no longer covers what it did."""
    after = {caution.name: caution for caution in new.cautions}
    for caution in old.cautions:
        now = after.get(caution.name)
        if now is None:
            twin = next((each.name for each in new.cautions if each.say == caution.say), None)
            renamed = f"It was renamed to '{twin}'." if twin else "It was removed."
            yield _lost(caution, renamed)
            continue
        if LEVELS.index(now.level) < LEVELS.index(caution.level):
            yield _lost(caution, f"It was lowered from {caution.level} to {now.level}.")
        told = no_longer(caution.when, now.when, (old, new))
        if told is not None:
            yield _lost(
                caution, f"It no longer applies, for example, where {_words(told, new, old)}."
            )
        for name in sorted(caution.when.names & old.questions.keys() & new.questions.keys()):
            one, other = old.questions[name], new.questions[name]
            if one.unit != other.unit:
                how = f"'{name}' is read in {other.unit or 'no unit'}, before in {one.unit}"
                yield _lost(caution, f"Its condition now means something else: {how}.")


def _lost(caution: Caution, why: str) -> Weaker:
    return Weaker(f"caution.{caution.name}", why, caution.level)


def _words(told: Told, *trees: Tree) -> str:
    return " and ".join(f"{_name(name)} is {_value(name, told[name], trees)}" for name in told)


def _name(name: str) -> str:
    return quantity_in_words(name) if "." in name else question_in_words(name)


def _value(name: str, value: Value | None, trees: tuple[Tree, ...]) -> str:
    asked = [tree.questions[name] for tree in trees if name in tree.questions]
    if value is None:
        return "not known"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (str, frozenset)):
        names = sorted(value) if isinstance(value, frozenset) else [value]
        labels = {each: label for one in reversed(asked) for each, label in one.choices.items()}
        return " and ".join(f"“{labels.get(each, each)}”" for each in names)
    if isinstance(value, float):
        unit = unit_of(name, trees[0]) or unit_of(name, trees[-1])
        return f"{value:g}{f' {unit}' if unit else ''}"
    return str(value)
