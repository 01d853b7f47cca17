"""The first call beside the call that follows it: the page of both, and the card of the first."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.call.follow_up import FirstCall, already_given
from consult.call.state import with_chair
from consult.summary.first_card import card_steps, parts_line
from consult.summary.model import summarise
from consult.summary.words import long_date

if TYPE_CHECKING:
    from consult.call.basis import Basis
    from consult.call.follow_up import Line
    from consult.records.call_trees import Beside, FirstCalls


def first_call(firsts: FirstCalls, said: str, basis: Basis) -> FirstCall:
    """What the call of a reference gives to one led with ``basis``; or why it gives nothing."""
    found = firsts.first(said, basis)
    if isinstance(found, str):
        return FirstCall(said, found)
    kept, told = found.kept, summarise(found.basis, with_chair(found.basis, found.state))
    parts, steps = parts_line(told), card_steps(told)
    words = [f"First call: {kept.reference}, {long_date(kept.call.today)}."]
    words.append(f"Chair: {parts}." if parts else "It has no chair.")
    if found.state.stopped is not None:
        words[1:] = ["It was stopped, so it has no card."]
    given = already_given(basis.tree, kept.call, kept.caller_name, kept.reference)
    return FirstCall(said, " ".join(words), given, steps)


def then_and_now(found: Beside | str) -> str:
    """The page, or why there is none."""
    if isinstance(found, str):
        return found
    told = [f"First call: {found.kept.reference}, {long_date(found.kept.call.today)}."]
    if found.anew:
        told.append("Its questions have changed since, so its results are worked out again.")
    return "\n\n".join([" ".join(told), page(found.lines)])


def page(lines: tuple[Line, ...]) -> str:
    """A block of short lines for each thing compared."""
    return "\n\n".join(map(_block, lines)) or "There is nothing to compare yet."


def _block(line: Line) -> str:
    values = {"then": line.then, "good": line.good, "now": line.now}
    shown = ", ".join(f"{name} {value}" for name, value in values.items() if value)
    rest = [f"  {text}" for text in (shown, line.do, line.because) if text]
    return "\n".join([line.topic, *rest])
