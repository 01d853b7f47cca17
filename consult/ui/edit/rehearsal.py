"""A rehearsal: the call desk itself, over the draft, from any question; nothing is kept."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

from consult.call.call import Call
from consult.call.session import Session
from consult.records.desk_calls import DeskCalls
from consult.ui.call_screen import CallScreen
from consult.ui.widgets.said_list import SaidList

if TYPE_CHECKING:
    from datetime import datetime
    from pathlib import Path

    from consult.call.basis import Basis
    from consult.call.state import State

NAME = "rehearsal"
COUNTRY = "GB"


class NothingKept(DeskCalls):
    """Stands where the records are at a real desk."""

    def __init__(self, editor: str) -> None:
        self.adviser = editor
        self.notices = []

    def keep(self, name: str, now: State) -> str:  # noqa: ARG002
        """Keep nothing."""
        return ""

    def reference(self, name: str) -> str:
        """There is none to tell."""
        return name

    def note_summary(self, name: str, path: Path) -> str:  # noqa: ARG002
        """Note nothing."""
        return ""


class RehearsalScreen(CallScreen):
    """The call desk; Escape from the answer line goes back to the content desk."""

    def action_back(self) -> None:
        """Leave a list or an amendment first, then the rehearsal."""
        amending = self.session.amending is not None
        if amending or self.query_one(SaidList).has_focus:
            super().action_back()
        else:
            self.app.pop_screen()


def rehearsal(
    basis: Basis, question: str, clock: Callable[[], datetime], editor: str
) -> RehearsalScreen:
    """A call that begins at a question and goes on from there as a real one would."""
    now = clock()
    tree = basis.tree
    if question in tree.questions:
        tree = replace(tree, first=question)
    session = Session(replace(basis, tree=tree), Call(now.date(), "metric", COUNTRY), now)
    return RehearsalScreen(session, NothingKept(editor), NAME, clock)
