"""Routes that are never taken: a route above them takes every call they are true for."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache
from itertools import groupby

from consult.tree.condition import parse_condition
from consult.tree.constant import Known, Written, known_to
from consult.tree.draft import Draft
from consult.tree.possible import Possible
from consult.tree.tables import tables


def check_winning(
    conditions: Sequence[Written], possible: Mapping[str, Possible], draft: Draft
) -> None:
    """Note every route whose condition can be true, but not when it is tried."""
    routes = [each for each in conditions if each.part == "route"]
    for _, group in groupby(routes, key=lambda each: each.owner):
        whens = list(group)
        if len(whens) < 2:
            continue
        known = tuple(dict(pair for each in whens for pair in known_to(each, possible)).items())
        for index in _losing(tuple(each.condition.text for each in whens), known):
            each = whens[index]
            said = (
                "This route is never used, because the routes above it come first whenever it "
                "is true."
            )
            fix = "Move it further up, narrow the routes above it, or delete it."
            draft.says(each.block.place(*each.steps), "never-wins", said, fix, warning=True)


@lru_cache(maxsize=2048)
def _losing(texts: tuple[str, ...], known: Known) -> tuple[int, ...]:
    possible = dict(known)
    nodes = [parse_condition(text).resolve(possible.keys()).node for text in texts]
    worked_out = tables(nodes, possible)
    if worked_out is None:
        return ()
    taken, found = 0, []
    for index, node in enumerate(nodes):
        yes, no = worked_out.of(node)
        if yes and not yes & ~taken:
            found.append(index)
        taken |= yes
        if not no and yes:
            # It takes everybody who has answered, which is told of this route itself.
            break
    return tuple(found)
