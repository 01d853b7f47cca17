"""The safety floor in one question: what a list of warning signs has to say, and whom it warns.

No key of a tree switches any of it off.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from functools import lru_cache

from consult.problems import listed, nearest
from consult.tree.condition import parse_condition
from consult.tree.constant import TRUE, Written, outcomes
from consult.tree.draft import Block, Draft
from consult.tree.floor import GRAVITIES, Gravity, begins_with, holds_word, the_floor
from consult.tree.nodes import Value
from consult.tree.questions import choices_of, signs_of

_KEYS = {
    "private": "health",
    "unknown": "refused",
    "cautioned": "every_choice",
    "stored": "with_consent",
}
"""What a question about warning signs has to say of itself."""


def check_floor_questions(conditions: Sequence[Written], draft: Draft) -> None:
    """Note everything that makes a list of warning signs unsafe, and stops that send nowhere."""
    for name, block in draft.questions.items():
        if "signs" in block.data:
            _check_keys(name, block, draft)
            _check_none(name, block, draft)
            signs = _check_labels(name, block, draft)
            cautions = raised(name, conditions, draft)
            _check_sent(name, block, signs, cautions, draft)
            _check_doubt(name, block, cautions, draft)
    _check_stops(conditions, draft)


def _check_keys(name: str, block: Block, draft: Draft) -> None:
    for key, value in _KEYS.items():
        if block.text(key) != value:
            message = f"'{name}' asks about warning signs, so it needs {key}: {value}."
            draft.says(block.place(key), "floor-key", message, f"Write {key}: {value}.")


def _check_none(name: str, block: Block, draft: Draft) -> None:
    floor, labels = the_floor(), choices_of(block)
    alone = block.text("exclusive")
    if alone is None:
        message = f"'{name}' asks about warning signs, but has no choice for none of them."
        fix = "Add a choice such as none: None of these, and exclusive: none."
        draft.says(block.key("signs"), "floor-none", message, fix)
    for choice, label in labels.items():
        is_none = begins_with(label, floor.none)
        if choice == alone and not is_none:
            message = (
                f"'{choice}' of '{name}' means none of the signs, but its label does not say so."
            )
            draft.says(
                block.place("choices", choice), "floor-none", message, "Write: None of these."
            )
        elif choice != alone and is_none:
            message = f"'{choice}' of '{name}' means a warning sign, but its label denies one."
            fix = "Name the sign. Only the exclusive choice says none."
            draft.says(block.place("choices", choice), "floor-label", message, fix)


def _check_labels(name: str, block: Block, draft: Draft) -> dict[str, list[str]]:
    """Note what is wrong with the signs a question names, and give back those that make sense."""
    floor, labels = the_floor(), choices_of(block)
    sound: dict[str, list[str]] = {}
    for choice, signs in signs_of(block).items():
        if choice not in labels or choice in (block.text("exclusive"), block.text("doubt")):
            message = f"'{choice}' of '{name}' is not a choice that can name a sign."
            fix = nearest(choice, labels) or f"Its choices are {listed(labels)}."
            draft.says(block.key("signs", choice), "floor-sign", message, fix)
            continue
        for sign in signs:
            if sign not in floor.signs:
                message = f"The safety floor has no sign '{sign}'."
                fix = nearest(sign, floor.signs) or f"It has {listed(floor.signs)}."
                draft.says(block.place("signs", choice), "floor-sign", message, fix)
                continue
            sound.setdefault(choice, []).append(sign)
            words = floor.signs[sign].label
            if not holds_word(labels[choice], words):
                message = f"The label of '{choice}' does not name its sign '{sign}'."
                fix = f"Such a label contains {listed(f'“{word}”' for word in words)}."
                draft.says(block.place("choices", choice), "floor-label", message, fix)
    return sound


def _check_sent(
    name: str,
    block: Block,
    signs: Mapping[str, list[str]],
    raised_by: Mapping[str, list[list[Block]]],
    draft: Draft,
) -> None:
    floor = the_floor()
    for choice, named in signs.items():
        gravity = max((floor.signs[sign].gravity for sign in named), key=GRAVITIES.index)
        where = block.key("choices", choice)
        for cautions in raised_by[choice]:
            # That there is none at all is told of every cautioned question.
            if cautions and not any(_serves(caution, gravity) for caution in cautions):
                level = "refer or stop" if gravity == "clinician" else "stop"
                message = f"'{choice}' of '{name}' is a warning sign of gravity {gravity}. "
                message += "Some callers who name it are not told whom to contact."
                fix = f"It needs a caution of level {level} with contact: {listed(_fit(gravity))}"
                draft.says(where, "floor-caution", message, f"{fix}, and <contact> in its words.")
                break


def _fit(gravity: Gravity) -> tuple[str, ...]:
    enough = GRAVITIES[GRAVITIES.index(gravity) :]
    return tuple(key for key, contact in the_floor().contacts.items() if contact.gravity in enough)


def _serves(caution: Block, gravity: Gravity) -> bool:
    """Whether a caution sends the caller where a sign of this gravity belongs, and says so."""
    grave_enough = gravity == "clinician" or caution.text("level") == "stop"
    return grave_enough and sends_to(caution, _fit(gravity))


def sends_to(caution: Block, contacts: Collection[str]) -> bool:
    """Whether a caution names one of these contacts, and says whom in its words."""
    return caution.text("contact") in contacts and "<contact>" in (caution.text("say") or "")


def _check_doubt(
    name: str, block: Block, raised_by: Mapping[str, list[list[Block]]], draft: Draft
) -> None:
    floor, doubt = the_floor(), block.text("doubt")
    labels = choices_of(block)
    at_once = [key for key, contact in floor.contacts.items() if contact.at_once]
    if doubt is None or doubt not in labels or doubt == block.text("exclusive"):
        message = (
            f"'{name}' asks about warning signs, but has no choice for a caller who is not sure."
        )
        fix = "Add a choice such as not_sure: Not sure about one of these, and doubt: not_sure."
        draft.says(block.place("doubt"), "floor-doubt", message, fix)
        return
    if not holds_word(labels[doubt], floor.doubt):
        whom = f"'{doubt}' of '{name}' is for callers who are not sure"
        where = block.place("choices", doubt)
        draft.says(
            where, "floor-doubt", f"{whom}, but its label does not say so.", "Write: Not sure ..."
        )
    for cautions in raised_by[doubt]:
        stops = (caution for caution in cautions if caution.text("level") == "stop")
        if cautions and not any(sends_to(stop, at_once) for stop in stops):
            message = f"A caller who is not sure about a sign of '{name}' is not sent to"
            fix = f"It needs a stop with contact: {listed(at_once)}, and <contact> in its words."
            where = block.key("choices", doubt)
            draft.says(where, "floor-doubt", f"{message} anybody at once.", fix)
            break


def _check_stops(conditions: Sequence[Written], draft: Draft) -> None:
    """A stop for what a caller says about health tells whom to contact."""
    health = {
        name for name, block in draft.questions.items() if block.data.get("private") == "health"
    }
    contacts = the_floor().contacts
    for written in conditions:
        block = written.block
        if written.condition.names.isdisjoint(health) or block.data.get("level") != "stop":
            continue
        if not sends_to(block, contacts):
            stop = block.text("name")
            message = f"The stop '{stop}' is about health, but does not say whom to contact."
            fix = f"Add contact: {listed(contacts)}, and write Please <contact>. into say."
            draft.says(block.place("say"), "floor-stop", message, fix)


# -- warning signs: every choice of a ``cautioned`` question has to raise a caution ---------------

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
            by = answer or "nothing"
            message = f"'{name}' is answered by {by}, which has no choices to caution."
            draft.says(block.key("cautioned"), "cautioned", message, "Delete cautioned here.")
            continue
        for choice, cautions in raised(name, conditions, draft).items():
            if choice != block.text("exclusive") and not all(cautions):
                message = f"'{choice}' of '{name}' raises no caution, although every choice should."
                pair = f"{choice} in {name}" if answer == "choices" else f"{name} == {choice}"
                fix = f"Let a caution of level refer or stop say so: when: {pair}."
                draft.says(block.key("choices", choice), "no-caution", message, fix)


def raised(name: str, conditions: Sequence[Written], draft: Draft) -> dict[str, list[list[Block]]]:
    """For each choice, and each answer that holds it: the cautions that surely send to somebody.

    The answers are the choice alone, beside each other one, and beside all of them.
    """
    block = draft.questions[name]
    alone, choices = block.text("exclusive"), choices_of(block)
    others = tuple(choice for choice in choices if choice != alone)
    about_it = [
        (written, frozenset(written.condition.names & draft.questions.keys()))
        for written in conditions
        if name in written.condition.names and written.block.text("level") in GRAVE
    ]
    by_choice: dict[str, list[list[Block]]] = {}
    for choice in choices:
        answers = _answers(block.text("answer") or "", choice, others)
        by_choice[choice] = [[] for _ in answers]
        for written, questions in about_it:
            certain = _certain(written.condition.text, questions, name, answers)
            for blocks, is_raised in zip(by_choice[choice], certain, strict=True):
                if is_raised:
                    blocks.append(written.block)
    return by_choice


@lru_cache(maxsize=256)
def _answers(answer: str, choice: str, others: tuple[str, ...]) -> tuple[Value, ...]:
    if answer != "choices":
        return (choice,)
    together = [{choice}, *({choice, other} for other in others), {choice, *others}]
    return tuple(dict.fromkeys(frozenset(ticked) for ticked in together))


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
    for written in conditions:
        if written.part != "cautions" or "forbids" not in written.block.data:
            continue
        worked_out = sorted(name for name in written.condition.names if "." in name)
        if worked_out:
            message = f"A caution that forbids something cannot depend on '{worked_out[0]}'."
            fix = "Use only answers in its condition."
            draft.says(written.block.key("forbids"), "forbids", message, fix)
