"""The running fit beside the question."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Static

from consult.ui.words import body_lines, chair_lines, fit_lines, note_lines

if TYPE_CHECKING:
    from consult.call.state import State


class FitPanel(VerticalScroll, can_focus=False):
    """Set-up and chair, worked out again after each answer."""

    def compose(self) -> ComposeResult:
        yield Static(id="fit", markup=False)
        yield Static(id="chair", markup=False)
        yield Static(id="notes", markup=False)
        yield Static(id="body", markup=False)

    def show(self, state: State, before: State | None, *, roomy: bool) -> None:
        """Show the fit of a state and what changed since the one before."""
        self.border_title = "Set-up so far; nine in ten lie within ±" if roomy else "Set-up so far"
        parts = {
            "#fit": fit_lines(state, before, roomy=roomy),
            "#chair": chair_lines(state),
            "#notes": note_lines(state),
            "#body": body_lines(state) if state.stopped is None else Content(""),
        }
        for name, content in parts.items():
            part = self.query_one(name, Static)
            part.display = bool(content.plain)
            part.update(content)
