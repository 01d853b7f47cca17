"""The running fit beside the question."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content

from consult.ui.widgets.part import Part
from consult.ui.words import (
    ROOMY,
    body_lines,
    chair_lines,
    fit_lines,
    literal,
    note_lines,
)

_ORDER = ("fit", "changed", "chair", "notes", "body")

if TYPE_CHECKING:
    from consult.call.state import State


class FitPanel(VerticalScroll, can_focus=False):
    """Set-up and chair, worked out again after each answer."""

    def __init__(self) -> None:
        super().__init__(id="fit-panel")
        self.texts: dict[str, Content] = {}
        """What is shown, by what it is: fit, changed, chair, notes, body."""

    def compose(self) -> ComposeResult:
        yield Part("figures")

    def show(self, state: State, before: State | None) -> None:
        """Show the fit of a state and what changed since the one before.

        While its chair is still being chosen the one before stays, marked as such.
        """
        unit = "in" if state.call.system == "imperial" else "cm"
        width = self.content_size.width
        figures = f"Set-up, {unit}" + ("; 9 in 10 within ±" if width >= ROOMY else "")
        self.border_title = "Advice so far" if state.fit is None else figures
        self.texts["fit"] = fit_lines(state, before, width)
        self.texts["notes"] = note_lines(state)
        self.texts["body"] = body_lines(state) if state.fit is not None else Content("")
        if state.chosen is not None or state.fit is None:
            self.show_chair(state)
        else:
            self.border_subtitle = "choosing a chair ..."
            self._fill()

    def show_chair(self, state: State, changed: str = "") -> None:
        """Show the chair of a state, what the last answer changed in it."""
        self.border_subtitle = ""
        self.texts["changed"] = literal(f"» {changed}" if changed else "")
        self.texts["chair"] = chair_lines(state)
        self._fill()

    def _fill(self) -> None:
        parts = [self.texts.get(name, Content("")) for name in _ORDER]
        gap = "\n\n" if self.content_size.width >= ROOMY else "\n"
        whole = Content(gap).join(part for part in parts if part.plain)
        self.query_one("#figures", Part).show(whole)
