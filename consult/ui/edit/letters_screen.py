"""Asks what to do, each answer a letter of its own."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.events import Key
from textual.widgets import Static

from consult.ui.page import Page
from consult.ui.words import literal


class LettersScreen(Page[str | None]):
    """Gives back the letter pressed; None for Escape. Enter, too soon pressed, means nothing."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "dismiss(None)", "Back")]
    AUTO_FOCUS = "#letters"

    def __init__(self, told: str, letters: Mapping[str, str], leave: str) -> None:
        """``letters`` says what each does, ``leave`` what Esc does."""
        super().__init__()
        self.told, self.letters, self.leave = told, letters, leave

    def compose(self) -> ComposeResult:
        keys = [f"{letter}  {does}" for letter, does in self.letters.items()]
        with VerticalScroll(id="letters", classes="box"):
            yield Static(literal(self.told), markup=False)
            yield Static(literal("\n".join([*keys, f"Esc  {self.leave}"]), "bold"), markup=False)

    def on_key(self, event: Key) -> None:
        """One of the letters."""
        if self.stands and event.character in self.letters:
            event.stop()
            self.dismiss(event.character)
