"""One line each about the chair at hand: its price, and when it can be sent."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from consult.call.state import State
    from consult.fit.pick import Picked
    from consult.fit.range_model import Range

_NONE = "No chair is chosen in this call."


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
    days = "1 working day" if picked.lead_days == 1 else f"{picked.lead_days} working days"
    return f"It can be sent in {days}. The {slowest.name} takes longest."


def _picked(state: State) -> Picked | None:
    return state.picked if state.picked is not None and state.picked.parts else None
