"""The measuring sheet of a call on one page: to read, and to save with an e-mail draft."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widgets import Footer, Input, Static

from consult.call.to_measure import to_measure
from consult.records.files import home_path, write_whole
from consult.records.trouble import CannotKeep
from consult.summary.kinds import ENDINGS
from consult.summary.measuring_sheet import measuring_sheet
from consult.summary.sheet_writer import SHEET_FORMS, paper_of, write_sheet
from consult.ui.page import Page
from consult.ui.words import literal

if TYPE_CHECKING:
    from datetime import datetime

    from consult.call.session import Session

NOTHING = "Nothing is left to measure with a tape."
STOPPED = "The call was stopped, so nothing is measured."


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
        try:
            for form in SHEET_FORMS:
                path = stem.with_name(f"{stem.name}{ENDINGS[form]}")
                write_whole(path, write_sheet(basis, sheet, form, made, paper))
        except (OSError, ValueError) as error:
            return f"! Not saved: {error}. The call is still here; try another place."
        endings = " ".join(ENDINGS[form] for form in SHEET_FORMS)
        return f"Saved {stem} as {endings}. Open the .eml to send it."

    text = write_sheet(basis, sheet, "text", made).decode()
    return SheetScreen(text, Path.cwd() / f"measuring-sheet-{clock():%Y%m%d-%H%M}", save)


class SheetScreen(Page[None]):
    """Esc goes back to the call, which stays as it is."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "dismiss(None)", "Back"),
        Binding("s,f8", "save", "Save, with an e-mail draft"),
    ]
    AUTO_FOCUS = "#sheet-page"

    def __init__(self, text: str, stem: Path, save: Callable[[Path], str]) -> None:
        """``save`` writes the sheet under a name without ending, and tells what became of it."""
        super().__init__()
        self.text, self.stem, self.save = text, stem, save

    def compose(self) -> ComposeResult:
        with VerticalScroll(classes="page", id="sheet-page") as page:
            page.border_title = "What is still to be measured"
            yield Static(literal(self.text), markup=False)
        yield Static(literal("Save as; endings are added:"), markup=False)
        yield Input(str(self.stem), id="save-as", placeholder="a name; Enter or F8")
        yield Static(id="save-result", markup=False)
        yield Footer()

    @on(Input.Submitted, "#save-as")
    def name_entered(self, event: Input.Submitted) -> None:
        """Enter in the name saves."""
        event.stop()
        self.action_save()

    def action_save(self) -> None:
        """Write the sheet; say where, or why not, and keep the name typed."""
        named = self.query_one("#save-as", Input).value.strip()
        if not named:
            self._tell("Please name the file.")
            return
        try:
            self._tell(self.save(home_path(named)))
        except CannotKeep as trouble:
            self._tell(f"! {trouble}")

    def _tell(self, text: str) -> None:
        self.query_one("#save-result", Static).update(literal(text))
