"""Warning signs: a question that promises a caution for every choice has to keep it."""

from __future__ import annotations

from collections.abc import Sequence

from consult.tree.constant import Written
from consult.tree.draft import Block, Draft
from consult.tree.facts import choices_of
from consult.tree.nodes import Value

_GRAVE = ("refer", "stop")


def check_cautioned(conditions: Sequence[Written], draft: Draft) -> None:
    """Note each choice of a ``cautioned`` question that by itself sends the caller to nobody.

    By itself: that choice alone is ticked, and nothing else is known.
    """
    cautions = [
        each
        for each in conditions
        if each.part == "cautions" and each.block.text("level") in _GRAVE
    ]
    names = draft.questions.keys()
    for name, block in draft.questions.items():
        if block.text("cautioned") is None:
            continue
        answer = block.text("answer")
        if answer not in ("choice", "choices"):
            said = (
                f"'{name}' is answered by {answer or 'nothing'}, which has no choices to caution."
            )
            draft.says(block.key("cautioned"), "cautioned", said, "Delete cautioned here.")
            continue
        about_it = [
            each.condition.resolve(names) for each in cautions if name in each.condition.names
        ]
        for choice in choices_of(block):
            if choice == block.text("exclusive"):
                continue
            value: Value = frozenset((choice,)) if answer == "choices" else choice
            if not any(one.evaluate({name: value}.get) for one in about_it):
                _tell(name, choice, block, draft)


def check_forbids(conditions: Sequence[Written], draft: Draft) -> None:
    """Note each caution that forbids something and reads what is worked out: the fit follows what
    is forbidden, so it cannot decide it."""
    for each in conditions:
        if each.part != "cautions" or "forbids" not in each.block.data:
            continue
        worked_out = sorted(name for name in each.condition.names if "." in name)
        if worked_out:
            said = f"A caution that forbids something cannot depend on '{worked_out[0]}'."
            fix = "Let its condition read answers only."
            draft.says(each.block.key("forbids"), "forbids", said, fix)


def _tell(name: str, choice: str, block: Block, draft: Draft) -> None:
    said = f"'{choice}' of '{name}' raises no caution by itself, though every choice should."
    pair = f"{choice} in {name}" if block.text("answer") == "choices" else f"{name} == {choice}"
    fix = f"Let a caution of level refer or stop say so: when: {pair}."
    draft.says(block.key("choices", choice), "no-caution", said, fix)
