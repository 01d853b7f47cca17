"""The measuring sheet of a call on one page: to read, and to save with an e-mail draft."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widgets import Static

from consult.ui.save_page import SavePage
from consult.ui.words import literal

if TYPE_CHECKING:
    from consult.ui.sheet import Sheet


class SheetScreen(SavePage):
    """Esc goes back to the call, which stays as it is."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "dismiss(None)", "Back"),
        Binding("s,f8", "save", "Save, with an e-mail draft"),
    ]
    AUTO_FOCUS = "#sheet-page"
    ENTER = "save"

    def __init__(self, sheet: Sheet) -> None:
        super().__init__(sheet.stem)
        self.sheet = sheet

    def compose(self) -> ComposeResult:
        with VerticalScroll(classes="page", id="sheet-page") as page:
            page.border_title = "What is still to be measured"
            yield Static(literal(self.sheet.text), markup=False)
        yield from self.compose_saving()

    def action_save(self) -> None:
        """Write the sheet under the name typed."""
        self.save_named(self.sheet.save)
