"""Asks for one line of text: a note, or the reason for lifting a stop."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widgets import Input, Static

from consult.ui.page import Page
from consult.ui.words import literal


class LineScreen(Page[str | None]):
    """Gives the text back; None where the adviser left."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "dismiss(None)", "Back")]
    AUTO_FOCUS = "#line"

    def __init__(self, title: str, help_: str, text: str = "", *, needed: bool = False) -> None:
        super().__init__()
        self.line_title, self.help_, self.text, self.needed = title, help_, text, needed

    def compose(self) -> ComposeResult:
        with VerticalScroll(classes="box", can_focus=False):
            yield Static(literal(self.line_title, "bold"), markup=False)
            yield Static(literal(self.help_), markup=False)
            yield Input(self.text, id="line")
            yield Static(literal("Enter stores it, Esc cancels."), id="line-told", markup=False)

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Enter gives it back, unless a text is needed and the line is empty."""
        event.stop()
        if self.needed and not event.value.strip():
            self.query_one("#line-told", Static).update(literal("! Type a reason in words."))
            return
        self.dismiss(event.value)
