"""Warning signs: a question that promises a caution for every choice has to keep it."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from consult.tree.certain import TRUE, outcomes
from consult.tree.condition import parse_condition
from consult.tree.constant import Written
from consult.tree.draft import Block, Draft
from consult.tree.facts import choices_of
from consult.tree.nodes import Value

GRAVE = ("refer", "stop")
"""Levels of a caution that sends the caller to somebody."""


def check_cautioned(conditions: Sequence[Written], draft: Draft) -> None:
    """Note each choice of a ``cautioned`` question that can send the caller to nobody.

    Every choice but the exclusive one has to raise a caution by itself: ticked alone or beside
    others, whatever is answered to any other question.
    """
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
        for choice in choices_of(block):
            if choice == block.text("exclusive"):
                continue
            if not all(raised(name, choice, conditions, draft)):
                _tell(name, choice, block, draft)


def raised(
    name: str, choice: str, conditions: Sequence[Written], draft: Draft
) -> list[list[Block]]:
    """For each answer that holds a choice: the cautions that surely send the caller to somebody.

    The answers are the choice alone, beside each other one, and beside all of them.
    """
    block = draft.questions[name]
    alone = block.text("exclusive")
    others = tuple(one for one in choices_of(block) if one != alone)
    answers = _answers(block.text("answer") or "", choice, others)
    about_it = [
        each
        for each in conditions
        if each.block.text("level") in GRAVE and name in each.condition.names
    ]
    found: list[list[Block]] = [[] for _ in answers]
    for each in about_it:
        questions = frozenset(each.condition.names & draft.questions.keys())
        certain = _certain(each.condition.text, questions, name, answers)
        for blocks, is_raised in zip(found, certain, strict=True):
            if is_raised:
                blocks.append(each.block)
    return found


def _answers(answer: str, choice: str, others: tuple[str, ...]) -> tuple[Value, ...]:
    if answer != "choices":
        return (choice,)
    together = [{choice}, *({choice, one} for one in others), {choice, *others}]
    return tuple(dict.fromkeys(frozenset(each) for each in together))


# The check runs after every key of whoever edits a tree; all conditions but one are as they were.
@lru_cache(maxsize=4096)
def _certain(
    text: str, questions: frozenset[str], name: str, answers: tuple[Value, ...]
) -> tuple[bool, ...]:
    """For each answer to one question, whether a condition is true whatever else is answered."""
    node = parse_condition(text).resolve(questions).node
    return tuple(outcomes(node, {name: answer}) == TRUE for answer in answers)


def _tell(name: str, choice: str, block: Block, draft: Draft) -> None:
    said = f"'{choice}' of '{name}' raises no caution by itself, though every choice should."
    pair = f"{choice} in {name}" if block.text("answer") == "choices" else f"{name} == {choice}"
    fix = f"Let a caution of level refer or stop say so: when: {pair}."
    draft.says(block.key("choices", choice), "no-caution", said, fix)
