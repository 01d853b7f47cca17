"""Promises of the safety floor, which hold of every main tree and stand in no file of trees."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from consult.tree.condition import CALL_STOPPED, Condition, named
from consult.tree.floor import the_floor
from consult.tree.floor_ways import FACTS_OF_A_CHAIR
from consult.tree.model import Always
from consult.tree.nodes import And, Choice, Compare, Name, Node, Or

if TYPE_CHECKING:
    from consult.tree.model import Question, Tree

FLOOR = "safety_floor_"
"""How the name of each of these promises begins."""
_BECAUSE = "The safety floor holds of every tree."


def floor_promises(tree: Tree, *, with_chairs: bool) -> Iterator[Always]:
    """What is proven of a tree besides what it promises itself.

    ``with_chairs``: it advises from a range of chairs, so that the signs come before any of it.
    """
    lists = [question for question in tree.questions.values() if question.signs]
    for question in lists:
        yield from _signs_are_heeded(question, tree)
    if with_chairs and tree.advises == "the_sitter":
        yield from _signs_come_first(lists, tree)
    yield from _health_after_consent(tree)


def _signs_are_heeded(question: Question, tree: Tree) -> Iterator[Always]:
    floor = the_floor()
    milder = [
        choice
        for choice, signs in question.signs.items()
        if all(floor.signs[sign].gravity == "clinician" for sign in signs)
    ]
    graver = [choice for choice in question.choices if choice not in (*milder, question.exclusive)]
    said = _any(_said(question, choice) for choice in graver)
    yield _promise(f"{FLOOR}{question.name}_stops", question, said, Name(CALL_STOPPED, 0))
    if milder:
        heard = [
            Name(f"caution.{caution.name}", 0)
            for caution in tree.cautions
            if caution.level != "note" and question.name in caution.when.names
        ]
        said = _any(_said(question, choice) for choice in milder)
        then = _any((Name(CALL_STOPPED, 0), *heard))
        yield _promise(f"{FLOOR}{question.name}_is_referred", question, said, then)


def _signs_come_first(lists: list[Question], tree: Tree) -> Iterator[Always]:
    chair: list[Node] = [
        Name(f"asked.{question.name}", 0)
        for question in tree.questions.values()
        if question.measures or question.sets in FACTS_OF_A_CHAIR
    ]
    chair += [Name(f"advice.{advice.name}", 0) for advice in tree.advice if advice.moves]
    chair += [Name(f"need.{need.name}", 0) for need in tree.needs]
    asking = {
        sign: tuple(
            question.name
            for question in lists
            if any(sign in signs for signs in question.signs.values())
        )
        for sign in the_floor().signs
    }
    if not chair or not lists or not all(asking.values()):
        # A sign that is not asked at all is an error of the check.
        return
    heard = tuple(
        _any(Name(f"asked.{name}", 0) for name in names) for names in dict.fromkeys(asking.values())
    )
    yield _promise(f"{FLOOR}signs_before_a_chair", lists[0], _any(chair), And(heard, 0))


def _health_after_consent(tree: Tree) -> Iterator[Always]:
    consents = [each for each in tree.questions.values() if each.sets == "consent"]
    asked = [
        Name(f"asked.{question.name}", 0)
        for question in tree.questions.values()
        if question.private == "health" and not question.stored_with_consent
    ]
    if consents and asked:
        agreed = _any(Name(question.name, 0) for question in consents)
        yield _promise(f"{FLOOR}health_after_consent", consents[0], _any(asked), agreed)


def _said(question: Question, choice: str) -> Node:
    pair: tuple[Node, Node] = (Choice(choice, 0), Name(question.name, 0))
    if question.answer == "choices":
        return Compare(pair, ("in",), 0)
    return Compare(pair, ("==",), 0)


def _any(parts: Iterable[Node]) -> Node:
    return Or(tuple(parts), 0)


def _promise(name: str, question: Question, when: Node, then: Node) -> Always:
    if_, then_ = (
        Condition(name, node, frozenset(each.name for each in named(node))) for node in (when, then)
    )
    return Always(name, question.where, if_, then_, because=_BECAUSE)
