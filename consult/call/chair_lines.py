"""The current chair in one line each: summary, price, and when it can be ready."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.call.chosen_json import of_a_hundred
from consult.call.options import delivery_of, with_delivery
from consult.call.working_days import days_words, working_day

if TYPE_CHECKING:
    from consult.call.state import State
    from consult.fit.range_model import Range
    from consult.fit.settings import Picked

NONE_CHOSEN = "No chair is chosen in this call."
NOTHING_TO_EXPLAIN = "There is no chair in this call, so there is nothing to explain."
ENDED = "No chair: product advice has ended."
NO_DESK = "desk not known"


def chair_line(state: State, range_: Range | None, width: int) -> str:
    """Chair, price, when it can be sent and how sure, in ``width`` cells where they go in.

    '' where the tree works out no chair, and while the first one is still being worked out.
    """
    if state.stopped is not None:
        return ENDED
    picked, found = _picked(state), state.chosen
    if found is None or range_ is None:
        return ""
    if picked is None or found.ordered is None:
        return "No chair in the range is suitable: /why"
    names = [part.name for part in picked.parts.values()]
    cost, delivered = with_delivery(range_, state)
    price, days = f"{cost:.2f} {range_.currency}{delivered}", days_words(picked.lead_days)
    odds = of_a_hundred(found.ordered.p_fits)
    known = desk_known(state)
    sure = f"fits {odds}" if known else f"fits {odds}, {NO_DESK}"
    few = days.replace("working ", "")
    for chair, when in (
        (", ".join(names), f"ready in {days}"),
        (f"{', '.join(names[:2])}, ...", f"ready in {days}"),
        (names[0], days),
        (names[0], few),
    ):
        line = " | ".join((chair, price, when, sure))
        if len(line) <= width:
            return line
    least = odds.replace("more than ", ">").replace("fewer than ", "<").replace(" of ", "/")
    more = "+" if delivered.startswith(" +") else ""
    end = f"|{cost:.0f} {range_.currency}{more}|{few}|{least if known else f'{least}, desk?'}"
    room = max(3, width - len(end))
    return (names[0] if len(names[0]) <= room else f"{names[0][: room - 1]}…") + end


def price_line(state: State, range_: Range | None) -> str:
    """The price of the chair with its accessories and what delivery adds."""
    picked = _picked(state)
    if picked is None or range_ is None:
        return NONE_CHOSEN
    sold = range_.sold_as(picked.parts)
    parts = ", ".join(f"{part.name} {part.price:.2f}" for part in sold)
    said = f"{picked.price:.2f} {range_.currency} for the chair as chosen: {parts}."
    sent = delivery_of(range_, state)
    if sent is not None:
        cost = f"{sent.price:.2f}" if sent.price else "free"
        total = with_delivery(range_, state)[0]
        return f"{said} {sent.name}: {cost}. Together {total:.2f} {range_.currency}."
    if range_.on_sale("delivery"):
        return f"{said} Delivery comes on top: the price list has no price for that country."
    return said


def ready_line(state: State) -> str:
    """When the chair can be sent, and which part takes longest."""
    picked = _picked(state)
    if picked is None:
        return NONE_CHOSEN
    slowest = max(picked.parts.values(), key=lambda part: part.lead_days)
    day, days = working_day(state.call.today, picked.lead_days), days_words(picked.lead_days)
    return (
        f"It can be sent in {days}: {day:%A} {day.day} {day:%B}, if there is no bank holiday "
        f"before then. The {slowest.name} takes longest."
    )


def desk_known(state: State) -> bool:
    """Whether the desk height is known, or that there is no desk."""
    desk = state.workplace.desk
    return desk.kind == "none" or desk.height is not None or desk.lowest is not None


def _picked(state: State) -> Picked | None:
    return state.picked if state.picked is not None and state.picked.parts else None
