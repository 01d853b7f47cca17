"""Checks what must hold at the end of every call, and which advice must not be given together.

Whether it holds is for the proofs to say.
"""

from __future__ import annotations

from functools import lru_cache

from consult.problems import listed, nearest
from consult.tree.condition import Condition, ConditionError, parse_condition
from consult.tree.draft import Block, Draft
from consult.tree.facts import question_kind
from consult.tree.typecheck import condition_troubles

_PARTS = {"caution": "cautions", "advice": "advice", "need": "needs"}


def check_always(draft: Draft) -> None:
    """Note what is wrong with the lines of ``always``."""
    found = draft.blocks("always")
    if not found:
        return
    kinds = {name: question_kind(name, block) for name, block in draft.questions.items()}
    outcomes: dict[str, list[str]] = {owner: _names(part, draft) for owner, part in _PARTS.items()}
    outcomes["asked"] = list(draft.questions)
    taken: dict[str, Block] = {}
    for block in found:
        name = block.text("name")
        first = taken.setdefault(name, block) if name is not None else block
        if first is not block:
            said = f"'{name}' is already the name of a line of always at {first.place()}."
            draft.says(block.place("name"), "name-twice", said, "Rename one of the two.")
        for key in ("when", "then"):
            text = block.text(key)
            if text is None or draft.crowded:
                continue
            inside = (*block.steps, key)
            try:
                condition = _parsed(text)
            except ConditionError as error:
                where = block.marked.inside(inside, error.offset)
                draft.says(where, "condition", error.message, error.fix)
                continue
            for trouble in condition_troubles(condition, kinds, outcomes):
                where = block.marked.inside(inside, trouble.offset)
                draft.says(where, trouble.rule, trouble.message, trouble.fix)


# The check runs after every key typed in the editor; all conditions but one are as they were.
@lru_cache(maxsize=1024)
def _parsed(text: str) -> Condition:
    return parse_condition(text, outcomes=True)


def check_contradicts(draft: Draft) -> None:
    """Note each ``contradicts`` that names no other advice of this tree."""
    names = _names("advice", draft)
    for block in draft.blocks("advice"):
        own = block.text("name")
        for steps, name in block.texts("contradicts"):
            if name == own:
                said = f"'{own}' cannot contradict itself."
                draft.says(block.place(*steps), "contradicts", said, "Name other advice.")
            elif name not in names:
                others = [other for other in names if other != own]
                fix = "" if draft.crowded else nearest(name, others)
                fix = fix or (f"There is {listed(others[:6])}." if others else "Delete it.")
                said = f"There is no advice '{name}'."
                draft.says(block.place(*steps), "unknown-advice", said, fix)


def _names(part: str, draft: Draft) -> list[str]:
    return [name for block in draft.blocks(part) if (name := block.text("name")) is not None]
