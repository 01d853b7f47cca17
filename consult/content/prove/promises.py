"""Whether what a tree promises of every call holds: ``always``, ``contradicts`` and ``moves``."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING, Literal

from consult.content.prove.trying import Caller, HeldCall
from consult.content.prove.ways import Seeking, WitnessFound
from consult.moves import opposed_things
from consult.problems import Problem, Where
from consult.tree.condition import CALL_STOPPED, Condition
from consult.tree.floor import the_floor
from consult.tree.floor_ways import FACTS_OF_A_CHAIR
from consult.tree.model import Advice, Always, Question, Tree
from consult.tree.nodes import And, ChoiceName, Compare, Name, Node, Or, named

if TYPE_CHECKING:
    from consult.content.prove.symbols import Formula
    from consult.content.prove.walk import Walked

PromiseState = Literal["proven", "refuted", "not proven"]
_NO_SOLVER = "The solver is not installed; none of the random callers breaks it."
_REASONS: dict[WitnessFound, str] = {
    "not found": (
        "It depends on what the fit or the body estimate works out; no caller was found who "
        "breaks it."
    ),
    "not decided": "It takes the solver too long; no caller was found who breaks it.",
}


@dataclass(frozen=True, slots=True)
class Property:
    """A promise about every call, and how it stands."""

    name: str
    where: Where
    standing: PromiseState
    reason: str = ""
    """Why it is not proven, one plain sentence."""
    caller: Caller | None = None
    """Who breaks it, replayed; None unless refuted."""


def properties(tree: Tree, floor: Sequence[Always], seeking: Seeking) -> Iterator[Property]:
    """How each promise stands: those of the safety floor, then the tree's own."""
    for promise in (*floor, *tree.always):
        yield _kept(promise, seeking)
    for advice in tree.advice:
        for other in advice.contradicts:
            yield _apart(tree, advice, other, seeking)
    for advice, after in combinations(tree.advice, 2):
        stated = after.name in advice.contradicts or advice.name in after.contradicts
        if not stated and opposed_things(advice.moves, after.moves):
            yield _apart(tree, advice, after.name, seeking)


def promise_problems(tree: Tree, standings: list[Property], seeking: Seeking) -> Iterator[Problem]:
    """Promises that are broken, and promises about nobody."""
    idle = {always.where: always for always in tree.always}
    for promise in standings:
        if promise.standing == "refuted":
            says = promise.caller.says if promise.caller else ""
            message = f"'{promise.name}' is broken by a caller who says: {says}."
            fix = "Correct the conditions it is about, or the promise."
            if promise.name.startswith(FLOOR):
                fix = "Every tree must keep this promise. Correct the conditions."
            yield Problem(promise.where, message, fix, "promise-broken")
        elif promise.where in idle and _about_nobody(idle[promise.where], seeking):
            message = (
                f"'{promise.name}' promises nothing, because '{idle[promise.where].when.text}' is "
                "never true."
            )
            yield Problem(promise.where, message, "Correct its when.", "promise-idle", "warning")


def _kept(promise: Always, seeking: Seeking) -> Property:
    def formula(walked: Walked) -> Formula:
        then = walked.at_the_end(promise.then)
        # A stop that somebody lifted with a reason keeps nothing: that is what lifting is for.
        return walked.logic.every(
            (walked.none_lifted, walked.at_the_end(promise.when), walked.logic.no(then))
        )

    def broken(held: HeldCall) -> bool:
        return held.true(promise.when) and not held.true(promise.then)

    breaking = seeking.find(formula, broken, promise.when.names | promise.then.names)
    return _standing(promise.name, promise.where, breaking, seeking)


def _apart(tree: Tree, advice: Advice, other: str, seeking: Seeking) -> Property:
    pair = advice.name, other

    def formula(walked: Walked) -> Formula:
        return walked.logic.every(walked.comes_up["advice"][name] for name in pair)

    def together(held: HeldCall) -> bool:
        return all(held.came_up("advice", name) for name in pair)

    both = (rule.when.names for rule in tree.advice if rule.name in pair)
    breaking = seeking.find(formula, together, frozenset[str]().union(*both))
    return _standing(f"{advice.name} never with {other}", advice.where, breaking, seeking)


def _standing(
    name: str, where: Where, breaking: tuple[WitnessFound, Caller | None], seeking: Seeking
) -> Property:
    verdict, caller = breaking
    if verdict == "found":
        return Property(name, where, "refuted", "", caller)
    if verdict == "impossible":
        return Property(name, where, "proven")
    reason = _REASONS[verdict] if seeking.solving else _NO_SOLVER
    return Property(name, where, "not proven", reason)


def _about_nobody(promise: Always, seeking: Seeking) -> bool:
    solving = seeking.solving
    return solving is not None and solving.can_be(solving.walked.at_the_end(promise.when)) == "no"


# -- floor ----------------------------------------------------------------------------------------
# Promises of the safety floor, which hold of every main tree and stand in no file of trees.

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
    when = _any(_said(question, choice) for choice in graver)
    yield _promise(f"{FLOOR}{question.name}_stops", question, when, Name(CALL_STOPPED, 0))
    if milder:
        heard = [
            Name(f"caution.{caution.name}", 0)
            for caution in tree.cautions
            if caution.level != "note" and question.name in caution.when.names
        ]
        when = _any(_said(question, choice) for choice in milder)
        then = _any((Name(CALL_STOPPED, 0), *heard))
        yield _promise(f"{FLOOR}{question.name}_is_referred", question, when, then)


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
    consents = [question for question in tree.questions.values() if question.sets == "consent"]
    asked = [
        Name(f"asked.{question.name}", 0)
        for question in tree.questions.values()
        if question.private == "health" and not question.stored_with_consent
    ]
    if consents and asked:
        agreed = _any(Name(question.name, 0) for question in consents)
        yield _promise(f"{FLOOR}health_after_consent", consents[0], _any(asked), agreed)


def _said(question: Question, choice: str) -> Node:
    pair: tuple[Node, Node] = (ChoiceName(choice, 0), Name(question.name, 0))
    if question.answer == "choices":
        return Compare(pair, ("in",), 0)
    return Compare(pair, ("==",), 0)


def _any(parts: Iterable[Node]) -> Node:
    return Or(tuple(parts), 0)


def _promise(name: str, question: Question, when: Node, then: Node) -> Always:
    if_, then_ = (
        Condition(name, node, frozenset(reference.name for reference in named(node)))
        for node in (when, then)
    )
    return Always(name, question.where, if_, then_, because=_BECAUSE)
