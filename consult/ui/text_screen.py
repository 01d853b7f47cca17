"""Plain text to read and scroll."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widgets import Static

from consult.ui.keys import Foot
from consult.ui.page import Page
from consult.ui.words import literal


class TextScreen(Page[None]):
    """Shows a text until Escape."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,f1", "dismiss(None)", "Back")]

    def __init__(self, title: str, text: str) -> None:
        super().__init__()
        self.text_title = title
        self.text = text

    def compose(self) -> ComposeResult:
        with VerticalScroll(classes="page") as page:
            page.border_title = self.text_title
            yield Static(literal(self.text), markup=False)
        yield Foot()
