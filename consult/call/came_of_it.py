"""Work out what came of a chair from the call that chose it and the call that followed up."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.call.chair_outcome import Because, ChairOutcome, MeasuredAgain
from consult.call.chosen import NOTICED
from consult.call.follow_up import MEASURED_BY_CALLERS, THINGS, understood_value

if TYPE_CHECKING:
    from collections.abc import Mapping

    from consult.call.chair_outcome import Came, Origin
    from consult.call.state import State

KEEPS, PART, WHY = "keeps", "exchange_part", "return_because"
"""The questions of the follow-up tree about this, besides those of ``call.follow_up``."""
_WHY: Mapping[str, Because] = {"does_not_fit": "fit", "is_faulty": "fault"}
"""Reason for a return -> what it says about the chair; any other says nothing."""


def came_of_it(reference: str, first: State, second: State, newer: State) -> ChairOutcome | None:
    """What came of the chair; None where the second call does not say.

    ``newer`` is the first call with what the second measured (``follow_up.again``).
    """
    if first.stopped is not None or second.stopped is not None:
        return None
    came = _came(second)
    if came is None:
        return None
    off = _off(first, newer)
    again = dict(_again(first, second))
    parts: tuple[str, ...] = ()
    if came == "exchanged" and isinstance(part := understood_value(second, PART), str):
        parts = (part,)
    because = _because(second, came)
    return ChairOutcome(reference, came, parts, because, off, again, _blamed(first, off, again))


def _came(second: State) -> Came | None:
    bothers, keeps = understood_value(second, "still_disturbs"), understood_value(second, KEEPS)
    if understood_value(second, "chair_came") != "came":
        return None
    if keeps in ("exchange", "send_back"):
        return "exchanged" if keeps == "exchange" else "returned"
    if not isinstance(bothers, frozenset):
        return None
    untouched = understood_value(second, "card_set") == "as_card" and bothers == {"none"}
    if untouched:
        return "kept"
    return "adjusted" if keeps == "keep" else None


def _because(second: State, came: Came) -> Because | None:
    if came == "returned":
        why = understood_value(second, WHY)
        return _WHY.get(why, "other") if isinstance(why, str) else "other"
    if came == "exchanged":
        bothers = understood_value(second, "still_disturbs")
        faulty = isinstance(bothers, frozenset) and "part_faulty" in bothers
        return "fault" if faulty else "fit"
    return None


def _off(first: State, newer: State) -> dict[str, float]:
    """How far each figure should have been from what was advised, where that is noticed."""
    if first.fit is None or newer.fit is None:
        return {}
    then, now = first.fit.requirements, newer.fit.requirements
    moved = {
        name: now[name].target - then[name].target
        for name in THINGS
        if name in then and name in now
    }
    return {name: round(by) for name, by in moved.items() if abs(by) >= NOTICED}


def _again(first: State, second: State) -> Mapping[str, MeasuredAgain]:
    """Body measures taken in the second call, beside what the first call had."""
    told = {one.dimension: one.value for one in first.estimate.used}
    found: dict[str, MeasuredAgain] = {}
    for step in second.steps:
        dimension = step.question.measures
        value = step.understood.value if step.understood else None
        if dimension not in MEASURED_BY_CALLERS or not isinstance(value, float):
            continue
        origin: Origin = "told" if dimension in told else "estimated"
        had = told.get(dimension, first.estimate.dimensions[dimension].mean)
        found[dimension] = MeasuredAgain(origin, round(had), round(value))
    return found


def _blamed(first: State, off: Mapping[str, float], again: Mapping[str, MeasuredAgain]) -> str:
    """The measure that differs most, of those behind the figure that was off most."""
    if first.fit is None or not off:
        return ""
    worst = first.fit.requirements[max(off, key=lambda name: abs(off[name]))]
    behind = [name for name in worst.rests_on if name in again]
    return max(behind, key=lambda n: abs(again[n].later - again[n].first), default="")
