"""Warning signs: every choice of a ``cautioned`` question has to raise a caution."""

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
        for choice, cautions in raised(name, conditions, draft).items():
            if choice != block.text("exclusive") and not all(cautions):
                _tell(name, choice, block, draft)


def raised(name: str, conditions: Sequence[Written], draft: Draft) -> dict[str, list[list[Block]]]:
    """For each choice, and each answer that holds it: the cautions that surely send to somebody.

    The answers are the choice alone, beside each other one, and beside all of them.
    """
    block = draft.questions[name]
    alone, choices = block.text("exclusive"), choices_of(block)
    others = tuple(choice for choice in choices if choice != alone)
    about_it = [
        (each, frozenset(each.condition.names & draft.questions.keys()))
        for each in conditions
        if name in each.condition.names and each.block.text("level") in GRAVE
    ]
    found: dict[str, list[list[Block]]] = {}
    for choice in choices:
        answers = _answers(block.text("answer") or "", choice, others)
        found[choice] = [[] for _ in answers]
        for each, questions in about_it:
            certain = _certain(each.condition.text, questions, name, answers)
            for blocks, is_raised in zip(found[choice], certain, strict=True):
                if is_raised:
                    blocks.append(each.block)
    return found


@lru_cache(maxsize=256)
def _answers(answer: str, choice: str, others: tuple[str, ...]) -> tuple[Value, ...]:
    if answer != "choices":
        return (choice,)
    together = [{choice}, *({choice, one} for one in others), {choice, *others}]
    return tuple(dict.fromkeys(frozenset(each) for each in together))


# The check runs after every key typed in the editor; all conditions but one are as they were.
@lru_cache(maxsize=4096)
def _certain(
    text: str, questions: frozenset[str], name: str, answers: tuple[Value, ...]
) -> tuple[bool, ...]:
    """For each answer to one question, whether a condition is true whatever else is answered."""
    node = parse_condition(text).resolve(questions).node
    return tuple(outcomes(node, {name: answer}) == TRUE for answer in answers)


def check_forbids(conditions: Sequence[Written], draft: Draft) -> None:
    """Note each caution that forbids something and reads what is worked out: the fit follows what
    is forbidden, so it cannot decide it."""
    for each in conditions:
        if each.part != "cautions" or "forbids" not in each.block.data:
            continue
        worked_out = sorted(name for name in each.condition.names if "." in name)
        if worked_out:
            said = f"A caution that forbids something cannot depend on '{worked_out[0]}'."
            fix = "Use only answers in its condition."
            draft.says(each.block.key("forbids"), "forbids", said, fix)


def _tell(name: str, choice: str, block: Block, draft: Draft) -> None:
    said = f"'{choice}' of '{name}' raises no caution, although every choice should."
    pair = f"{choice} in {name}" if block.text("answer") == "choices" else f"{name} == {choice}"
    fix = f"Let a caution of level refer or stop say so: when: {pair}."
    draft.says(block.key("choices", choice), "no-caution", said, fix)
