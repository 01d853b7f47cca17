"""The running fit beside the question."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.widgets import Static

from consult.ui.words import chair_lines, fit_lines

if TYPE_CHECKING:
    from consult.call.state import State


class FitPanel(VerticalScroll, can_focus=False):
    """Set-up and chair, worked out again after each answer."""

    def compose(self) -> ComposeResult:
        yield Static(id="fit", markup=False)
        yield Static(id="chair", markup=False)

    def show(self, state: State, before: State | None, *, roomy: bool) -> None:
        """Show the fit of a state and what changed since the one before."""
        self.border_title = "Set-up so far (nine in ten are within ±)"
        self.query_one("#fit", Static).update(fit_lines(state, before, roomy=roomy))
        chair = self.query_one("#chair", Static)
        chair.display = state.picked is not None
        chair.update(chair_lines(state))
