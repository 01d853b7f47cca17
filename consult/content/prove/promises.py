"""Whether what a tree promises of every call holds: ``always``, ``contradicts`` and ``moves``."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations
from typing import TYPE_CHECKING

from consult.content.prove.floor import FLOOR
from consult.content.prove.model import Property
from consult.moves import opposed_things
from consult.problems import Problem

if TYPE_CHECKING:
    from consult.content.prove.model import Found
    from consult.content.prove.seeking import Seeking
    from consult.content.prove.trying import Held
    from consult.tree.model import Advice, Always, Tree

_NO_SOLVER = "The solver is not installed; none of the random callers breaks it."
_REASONS: dict[Found, str] = {
    "not found": (
        "It depends on what the fit or the body estimate works out; no caller was found who "
        "breaks it."
    ),
    "not decided": "It takes the solver too long; no caller was found who breaks it.",
}


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
    idle = {each.where: each for each in tree.always}
    for one in standings:
        if one.standing == "refuted":
            says = one.caller.says if one.caller else ""
            said = f"'{one.name}' is broken by a caller who says: {says}."
            fix = "Correct the conditions it is about, or the promise."
            if one.name.startswith(FLOOR):
                fix = "Every tree must keep this promise. Correct the conditions."
            yield Problem(one.where, said, fix, "promise-broken")
        elif one.where in idle and _about_nobody(idle[one.where], seeking):
            said = (
                f"'{one.name}' promises nothing, because '{idle[one.where].when.text}' is "
                "never true."
            )
            yield Problem(one.where, said, "Correct its when.", "promise-idle", "warning")


def _kept(promise: Always, seeking: Seeking) -> Property:
    formula = None
    if seeking.solving is not None:
        walked = seeking.solving.walked
        then = walked.at_the_end(promise.then)
        # A stop that somebody lifted with a reason keeps nothing: that is what lifting is for.
        formula = walked.logic.every(
            (walked.none_lifted, walked.at_the_end(promise.when), walked.logic.no(then))
        )

    def broken(held: Held) -> bool:
        return held.true(promise.when) and not held.true(promise.then)

    names = promise.when.names | promise.then.names
    found, caller = seeking.find(formula, broken, names)
    return _standing(Property(promise.name, promise.where, "refuted", "", caller), found, seeking)


def _apart(tree: Tree, advice: Advice, other: str, seeking: Seeking) -> Property:
    formula = None
    if seeking.solving is not None:
        walked = seeking.solving.walked
        formula = walked.logic.every((walked.advice[advice.name], walked.advice[other]))

    def together(held: Held) -> bool:
        return held.advised(advice.name) and held.advised(other)

    both = (each.when.names for each in tree.advice if each.name in (advice.name, other))
    found, caller = seeking.find(formula, together, frozenset[str]().union(*both))
    name = f"{advice.name} never with {other}"
    return _standing(Property(name, advice.where, "refuted", "", caller), found, seeking)


def _standing(refuted: Property, found: Found, seeking: Seeking) -> Property:
    if found == "found":
        return refuted
    if found == "impossible":
        return Property(refuted.name, refuted.where, "proven")
    reason = _REASONS[found] if seeking.solving else _NO_SOLVER
    return Property(refuted.name, refuted.where, "not proven", reason)


def _about_nobody(promise: Always, seeking: Seeking) -> bool:
    solving = seeking.solving
    return solving is not None and solving.can_be(solving.walked.at_the_end(promise.when)) == "no"
