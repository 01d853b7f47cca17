"""The chair in a line each: summary, price, when it can be ready, what the last answer changed."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

from consult.call.fit_json import of_a_hundred
from consult.call.options import delivery_of, quantity_line, quantity_ordered, with_delivery
from consult.problems import listed
from consult.scale import days_words, dearer, money, working_day
from consult.sentence import of_thing

if TYPE_CHECKING:
    from collections.abc import Iterator

    from consult.call.state import State
    from consult.call.understand import AnswerValue
    from consult.fit.settings import Picked
    from consult.range.model import Range

NONE_CHOSEN = "No chair is chosen in this call."
NOTHING_TO_EXPLAIN = "There is no chair in this call, so there is nothing to explain."
ENDED = "No chair: product advice has ended."
NO_DESK = "desk not known"


def chair_line(state: State, range_: Range | None, width: int) -> str:
    """Chair, price, when it can be sent and how sure, in ``width`` cells where they go in.

    '' where the tree works out no chair, and while the first one is still being worked out.
    """
    if state.stopped is not None:
        return of_thing(ENDED, state.thing)
    picked, chosen = _picked(state), state.chosen
    if range_ is None:
        return ""
    if chosen is None:
        return _for_a_team(state, range_, width)
    if picked is None or chosen.ordered is None:
        return of_thing("No chair in the range is suitable: /why", state.thing)
    names = [part.name for part in picked.parts.values()]
    cost, delivered = with_delivery(range_, state)
    price, days = money(cost, range_.currency) + delivered, days_words(picked.lead_days)
    odds = of_a_hundred(chosen.ordered.p_fits)
    known = desk_known(state) or range_.fitting is not None
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
    more = "+" if delivered.endswith("+ delivery") else ""
    round_price = money(cost, range_.currency, whole=True)
    end = f"|{round_price}{more}|{few}|{least if known else f'{least}, desk?'}"
    room = max(3, width - len(end))
    return (names[0] if len(names[0]) <= room else f"{names[0][: room - 1]}…") + end


def _for_a_team(state: State, range_: Range, width: int) -> str:
    """That several pieces cost less, in a call that works out no chair."""
    pieces = quantity_ordered(state)
    if state.fit is not None or pieces < 2 or not quantity_line(range_, pieces):
        return ""
    message = f"Prices for {pieces} pieces are lower: /price"
    return message if len(message) <= width else "/price"


def price_line(state: State, range_: Range | None) -> str:
    """The price of the chair with its accessories and what delivery adds."""
    picked = _picked(state)
    if picked is None or range_ is None:
        return (quantity_line(range_, quantity_ordered(state)) if range_ else "") or of_thing(
            NONE_CHOSEN, state.thing
        )
    sold = range_.sold_as(picked.parts)
    pieces, currency = quantity_ordered(state), range_.currency
    parts = ", ".join(f"{part.name} {money(part.price_for(pieces), currency)}" for part in sold)
    message = f"{money(picked.price, currency)} for the {state.thing} as chosen: {parts}."
    if pieces > 1:
        message += f" {pieces} of it: {money(picked.price * pieces, currency)}."
    sent = delivery_of(range_, state)
    if sent is not None:
        cost = money(sent.price, range_.currency)
        total = money(with_delivery(range_, state)[0], range_.currency)
        return f"{message} {sent.name}: {cost}. Together {total}."
    if range_.on_sale("delivery"):
        return f"{message} Delivery comes on top: the price list has no price for that country."
    return message


def ready_line(state: State) -> str:
    """When the chair can be sent, and which part takes longest."""
    picked = _picked(state)
    if picked is None:
        return of_thing(NONE_CHOSEN, state.thing)
    slowest = max(picked.parts.values(), key=lambda part: part.lead_days)
    day, days = working_day(state.call.today, picked.lead_days), days_words(picked.lead_days)
    late, there = too_late(state), arrives(state)
    comes = f" It arrives about {there:%A} {there.day} {there:%B}." if there else ""
    return (
        f"It can be sent in {days}: {day:%A} {day.day} {day:%B}, if there is no bank holiday "
        f"before then. The {slowest.name} takes longest.{comes}{f' {late}' if late else ''}"
    )


def arrives(state: State) -> date | None:
    """The day the chair arrives if it is ordered today; None where the range does not say how long
    it is on the way."""
    picked = _picked(state)
    if picked is None or state.chosen is None:
        return None
    sent = delivery_of(state.chosen.chosen_for.range, state)
    if sent is None or not sent.lead_days:
        return None
    return working_day(working_day(state.call.today, picked.lead_days), sent.lead_days)


_DAYS_UNTIL = {"two_weeks": 14, "a_month": 30}
"""Choice of a question that sets ``needed_by`` -> days from the call, the day itself counted in."""


def too_late(state: State) -> str:
    """That the chair can only be there, or be sent, after the day it is wanted; '' where it is
    not so."""
    picked = _picked(state)
    if picked is None:
        return ""
    there = arrives(state)
    ready = there or working_day(state.call.today, picked.lead_days)
    wanted = [
        day
        for step in state.steps
        if step.question.sets == "needed_by" and step.understood is not None
        if (day := _day_meant(step.understood.value, state.call.today)) is not None
    ]
    if not wanted or ready <= min(wanted):
        return ""
    sent, by = (f"{day:%A} {day.day} {day:%B}" for day in (ready, min(wanted)))
    return f"It is wanted by {by}, and can't {'arrive' if there else 'be sent'} before {sent}."


def _day_meant(said: AnswerValue | None, today: date) -> date | None:
    if isinstance(said, date):
        return said
    days = _DAYS_UNTIL.get(said) if isinstance(said, str) else None
    return today + timedelta(days=days) if days is not None else None


def desk_known(state: State) -> bool:
    """Whether the desk height is known, or that there is no desk."""
    desk = state.workplace.desk
    return desk.kind == "none" or desk.height is not None or desk.lowest is not None


def _picked(state: State) -> Picked | None:
    return state.picked if state.picked is not None and state.picked.parts else None


# -- what the last answer changed in the chair, in one line ---------------------------------------


def changed_chair(before: State, after: State) -> str:
    """The parts that were added, removed or replaced, and the change in price.

    Where only the chances moved, those. '' where nothing moved, or there are no two chairs.
    """
    if before.picked is None or after.picked is None:
        return ""
    if not before.picked.parts or not after.picked.parts:
        return ""
    changes = [*_parts(before, after), *_price(before, after)]
    return ", ".join(changes) or _odds(before, after)


def _parts(before: State, after: State) -> Iterator[str]:
    assert before.picked is not None
    assert after.picked is not None
    was, now = before.picked.parts, after.picked.parts
    for kind, part in now.items():
        if kind in was and was[kind].code != part.code:
            yield f"{_small(part.name)} instead of {_apart(was[kind].name, part.name)}"
    if added := [_small(part.name) for kind, part in now.items() if kind not in was]:
        yield f"{listed(added, 'and')} added"
    if gone := [_small(part.name) for kind, part in was.items() if kind not in now]:
        yield f"no {listed(gone, 'or')} any more"


def _price(before: State, after: State) -> Iterator[str]:
    assert before.picked is not None
    assert after.picked is not None
    if after.chosen is not None:
        currency = after.chosen.chosen_for.range.currency
        yield from filter(None, [dearer(after.picked.price - before.picked.price, currency)])


def _odds(before: State, after: State) -> str:
    was, now = (state.chosen.ordered if state.chosen else None for state in (before, after))
    if was is None or now is None:
        return ""
    old, new = of_a_hundred(was.p_fits), of_a_hundred(now.p_fits)
    return f"same {after.thing}, now fits {new} (before: {old})" if old != new else ""


def _apart(name: str, other: str) -> str:
    """A name without the words at its end that another has too: "large" beside "medium seat"."""
    words, same = _small(name).split(), _small(other).split()
    while len(words) > 1 and len(same) > 1 and words[-1] == same[-1]:
        words.pop()
        same.pop()
    return " ".join(words)


def _small(name: str) -> str:
    """A name inside a sentence: capitals that mean something stay."""
    return name if name[1:2].isupper() else f"{name[:1].lower()}{name[1:]}"
