"""Find renamed pieces: a new name alone has no impact on callers."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Mapping
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from consult.tree.model import Caution, Question, Tree

Item = TypeVar("Item")


def renamed_questions(old: Tree, new: Tree) -> dict[str, str]:
    """Old name -> new name of the questions that only their name tells apart.

    Such a question is of the same kind, with the same choices, and asks the same words or, where
    no other does, measures or sets the same thing.
    """
    found: dict[str, str] = {}
    marks: tuple[Callable[[Question], Hashable], ...] = (
        lambda one: one.ask,
        lambda one: one.measures,
        lambda one: one.sets,
    )
    for mark in marks:
        found |= _paired(old.questions, new.questions, _looks(mark), found)
    return found


def renamed_cautions(old: Tree, new: Tree) -> dict[str, str]:
    """Old name -> new name of the cautions that say the same, as gravely, under another name."""

    def looks(one: Caution) -> Hashable:
        return one.level, one.say, one.contact

    return _paired(_named(old.cautions), _named(new.cautions), looks, {})


def renamed_advice(old: Tree, new: Tree) -> dict[str, str]:
    """Old name -> new name of the advice that says the same under another name."""
    return _paired(
        {one.name: one for one in old.advice},
        {one.name: one for one in new.advice},
        lambda one: (one.topic, one.say),
        {},
    )


def _named(cautions: Iterable[Caution]) -> dict[str, Caution]:
    return {one.name: one for one in cautions}


def _looks(mark: Callable[[Question], Hashable]) -> Callable[[Question], Hashable]:
    def looks(one: Question) -> Hashable:
        marked = mark(one)
        return (marked, one.answer, tuple(one.choices), one.exclusive) if marked else None

    return looks


def _paired(
    old: Mapping[str, Item],
    new: Mapping[str, Item],
    looks: Callable[[Item], Hashable],
    taken: Mapping[str, str],
) -> dict[str, str]:
    """Those only in the old and only in the new that look alike, where just one of each does."""
    gone = [name for name in old if name not in new and name not in taken]
    came = [name for name in new if name not in old and name not in taken.values()]
    were, are = _by_looks(gone, old, looks), _by_looks(came, new, looks)
    return {
        names[0]: are[how][0]
        for how, names in were.items()
        if how is not None and len(names) == 1 and len(are.get(how, ())) == 1
    }


def _by_looks(
    names: Iterable[str], items: Mapping[str, Item], looks: Callable[[Item], Hashable]
) -> dict[Hashable, list[str]]:
    found: dict[Hashable, list[str]] = {}
    for name in names:
        found.setdefault(looks(items[name]), []).append(name)
    return found
