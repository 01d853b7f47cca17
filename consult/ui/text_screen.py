"""Plain text to read and scroll: the help, and the call summary with its export."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Footer, Input, Static

from consult.ui.words import literal


class TextScreen(ModalScreen[None]):
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
        yield Footer()


class SummaryScreen(ModalScreen[None]):
    """The call summary, and where to save it."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "dismiss(None)", "Back to the call"),
        Binding("f8", "save", "Save"),
    ]
    AUTO_FOCUS = "#summary-page"

    def __init__(self, text: str, stem: Path, save: Callable[[Path], str]) -> None:
        super().__init__()
        self.text = text
        self.stem = stem
        self.save = save

    def compose(self) -> ComposeResult:
        with VerticalScroll(classes="page", id="summary-page") as page:
            page.border_title = "Call summary"
            yield Static(literal(self.text), markup=False)
        yield Static(literal("Save as (.txt, .md and .json are added):"), markup=False)
        yield Input(str(self.stem), id="save-as")
        yield Static(id="save-result", markup=False)
        yield Footer()

    def action_save(self) -> None:
        """Write the summary; say where, or why not, and keep the name typed."""
        named = self.query_one("#save-as", Input).value.strip()
        said = self.save(Path(named).expanduser()) if named else "Please give the file a name."
        self.query_one("#save-result", Static).update(literal(said))

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Enter in the name saves too."""
        event.stop()
        self.action_save()
