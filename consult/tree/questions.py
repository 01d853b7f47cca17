"""Checks of questions: answer kind, unit, choices, what each feeds, whether anything reads it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, get_args

from consult.problems import listed, nearest
from consult.tree.condition import RESERVED
from consult.tree.draft import Block, Draft
from consult.tree.model import DECIDING, END, SETS, SETS_CHOICES, TOPICS, AnswerKind
from consult.tree.placeholders import BLANK_NAME, names_in
from consult.tree.quantities import BODY_DIMENSIONS, LENGTH_UNITS, MASS_UNITS, Adjusts, adjusts_of
from consult.tree.typecheck import Sort, ValueKind

if TYPE_CHECKING:
    from consult.tree.condition import Condition
    from consult.tree.constant import Written

_UNITS = {"length": LENGTH_UNITS, "mass": MASS_UNITS}
_OWN_SORT: dict[str | None, Sort] = {
    "choice": "choice",
    "choices": "choices",
    "yes-no": "yes-no",
    "text": "text",
    "date": "date",
}
_RANGE = re.compile(r"\s*([0-9]{1,6}(?:\.[0-9]{1,6})?)\s+to\s+([0-9]{1,6}(?:\.[0-9]{1,6})?)\s*")


def choices_of(block: Block) -> dict[str, str]:
    """Choice name -> label as written; empty where there are none."""
    choices = block.data.get("choices")
    names = choices if isinstance(choices, dict) else {}
    return {name: block.text("choices", name) or "" for name in names}


def openers(draft: Draft) -> dict[str, Block]:
    """The questions whose answers open topics."""
    return {
        name: block for name, block in draft.questions.items() if block.data.get("sets") == TOPICS
    }


def offered(block: Block) -> list[str]:
    """The topics that a question offers to open, as written."""
    return [choice for choice in choices_of(block) if choice != block.text("exclusive")]


def signs_of(block: Block) -> dict[str, list[str]]:
    """Choice -> the signs it names, as written."""
    signs = block.data.get("signs")
    return {
        str(choice): [str(sign) for sign in (of if isinstance(of, list) else [of])]
        for choice, of in (signs.items() if isinstance(signs, dict) else ())
    }


def expected(block: Block) -> tuple[float, float] | None:
    """The two numbers of ``expect`` in the question's own unit; None where it is not written so."""
    match = _RANGE.fullmatch(block.text("expect") or "")
    return (float(match.group(1)), float(match.group(2))) if match else None


def question_kind(name: str, block: Block) -> ValueKind:
    """What the question is to a condition; unclear where its own block is wrong."""
    answer = block.text("answer")
    unit = block.text("unit")
    if answer in _UNITS and unit in _UNITS[answer]:
        return ValueKind("number", unit, name=name)
    if answer == "count":
        return ValueKind("number", "", name=name)
    if answer in _OWN_SORT:
        return ValueKind(_OWN_SORT[answer], choices=frozenset(choices_of(block)), name=name)
    return ValueKind("unclear", name=name)


def name_kinds(draft: Draft) -> dict[str, ValueKind]:
    """What every question, and every quantity that a file declares, is to a condition."""
    kinds = {name: question_kind(name, block) for name, block in draft.questions.items()}
    for name in draft.declared or ():
        kind = ValueKind("number", "cm", name=f"fit.{name}")
        limit = ValueKind("unclear", name=f"fit.{name}")  # told with all else of the fitting
        kinds[f"fit.{name}"] = kind if f"fit.{name}" in draft.figures else limit
    return kinds


def check_question(name: str, block: Block, draft: Draft) -> None:
    """Note everything about one question that contradicts itself."""
    if name in RESERVED or name in (END, "contact"):
        message = f"A question cannot be called '{name}', because the word has another meaning."
        draft.says(block.key(), "reserved-name", message, "Choose another name.")
    answer = block.text("answer")
    if answer is None or answer not in get_args(AnswerKind):
        return
    _check_choices(name, answer, block, draft)
    _check_unit(name, answer, block, draft)
    _check_expect(name, answer, block, draft)
    _check_measures(name, answer, block, draft)
    _check_sets(name, answer, block, draft)
    if block.text("read_by") == "order_team" and block.text("private") == "health":
        message = f"'{name}' is about health, and the order team may not see that."
        draft.says(block.place("read_by"), "health-on-order", message, "Delete read_by.")


def _check_choices(name: str, answer: str, block: Block, draft: Draft) -> None:
    choices = choices_of(block)
    has = "choices" in block.data
    if answer not in ("choice", "choices"):
        if has:
            message = f"'{name}' is answered by {answer}, which has no choices."
            fix = "Write answer: choice or answer: choices, or delete the choices."
            draft.says(block.key("choices"), "choices-of-another-kind", message, fix)
    elif not has:
        message = f"'{name}' is answered by {answer}, but no choices are listed."
        draft.says(
            block.place("answer"), "no-choices", message, "Add choices: with a line for each."
        )
    for choice in choices:
        if choice in RESERVED:
            message = f"A choice cannot be called '{choice}', because the word has another meaning."
            fix = "Write answer: yes-no" if choice in ("yes", "no") else "Choose another name"
            fix += ", or a name such as said_yes." if choice in ("yes", "no") else "."
            draft.says(block.key("choices", choice), "reserved-name", message, fix)
    exclusive = block.text("exclusive")
    if exclusive is None:
        return
    if answer != "choices":
        message = "exclusive is allowed only if several choices can be given."
        fix = "Write answer: choices, or delete it."
        draft.says(block.key("exclusive"), "exclusive", message, fix)
    elif exclusive not in choices:
        fix = nearest(exclusive, choices) or f"It is {listed(choices)}."
        message = f"'{name}' has no choice '{exclusive}'."
        draft.says(block.place("exclusive"), "exclusive", message, fix)


def _check_unit(name: str, answer: str, block: Block, draft: Draft) -> None:
    units = _UNITS.get(answer, ())
    unit = block.text("unit")
    if not units:
        if unit is not None:
            message = f"'{name}' is answered by {answer}, which has no unit."
            draft.says(block.key("unit"), "unit-of-another-kind", message, "Delete the unit.")
    elif unit is None:
        message = f"'{name}' is a {answer} without a unit."
        draft.says(block.place("answer"), "no-unit", message, f"Add unit: {listed(units)}.")
    elif unit not in units and unit in (*LENGTH_UNITS, *MASS_UNITS):
        message = f"'{unit}' is not a unit of {answer}."
        draft.says(block.place("unit"), "wrong-unit", message, f"It is {listed(units)}.")


def _check_expect(name: str, answer: str, block: Block, draft: Draft) -> None:
    if block.text("expect") is None:
        return
    if answer not in ("length", "mass", "count"):
        message = f"'{name}' is answered by {answer}, which has no usual values."
        draft.says(block.key("expect"), "expect-of-another-kind", message, "Delete expect.")
        return
    band = expected(block)
    place = block.place("expect")
    if band is None:
        message = "expect is not two numbers."
        fix = "Write the lower, to, and the upper in the question's unit: 32 to 52."
        draft.says(place, "expect-form", message, fix)
    elif band[0] >= band[1]:
        low, high = band
        message = f"expect is the wrong way round: {low:g} is not below {high:g}."
        draft.says(place, "expect-backwards", message, "Write the lower number first.")


def _check_measures(name: str, answer: str, block: Block, draft: Draft) -> None:
    dimension = block.text("measures")
    message = ""
    if dimension in BODY_DIMENSIONS:
        needed = "mass" if BODY_DIMENSIONS[dimension] == "kg" else "length"
        if answer == needed:
            message = f"'{name}' measures {dimension}, but does not say how."
        else:
            wrong = f"'{name}' measures {dimension}, but is answered by {answer}."
            draft.says(block.place("measures"), "wrong-kind", wrong, f"Write answer: {needed}.")
    elif answer in ("length", "mass"):
        message = f"'{name}' asks for a {answer}, but does not say how to measure it."
    if message and not block.text("coach"):
        fix = "Add coach: with how to do it, for the adviser to read out."
        draft.says(block.key(), "no-coach", message, fix, warning=True)


def _check_sets(name: str, answer: str, block: Block, draft: Draft) -> None:
    fact = block.text("sets")
    if fact not in SETS:
        return
    place = block.place("sets")
    if answer not in SETS[fact]:
        message = f"'{name}' sets {fact}, but is answered by {answer}."
        draft.says(place, "wrong-kind", message, f"Write answer: {listed(SETS[fact])}.")
        return
    known = SETS_CHOICES.get(fact)
    choices = choices_of(block)
    if answer == "choice" and known and choices and not set(choices) & set(known):
        message = f"'{name}' sets {fact}, but has none of the choices the fit knows."
        draft.says(place, "wrong-choices", message, f"The fit knows {listed(known)}.")


# -- answers that nothing reads, and that can never change the chair -------------------------------


def check_used(conditions: Iterable[Condition], draft: Draft) -> None:
    """Note every question that no condition, blank, fact or body measure comes from.

    What is typed as text is there for people to read, and a question with a single choice is a
    text to be read out; ``read_by: people`` says the same of any other.
    """
    used = {name for condition in conditions for name in condition.names}
    used |= _declared(draft) | {adjust.question for adjust in _adjusts(draft)}
    for block in draft.blocks("cautions", "advice", "needs"):
        for key in ("say", "because", "source"):
            used.update(names_in(block.text(key) or ""))
    for name, block in draft.questions.items():
        if name in used or any(key in block.data for key in ("measures", "sets", "read_by")):
            continue
        if block.text("answer") == "text" or len(choices_of(block)) == 1:
            continue
        message = f"Nothing uses the answer to '{name}': no condition, blank, fact or measure."
        fix = "Use the answer, delete the question, or write read_by: people if people read it."
        draft.says(block.key(), "unused", message, fix, warning=True)


def _declared(draft: Draft) -> set[str]:
    """Every name in the sums of the file that declares what a tree fits."""
    sums = (str(entry.get("from", "")) for entry in (draft.declared or {}).values())
    return {name for text in sums for name in BLANK_NAME.findall(text)}


def _adjusts(draft: Draft) -> Iterator[Adjusts]:
    return filter(None, map(adjusts_of, draft.blocks("advice", "needs")))


def check_pools(conditions: Sequence[Written], draft: Draft) -> None:
    """Note every question of a pool that could not change what is chosen, whatever is answered.

    What can: a body measure, a fact that the fit hangs on, an answer that a need reads or that
    changes a figure, one that a declared quantity is made of, and one that lets such a question be
    asked.
    """
    called_for = _declared(draft) | {adjust.question for adjust in _adjusts(draft)}
    called_for |= _names(
        written
        for written in conditions
        if written.block.steps[0] == "needs" or "adjusts" in written.block.data
    )
    worth = {
        name
        for name in draft.pool_of
        if (block := draft.questions[name]).text("answer") not in ("text", "date")
        and ("measures" in block.data or block.text("sets") in DECIDING or name in called_for)
    }
    for pool, block in draft.pools.items():
        opened = worth.intersection(draft.members(pool))
        worth |= _names(written for written in conditions if written.owner in opened)
        for steps, name in block.texts("best_of"):
            if draft.pool_of.get(name) == pool and name not in worth:
                chosen = "the chair" if draft.declared is None else "what is chosen"
                why = f"because no answer to it changes {chosen}."
                message = f"'{name}' is never asked in a pool, {why}"
                fix = "Move it to a topic, or ask it outside the pool."
                draft.says(block.place(*steps), "never-worth", message, fix, warning=True)


def _names(conditions: Iterable[Written]) -> set[str]:
    return {name for written in conditions for name in written.condition.names}
