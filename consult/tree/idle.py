"""Pieces of a tree that change nothing: answers nothing reads, routes never taken."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from itertools import groupby

from consult.tree.adjusts import Adjusts, adjusts_of
from consult.tree.condition import Condition, parse_condition
from consult.tree.constant import Known, Written, known_to
from consult.tree.draft import Draft
from consult.tree.model import DECIDING
from consult.tree.placeholders import NAME, names_in
from consult.tree.possible import Possible
from consult.tree.tables import tables


def check_used(conditions: Iterable[Condition], draft: Draft) -> None:
    """Note every question that no condition, blank, fact or body measure comes from.

    What is typed as text is there for people to read, and a question with a single choice is a
    text to be read out; ``read_by: people`` says the same of any other.
    """
    used = {name for condition in conditions for name in condition.names}
    used |= _declared(draft)
    for said in _texts(draft):
        used.update(names_in(said))
    used.update(one.question for one in _adjusts(draft))
    for name, block in draft.questions.items():
        if name in used or any(key in block.data for key in ("measures", "sets", "read_by")):
            continue
        choices = block.data.get("choices")
        if block.text("answer") == "text" or (isinstance(choices, dict) and len(choices) == 1):
            continue
        said = f"Nothing uses the answer to '{name}': no condition, blank, fact or measure."
        fix = "Use the answer, delete the question, or write read_by: people if people read it."
        draft.says(block.key(), "unused", said, fix, warning=True)


def _declared(draft: Draft) -> set[str]:
    """Every name in the sums of the file that declares what a tree fits."""
    sums = (str(one.get("from", "")) for one in (draft.declared or {}).values())
    return {name for each in sums for name in NAME.findall(each)}


def _adjusts(draft: Draft) -> Iterator[Adjusts]:
    found = (adjusts_of(block) for part in ("advice", "needs") for block in draft.blocks(part))
    return (one for one in found if one is not None)


def _texts(draft: Draft) -> Iterator[str]:
    for part in ("cautions", "advice", "needs"):
        for block in draft.blocks(part):
            for key in ("say", "because", "source"):
                yield block.text(key) or ""


# -- questions of a pool whose answers can never change the chair ---------------------------------


def check_pools(conditions: Iterable[Written], draft: Draft) -> None:
    """Note every question of a pool that could not change what is chosen, whatever is answered.

    What can: a body measure, a fact that the fit hangs on, an answer that a need reads or that
    changes a figure, one that a declared quantity is made of, and one that lets such a question be
    asked.
    """
    conditions = list(conditions)
    called_for = _names(one for one in conditions if one.block.steps[0] == "needs")
    called_for |= _names(one for one in conditions if "adjusts" in one.block.data)
    called_for |= {one.question for one in _adjusts(draft)}
    called_for |= _declared(draft)
    worth = {
        name
        for name in draft.pool_of
        if (block := draft.questions[name]).text("answer") not in ("text", "date")
        and ("measures" in block.data or block.text("sets") in DECIDING or name in called_for)
    }
    for pool, block in draft.pools.items():
        opened = worth.intersection(draft.members(pool))
        worth |= _names(one for one in conditions if one.owner in opened)
        for steps, name in block.texts("best_of"):
            if draft.pool_of.get(name) == pool and name not in worth:
                chosen = "the chair" if draft.declared is None else "what is chosen"
                why = f"because no answer to it changes {chosen}."
                said = f"'{name}' is never asked in a pool, {why}"
                fix = "Move it to a topic, or ask it outside the pool."
                draft.says(block.place(*steps), "never-worth", said, fix, warning=True)


def _names(conditions: Iterable[Written]) -> set[str]:
    return {name for one in conditions for name in one.condition.names}


# -- routes that are never taken: a route above them takes every call they are true for -----------


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
