"""The measuring sheet of a call on one page: to read, and to save with an e-mail draft."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widgets import Static

from consult.call.to_measure import to_measure
from consult.summary.measuring_sheet import measuring_sheet
from consult.summary.sheet_writer import SHEET_FORMS, paper_of, write_sheet
from consult.ui.export import write_forms
from consult.ui.save_page import SavePage
from consult.ui.words import literal

if TYPE_CHECKING:
    from datetime import datetime

    from consult.call.session import Session

NOTHING = "There is nothing left to measure with a tape."
STOPPED = "The call was stopped, so there is nothing to measure."


def sheet_screen(
    session: Session, clock: Callable[[], datetime], reference: str
) -> SheetScreen | str:
    """The page for what is not measured yet; where there is nothing, what to say instead."""
    basis, now = session.basis, session.now
    if now.stopped is not None:
        return STOPPED
    asked = to_measure(basis, now)
    sheet = measuring_sheet(basis.tree, asked, now.call.system, reference)
    if not sheet.measures:
        return NOTHING
    made, paper = clock().astimezone(), paper_of(now.country)

    def save(stem: Path) -> str:
        told, files = write_forms(
            stem, SHEET_FORMS, lambda form: write_sheet(basis, sheet, form, made, paper)
        )
        return f"{told}. Open the .eml to send it." if len(files) == len(SHEET_FORMS) else told

    text = write_sheet(basis, sheet, "text", made).decode()
    return SheetScreen(text, Path.cwd() / f"measuring-sheet-{clock():%Y%m%d-%H%M}", save)


class SheetScreen(SavePage):
    """Esc goes back to the call, which stays as it is."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "dismiss(None)", "Back"),
        Binding("s,f8", "save", "Save, with an e-mail draft"),
    ]
    AUTO_FOCUS = "#sheet-page"
    ENTER = "save"

    def __init__(self, text: str, stem: Path, save: Callable[[Path], str]) -> None:
        """``save`` writes the sheet under a name without ending, and tells what became of it."""
        super().__init__(stem)
        self.text, self.save = text, save

    def compose(self) -> ComposeResult:
        with VerticalScroll(classes="page", id="sheet-page") as page:
            page.border_title = "What is still to be measured"
            yield Static(literal(self.text), markup=False)
        yield from self.compose_saving()

    def action_save(self) -> None:
        """Write the sheet under the name typed."""
        self.save_named(self.save)
