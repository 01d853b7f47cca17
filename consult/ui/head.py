"""The first line of the call screen: the minutes, and whose call it is."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from consult.call.pace import Pace
    from consult.call.session import Session

_GAP = " | "
_LONGEST_NAME = 40
IN_FULL = "in full"


def head_line(pace: Pace, reference: str, session: Session, width: int) -> str:
    """As much as goes into ``width`` cells, the minutes first.

    The country comes before the rest: it says whose emergency numbers a caution names.
    """
    now, basis = session.now, session.basis
    country = basis.contacts.name(now.country)
    minutes = pace.words
    if len(_GAP.join((minutes, reference, country))) > width:
        minutes = pace.short
    parts = [minutes, reference]
    room = width - len(_GAP.join((*parts, "", country)))
    name = " ".join(now.caller_name.split())[: max(0, min(_LONGEST_NAME, room))]
    rest = (name, country, IN_FULL if now.call.thorough else "", now.call.system, basis.tree.title)
    for part in filter(None, rest):
        if len(_GAP.join((*parts, part))) <= width:
            parts.append(part)
    return _GAP.join(parts)
