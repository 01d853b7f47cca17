"""The first line of the call screen: the minutes, and whose call it is."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from consult.call.pace import Pace
    from consult.call.session import Session

_GAP = "  |  "
IN_FULL = "in full"


def head_line(pace: Pace, reference: str, session: Session, width: int) -> str:
    """As much as goes into ``width`` cells, the minutes first."""
    now, basis = session.now, session.basis
    name = " ".join(now.caller_name.split())[:40]
    rest = [IN_FULL] if now.call.thorough else []
    rest += [reference, name, now.call.system, basis.contacts.name(now.country), basis.tree.title]
    minutes = pace.words if len(pace.words) + len(_GAP + reference) <= width else pace.short
    parts = [minutes]
    for one in filter(None, rest):
        if one == name:  # a long one gives way to what comes after it
            one = name[: max(8, width - len(_GAP.join([*parts, "", *rest[-3:-1]])))]
        if len(_GAP.join([*parts, one])) <= width:
            parts.append(one)
    return _GAP.join(parts)
