"""Advice and needs that change a figure the fit counts with: ``heel + 3 cm, at most 6 cm``.

``heel`` is what is under the feet, ``cushion`` what lies on the seat of the chair.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, cast

from consult.problems import listed, nearest
from consult.tree.constant import Written
from consult.tree.draft import Block, Draft
from consult.units import from_unit

Figure = Literal["heel", "cushion"]
FIGURES: Mapping[Figure, float] = {"heel": 120.0, "cushion": 100.0}
"""What may be changed, and the most of it in all, mm; common practice, no source."""

_NAME = r"[a-z][a-z0-9_]*"
_LENGTH = r"[0-9]{1,3}(?:\.[0-9]{1,2})?"
_UNIT = "cm|mm|in"
_ADJUSTS = re.compile(
    rf"(?P<figure>{_NAME}) \+ (?:(?P<amount>{_LENGTH}) (?P<unit>{_UNIT})|(?P<question>{_NAME})), "
    rf"at most (?P<most>{_LENGTH}) (?P<most_unit>{_UNIT})"
)


@dataclass(frozen=True, slots=True)
class Adjusts:
    """How a piece of a tree changes a figure while it applies; mm."""

    figure: Figure
    amount: float | None
    """What it adds; None: the answer to ``question``."""
    question: str
    at_most: float
    """The figure is not raised beyond this in all."""


def parse_adjusts(text: str) -> Adjusts | None:
    """A change of a figure as a tree writes it; None for what is written otherwise."""
    found = _ADJUSTS.fullmatch(" ".join(text.split()))
    if found is None:
        return None
    amount = from_unit(float(found["amount"]), found["unit"]) if found["amount"] else None
    most = from_unit(float(found["most"]), found["most_unit"])
    return Adjusts(cast("Figure", found["figure"]), amount, found["question"] or "", most)


def adjusts_of(block: Block) -> Adjusts | None:
    """What a piece of advice or a need changes; None where it changes nothing, or is misspelt."""
    text = block.text("adjusts")
    return parse_adjusts(text) if text else None


def check_adjusts(conditions: Sequence[Written], draft: Draft) -> None:
    """Note each change of a figure that cannot be, or that would tell of an illness."""
    for part in ("advice", "needs"):
        for block in draft.blocks(part):
            text = block.text("adjusts")
            if text is None:
                continue
            found = parse_adjusts(text)
            if found is None:
                fix = "Write it like this: heel + 3 cm, at most 6 cm."
                draft.says(block.place("adjusts"), "adjusts", _why_not(text), fix)
                continue
            _check_figure(found, block, draft)
            if found.question:
                _check_question(found.question, block, draft)
    for each in conditions:
        if each.part in ("advice", "need") and adjusts_of(each.block) is not None:
            for name in sorted(each.condition.names):
                _check_read(name, each.block, draft)


def _why_not(text: str) -> str:
    """What is wrong with a change that cannot be read."""
    said = f"'{' '.join(text.split())}'"
    if re.search(r"[0-9],[0-9]", text):
        return f"{said} has a comma in a number, which has a decimal point."
    if re.search(r" [-\u2010-\u2015\u2212] ", text):
        return f"{said} takes something away, and a figure can only be added to."
    if re.search(r"[0-9](?:,|$| *,)", text) and not re.search(rf"[0-9] ?(?:{_UNIT})\b", text):
        return f"{said} has a number without a unit."
    if re.search(rf"[0-9](?:{_UNIT})\b", text):
        return f"{said} has no space before a unit."
    if "+" in text and "at most" not in text:
        return f"{said} does not say with 'at most' how much there is to be in all."
    return f"{said} does not say which figure changes, and by how much."


def _check_figure(found: Adjusts, block: Block, draft: Draft) -> None:
    where = block.place("adjusts")
    most = FIGURES.get(found.figure)
    if most is None:
        said = f"The fit has no figure '{found.figure}' that could be changed."
        fix = nearest(found.figure, sorted(FIGURES)) or f"There are {listed(sorted(FIGURES))}."
        draft.says(where, "adjusts", said, fix)
    elif found.at_most > most:
        said = f"A {found.figure} of more than {most / 10:g} cm is not counted with."
        draft.says(where, "adjusts", said, f"Write at most {most / 10:g} cm, or less.")
    elif found.amount is not None and not 0 < found.amount <= found.at_most:
        said = f"It adds {found.amount / 10:g} cm, but at most {found.at_most / 10:g} cm in all."
        fix = f"Write at most {found.amount / 10:g} cm or more."
        draft.says(where, "adjusts", said, fix if found.amount else "Write a length above zero.")


def _check_question(name: str, block: Block, draft: Draft) -> None:
    asked = draft.questions.get(name)
    if asked is None:
        said = f"There is no question '{name}'."
        fix = nearest(name, sorted(draft.questions)) or "Write a length, such as 3 cm."
        draft.says(block.place("adjusts"), "adjusts", said, fix)
    elif asked.text("answer") != "length":
        said = f"The answer to '{name}' is not a length, so it cannot be added."
        draft.says(block.place("adjusts"), "adjusts", said, "Name a question for a length.")
    else:
        _check_read(name, block, draft)


def _check_read(name: str, block: Block, draft: Draft) -> None:
    """What the fit works out cannot decide what it counts with; and nobody may see in a figure
    what was said about health."""
    asked = draft.questions.get(name)
    fix = "Remove that name from the condition, or delete adjusts."
    if name.startswith("fit.") or name == "settled":
        said = f"'{name}' follows from the figure that this changes."
        draft.says(block.place("adjusts"), "adjusts", said, fix)
    elif asked is not None and asked.text("private") == "health":
        said = f"Others could find out from the figures what was answered to '{name}'."
        draft.says(block.place("adjusts"), "adjusts", said, fix)
