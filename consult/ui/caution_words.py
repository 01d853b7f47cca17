"""Cautions in words: what interrupts a call, and all of them with what was done about each."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.call.call import UNNAMED_STOP
from consult.tree.sources import citation

if TYPE_CHECKING:
    from consult.call.call import Handled
    from consult.call.raised import Raised
    from consult.call.state import State

_BEFORE = "STOP. Read this before you go on:"
_TITLES = {
    "stop": "STOP. Say this now, word for word:",
    "refer": "Say this before going on:",
    "note": "Say this when it fits:",
}
NOT_STORED = (
    "The caller has not consented, so these answers are not stored. Say any caution as written."
)
TO_LIFT = "Press l to lift a stop. You must give a reason."


def nameless(raised: Raised) -> bool:
    """Whether nobody may read what the stop was about, so that it is read and not said."""
    return raised.caution.name == UNNAMED_STOP


def caution_title(raised: Raised) -> str:
    """What the adviser does with the words."""
    return _BEFORE if nameless(raised) else _TITLES[raised.caution.level]


def below_caution(raised: Raised, country: str) -> list[str]:
    """What stands below the words; ``country`` is the name of the one whose contact it is."""
    lines, contact = [], raised.contact
    if contact:
        if contact not in raised.say:
            lines.append(f"Whom to contact: {contact}")
        sources = citation(raised.contact_sources, brief=True)
        lines.append(f"Contact for {country}. Source: {sources}.")
    if raised.was_lifted is not None:
        lines.append(lifted_before(raised.was_lifted))
    if raised.caution.level == "stop":
        lines.append("No product advice in this call. You are not assessing the caller.")
    return lines


def cautions_text(now: State, to_lift: str = TO_LIFT) -> str:
    """Every caution word for word, and what was done; ``to_lift`` says how a stop is lifted."""
    told = "\n\n".join(_caution(one) for one in now.cautions)
    if not told:
        return "No caution applies so far."
    return told if now.stopped is None else f"{told}\n\n{to_lift}"


def _caution(raised: Raised) -> str:
    lines = [f"{raised.caution.level.upper()}: {raised.say}"]
    if raised.contact:
        lines.append(f"Whom to contact: {raised.contact} ({citation(raised.contact_sources)})")
    if raised.outranked:
        lines.append("Not said, because the stop above is more urgent.")
    if raised.said is not None:
        lines.append(f"Said to the caller{at(raised.said)}.")
    if raised.lifted is not None:
        lines.append(f"Lifted{at(raised.lifted)}, because: {raised.lifted.lifted}")
    if raised.was_lifted is not None:
        lines.append(lifted_before(raised.was_lifted))
    if raised.sources:
        lines.append(f"Source: {citation(raised.sources)}")
    return "\n".join(lines)


def lifted_before(lift: Handled) -> str:
    """Why a stop that holds again had been lifted."""
    return f"It was lifted{at(lift)}, because: {lift.lifted} It applies again, for a new reason."


def at(handled: Handled) -> str:
    """When a caution was dealt with, to come after another word."""
    return f" at {handled.at.astimezone():%H:%M}" if handled.at else ""
