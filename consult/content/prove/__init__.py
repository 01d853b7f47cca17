"""What is certain about a tree for every caller there could be, and callers who show the rest.

A solver (the extra ``content``) goes through all calls at once. Without it callers drawn at random
still show what can appear and which promises are broken; nothing is proven then.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.content.prove.model import Caller, Proofs, Property, Witness
from consult.content.prove.promises import floor_promises, promise_problems, properties
from consult.content.prove.trying import Trying
from consult.content.prove.ways import Seeking, appearing_problems, items, possible, witness
from consult.problems import Problem

if TYPE_CHECKING:
    from collections.abc import Callable

    from consult.call.basis import Basis
    from consult.content.prove.solving import Solving
    from consult.tree.model import Tree

__all__ = ["Caller", "Proofs", "Property", "Witness", "prove"]

NO_SOLVER = (
    "Nothing was proven, because the solver is not installed: pip install 'consult[content]'."
)


def prove(
    tree: Tree,
    basis: Basis,
    said: Callable[[int, int], None] | None = None,
    *,
    witnesses: bool = True,
) -> Proofs:
    """Find out all that can be known of the calls held with a tree.

    ``basis`` is what callers are tried on; its tree is the same. Same tree, same result. ``said``
    hears how many of how many pieces are done. Without ``witnesses`` nobody is thought up who gets
    what is possible: nine tenths of the time.
    """
    seeking = Seeking(Trying(basis), _solving(tree, basis))
    found = []
    pieces = list(items(tree))
    for done, item in enumerate(pieces):
        if said is not None:
            said(done, len(pieces))
        found.append((witness if witnesses else possible)(item, seeking))
    floor = tuple(floor_promises(tree, with_chairs=basis.range is not None))
    standings = list(properties(tree, floor, seeking))
    problems = [
        *appearing_problems(tree, found, seeking),
        *promise_problems(tree, standings, seeking),
        *_at_once(tree),
    ]
    if seeking.solving is not None:
        from consult.content.prove.ways import way_problems

        problems += way_problems(seeking.solving, seeking)
    problems.sort(key=lambda each: (each.where, each.rule, each.message))
    told = tuple(dict.fromkeys(problems))
    left_open = _left_open(tree, seeking.solving)
    return Proofs(
        tree.name, tree.files, told, tuple(found if witnesses else ()), tuple(standings), left_open
    )


def _solving(tree: Tree, basis: Basis) -> Solving | None:
    try:
        from consult.content.prove.solving import Solving
        from consult.content.prove.walk import Walked
    except ImportError:
        return None
    return Solving(Walked(tree, basis.range is not None))


def _left_open(tree: Tree, solving: Solving | None) -> str:
    if solving is None:
        return NO_SOLVER
    if at_once := _at_once(tree):
        return f"{at_once[0].message} The proofs do not cover the calls that it ends."
    if solving.undecided:
        return "Some of it takes the solver too long, and is neither proven nor refuted."
    return ""


def _at_once(tree: Tree) -> list[Problem]:
    """Stops that hold before anything was answered, so that no call gets anywhere."""
    return [
        Problem(
            caution.where,
            f"The stop '{caution.name}' applies before any of its questions is asked.",
            "Ask for what was answered: known(...) and ..., or a comparison.",
            "stops-at-once",
        )
        for caution in tree.cautions
        if caution.level == "stop"
        and not any("." in name for name in caution.when.names)
        and caution.when.evaluate(lambda _: None) is True
    ]
