"""The set-up card of an earlier call, step by step, for the call that sets its chair up."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.sentence import Sentence

if TYPE_CHECKING:
    from collections.abc import Mapping

    from consult.fit.range_model import Kind
    from consult.summary.model import Summary

_MOVED_BY: Mapping[str, Kind] = {
    **{"seat_height": "gas_lift", "seat_depth": "seat", "back": "back"},
    **{"lumbar": "lumbar", "armrests": "arms"},
}
"""Step of the card -> the part that has its lever."""


def card_steps(summary: Summary) -> dict[str, Sentence]:
    """Step of the card -> its figure and where the hand finds the lever, if it has either."""
    chair = summary.specification
    levers = {part.kind: part.find for part in chair.parts} if chair else {}
    found = {}
    for step in summary.setup_steps:
        do = step.do if step.value_mm is not None else Sentence("")
        by = _MOVED_BY.get(step.topic)
        lever = levers.get(by, "") if by else ""
        said = " ".join(filter(None, (do.template, lever)))
        if said:
            found[step.topic] = Sentence(said, do.lengths)
    return found


def parts_line(summary: Summary) -> str:
    """The parts of the chair by name, as they are ordered; '' where no chair was agreed."""
    chair = summary.specification
    if chair is None or not chair.parts or (chair.agreed and chair.agreed.chair == "none"):
        return ""
    return ", ".join(part.name.lower() for part in chair.parts)
