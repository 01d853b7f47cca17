"""The chair and the minutes to go: where they take long in a thread, so that no question waits."""

from __future__ import annotations

import math
from functools import partial
from typing import TYPE_CHECKING

from textual.message import Message

from consult.call.ahead import WorkedOut, work_out
from consult.range.parts import CHAIR_KINDS
from consult.sentence import of_thing

if TYPE_CHECKING:
    from collections.abc import Callable

    from consult.call.session import Session
    from consult.call.state import State
    from consult.ui.call_screen import CallScreen

FAILED = "The chair could not be chosen. The set-up and the answers are not affected."


_FEW = 5000
"""Ways to put the parts of a range together up to which a chair is chosen at once."""


class ChairChosen(Message):
    """The chair for a state has been worked out, and what is still to ask."""

    def __init__(self, of: State, worked: WorkedOut) -> None:
        super().__init__()
        self.of = of
        """The state it was asked for; if that is no longer the present state, the result is
        dropped."""
        self.worked = worked


def at_once(call: CallScreen, now: State) -> bool:
    """Whether the chair of a state was worked out here, to be drawn with the next question: where
    that takes less time than a screen takes to be drawn once more."""
    if not _quick(call.session, now):
        return False
    try:
        worked = work_out(call.session.basis, now)
    except Exception:  # must not end the call: the thread tries again, and says so
        return False
    return call.session.take_in(now, worked)


def _quick(session: Session, now: State) -> bool:
    """A small range, and no pool whose questions are worth something else now."""
    range_, before = session.basis.range, session.before
    if range_ is not None:
        chairs = math.prod(len(range_.on_sale(kind)) or 1 for kind in CHAIR_KINDS)
        if range_.fitting is not None or chairs > _FEW:
            return False
    if before is None or before.workplace != now.workplace or before.estimate is not now.estimate:
        return all(question.pool is None for question in now.to_ask)
    return True


def choose_chair(call: CallScreen) -> None:
    """Work out the chair in a thread, once the next question is on the screen."""
    call.call_after_refresh(in_thread, call, "chair", partial(_work, call, call.now))


def in_thread(
    call: CallScreen, group: str, work: Callable[[], None], *, alone: bool = False
) -> None:
    """Do a piece of work beside the call; with ``alone`` it ends what its group still does.

    It is described by its group: by its arguments, which is usual, a description spells out every
    answer of the call and every body drawn.
    """
    call.run_worker(
        work, group=group, description=group, thread=True, exclusive=alone, exit_on_error=False
    )


def _work(call: CallScreen, now: State) -> None:
    if now is not call.now:
        return
    try:
        worked = work_out(call.session.basis, now)
    except Exception:  # must not end the call
        call.app.call_from_thread(call.tell, of_thing(FAILED, now.thing))
        raise
    call.post_message(ChairChosen(now, worked))
