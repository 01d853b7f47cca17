"""A page whose text can be saved under a name that the adviser may change."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from textual import on
from textual.app import ComposeResult
from textual.widgets import Input, Static

from consult.records.errors import CannotKeep
from consult.records.place import home_path
from consult.ui.keys import Foot
from consult.ui.page import Page
from consult.ui.words import literal


class SavePage(Page[None]):
    """Esc goes back to the call, which stays as it is."""

    ENTER = ""
    """The action that Enter in the name does."""

    def __init__(self, stem: Path) -> None:
        """``stem`` is the name proposed, without an ending."""
        super().__init__()
        self.stem = stem

    def compose_saving(self) -> ComposeResult:
        """The name, what became of saving, and the keys; the last of the page."""
        yield Static(literal("Save as; endings are added:"), markup=False)
        yield Input(str(self.stem), id="save-as", placeholder="a name; Enter or F8")
        yield Static(id="save-result", markup=False)
        yield Foot()

    @on(Input.Submitted, "#save-as")
    async def name_entered(self, event: Input.Submitted) -> None:
        """Enter in the name saves."""
        event.stop()
        await self.run_action(self.ENTER)

    def save_named(self, save: Callable[[Path], str]) -> None:
        """Save under the name typed; say where, or why not, and keep the name."""
        named = self.query_one("#save-as", Input).value.strip()
        if not named:
            self.tell("Please name the file.")
            return
        try:
            self.tell(save(home_path(named)))
        except CannotKeep as trouble:
            self.tell(f"! {trouble}")

    def tell(self, text: str) -> None:
        """Say something below the name."""
        self.query_one("#save-result", Static).update(literal(text))
