"""A limit of the chairs on sale that a tree repeats as a figure.

Once the range changes, such a figure contradicts it: a caller is refused a chair that carries
them, or hears of one that does not.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from consult.tree.constant import Written
from consult.tree.draft import Block, Draft
from consult.tree.quantities import HEAVIEST_CALLER, HIGHEST_RATING
from consult.tree.tables import compared_figures
from consult.tree.texts import QUESTION_TEXTS, question_texts
from consult.units import from_unit

STANDARD_USER = 110.0
"""kg that an office chair is built for; no limit of any range. EN 1335-2, design user."""
_CLOSE = 0.6
"""kg: a limit rounded to a whole kilogram repeats it too."""
_KILOGRAMS = re.compile(r"(?<![0-9.])([0-9]{2,3}(?:\.[0-9])?) ?(?:kg|kilos?|kilograms?)\b")


def check_repeated(conditions: Sequence[Written], draft: Draft) -> None:
    """Note each weight of a condition, and each of a text, that stands for a limit of the range."""
    weights = {
        name: block.text("unit") or "kg"
        for name, block in draft.questions.items()
        if block.text("measures") == "weight"
    } | {"body.weight": "kg"}
    for each in conditions:
        for name, value, offset in compared_figures(each.condition.node):
            if name not in weights:
                continue
            kg = from_unit(value, weights[name])
            if kg <= STANDARD_USER + _CLOSE:
                continue
            where = each.block.marked.inside((*each.block.steps, *each.steps), offset)
            limit = _repeated(kg, draft)
            if limit is not None:
                limited = f"{draft.limits[limit]:.4g} kg"
                said = f"{value:g} repeats a limit of the chairs on sale, {limited}."
                fix = f"Write {limit}, which follows the range."
                draft.says(where, "repeated-limit", said, fix)
            elif draft.limits:
                said = f"{value:g} is not a weight limit of any chair on sale."
                fix = f"Where a limit of the range is meant, write {HEAVIEST_CALLER}."
                draft.says(where, "weight-limit", said, fix, warning=True)
    for block, steps in _texts(draft):
        for found in _KILOGRAMS.finditer(block.text(*steps) or ""):
            limit = _repeated(float(found[1]), draft)
            if limit is None or float(found[1]) <= STANDARD_USER:
                continue
            where = block.marked.inside((*block.steps, *steps), found.start())
            said = f"'{found[0]}' repeats a limit of the chairs on sale."
            fix = f"Write <{limit}>, which follows the range and is in the caller's unit."
            if steps[0] in QUESTION_TEXTS:
                fix = "Ask without the figure: it would stay when the range changes."
            draft.says(where, "repeated-limit", said, fix)


def _repeated(kg: float, draft: Draft) -> str | None:
    for limit in (HIGHEST_RATING, HEAVIEST_CALLER):
        if limit in draft.limits and abs(draft.limits[limit] - kg) < _CLOSE:
            return limit
    return None


def _texts(draft: Draft) -> Iterator[tuple[Block, tuple[str, ...]]]:
    for block in draft.questions.values():
        yield from ((block, steps) for steps in question_texts(block))
    for part in ("cautions", "advice", "needs"):
        for block in draft.blocks(part):
            for key in ("say", "because", "employer"):
                yield block, (key,)
