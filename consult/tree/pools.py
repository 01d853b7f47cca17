"""Questions of a pool whose answers can never change the chair."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from consult.tree.model import DECIDING

if TYPE_CHECKING:
    from consult.tree.constant import Written
    from consult.tree.draft import Draft


def check_pools(conditions: Iterable[Written], draft: Draft) -> None:
    """Note every question of a pool that could not change the chair, whatever is answered.

    What can: a body measure, a fact that the fit hangs on, an answer that a need reads, and one
    that lets such a question be asked.
    """
    conditions = list(conditions)
    called_for = _names(one for one in conditions if one.block.steps[0] == "needs")
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
                said = (
                    f"'{name}' is never asked in a pool, because no answer to it changes the chair."
                )
                fix = "Move it to a topic, or ask it outside the pool."
                draft.says(block.place(*steps), "never-worth", said, fix, warning=True)


def _names(conditions: Iterable[Written]) -> set[str]:
    return {name for one in conditions for name in one.condition.names}
