"""Cautions that interrupt a call until the adviser has said them."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from consult.ui import pages
from consult.ui.caution_screens import CautionScreen

if TYPE_CHECKING:
    from consult.call.raised import Raised
    from consult.ui.call_screen import CallScreen
    from consult.ui.caution_screens import Done


def interrupt(call: CallScreen) -> None:
    """Show stops and referrals that were not said yet, the gravest on top."""
    shown = [one for one in call.app.screen_stack if isinstance(one, CautionScreen)]
    waiting = {one.raised.caution.name for one in shown}
    for raised in reversed(call.session.now.to_say):
        if raised.caution.name not in waiting:
            screen = CautionScreen(raised, call.session.basis.contacts.name(call.now.country))
            call.app.push_screen(screen, partial(_dealt_with, call, raised))


def _dealt_with(call: CallScreen, raised: Raised, done: Done | None) -> None:
    if done == "country":
        pages.countries(call)
        return
    call.say(raised)
    call.changed(call.told.removeprefix("! "))
