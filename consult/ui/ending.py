"""The end of a call at the desk: what it leaves for later is stored with it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consult.call.ending import ended

if TYPE_CHECKING:
    from consult.ui.call_screen import CallScreen


def finish(call: CallScreen) -> str:
    """Store a call that is at its end, and finish it; returns messages for the adviser, or ''."""
    session, kept, name = call.session, call.kept, call.kept_as
    now = session.whole()
    came = call.firsts.came_of(now, session.basis) if call.firsts and now.first_reference else None
    then = ended(session.basis, now, came, call.clock())
    told = ""
    if then is not now:
        session.now = then
        told = kept.keep(name, then)
    return " ".join(filter(None, (told, kept.finish(name, stopped=now.stopped is not None))))
