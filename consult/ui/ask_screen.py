"""Asks one yes-or-no question of the adviser."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widgets import Static

from consult.ui.clicks import clickable
from consult.ui.page import Page
from consult.ui.words import literal


class AskScreen(Page[bool]):
    """True for yes. Neither Enter nor a stray letter is a yes."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("y", "dismiss(True)", "Yes"),
        Binding("n,escape", "dismiss(False)", "No"),
    ]
    AUTO_FOCUS = None

    def __init__(self, told: str, keys: str) -> None:
        """``keys`` says what y and Esc do."""
        super().__init__()
        self.told, self.keys = told, keys

    def compose(self) -> ComposeResult:
        with VerticalScroll(classes="box", can_focus=False):
            yield Static(literal(self.told), markup=False)
            yield Static(literal(self.keys, "bold"), markup=False)
            yes, no = clickable("[Yes]", "dismiss(True)"), clickable("[No]", "dismiss(False)")
            yield Static(yes + literal("  ") + no, id="clicks", markup=False)
