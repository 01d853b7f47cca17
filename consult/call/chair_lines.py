"""One line each about the chair at hand: its price, and when it can be sent."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.call.chosen_json import of_a_hundred

if TYPE_CHECKING:
    from consult.call.state import State
    from consult.fit.pick import Picked
    from consult.fit.range_model import Range

_NONE = "No chair is chosen in this call."


def chair_line(state: State, range_: Range | None) -> str:
    """The chair at a glance: how sure, price, when it can be sent, parts; '' without a chair."""
    picked, found = _picked(state), state.chosen
    if picked is None or found is None or found.ordered is None or range_ is None:
        return ""
    names = ", ".join(part.name for part in picked.parts.values())
    return " | ".join(
        (
            f"Fits {of_a_hundred(found.ordered.p_fits)}",
            f"{picked.price:.2f} {range_.currency}",
            _days(picked.lead_days),
            names,
        )
    )


def price_line(state: State, range_: Range | None) -> str:
    """What the chair costs, with all that goes with it."""
    picked = _picked(state)
    if picked is None or range_ is None:
        return _NONE
    parts = ", ".join(f"{part.name} {part.price:.2f}" for part in picked.parts.values())
    return f"{picked.price:.2f} {range_.currency} for the chair as chosen: {parts}."


def ready_line(state: State) -> str:
    """When the chair can be sent, and which part takes longest."""
    picked = _picked(state)
    if picked is None:
        return _NONE
    slowest = max(picked.parts.values(), key=lambda part: part.lead_days)
    return f"It can be sent in {_days(picked.lead_days)}. The {slowest.name} takes longest."


def _days(days: int) -> str:
    return "1 working day" if days == 1 else f"{days} working days"


def _picked(state: State) -> Picked | None:
    return state.picked if state.picked is not None and state.picked.parts else None
