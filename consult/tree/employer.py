"""What advice says to an employer: it must tell nothing about the person who sits there."""

from __future__ import annotations

import re
from collections.abc import Sequence

from consult.tree.constant import Written
from consult.tree.draft import Block, Draft
from consult.tree.placeholders import blanks

_SECOND_PERSON = re.compile(r"\b(?:you|your|yours|yourself)\b", re.IGNORECASE)


def check_employer(conditions: Sequence[Written], draft: Draft) -> None:
    """Note each ``employer`` that depends on something private, or speaks to the wrong reader."""
    for each in conditions:
        said = each.block.text("employer") if each.part == "advice" else None
        if said is None:
            continue
        for name in sorted(each.condition.names):
            _check_name(name, each.block, draft)
        where = each.block.place("employer")
        for blank, _ in blanks(said):
            told = f"<{blank}> is not allowed in words for the employer."
            draft.says(where, "employer", told, "Write it without a blank.")
        if _SECOND_PERSON.search(said):
            told = "The employer's document speaks of the person, never to them."
            draft.says(where, "employer", told, "Write 'the person' in place of 'you'.")


def _check_name(name: str, block: Block, draft: Draft) -> None:
    about = ""
    if "." in name or name == "settled":
        about = "the person's body or fit"
    elif name in draft.questions:
        asked = draft.questions[name]
        if asked.text("private") is not None or asked.text("measures") is not None:
            about = "something private"
    if about:
        told = f"An employer could find out {about} from this, because its condition uses '{name}'."
        fix = "Delete employer here, or remove that name from the condition."
        draft.says(block.key("employer"), "employer", told, fix)
