"""A list to choose from: typing narrows it, Enter takes the line under the cursor."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from consult.ui.page import Page
from consult.ui.words import literal


@dataclass(frozen=True, slots=True)
class Line:
    """One thing that can be chosen."""

    id: str
    text: str


class ChooseScreen(Page[str | None]):
    """Gives back the id of the line chosen; None where the adviser left."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "dismiss(None)", "Back"),
        Binding("down", "move(1)", "Down", show=False),
        Binding("up", "move(-1)", "Up", show=False),
    ]
    AUTO_FOCUS = "#narrow"

    def __init__(
        self, title: str, find: Callable[[str], Sequence[Line]], none: str, typed: str = ""
    ) -> None:
        """``find`` gives the lines for what is typed; ``none`` is shown where there are none."""
        super().__init__()
        self.list_title, self.find, self.none, self.typed = title, find, none, typed

    def compose(self) -> ComposeResult:
        with Vertical(classes="box tall"):
            yield Static(literal(self.list_title, "bold"), markup=False)
            yield Input(
                self.typed, id="narrow", placeholder="type to search the list; Up, Down, Enter; Esc"
            )
            yield OptionList(id="lines", markup=False)

    def on_mount(self) -> None:
        self._fill(self.typed)

    @on(Input.Changed, "#narrow")
    def narrowed(self, event: Input.Changed) -> None:
        """Show what goes with the text typed."""
        self._fill(event.value)

    @on(Input.Submitted, "#narrow")
    def entered(self, event: Input.Submitted) -> None:
        """Take the line under the cursor."""
        event.stop()
        self.query_one(OptionList).action_select()

    @on(OptionList.OptionSelected, "#lines")
    def chosen(self, event: OptionList.OptionSelected) -> None:
        """Give it back."""
        event.stop()
        if event.option_id is not None:
            self.dismiss(event.option_id)

    def action_move(self, way: int) -> None:
        """Up and down in the list while the typing stays in the line."""
        lines = self.query_one(OptionList)
        if way > 0:
            lines.action_cursor_down()
        else:
            lines.action_cursor_up()

    def _fill(self, typed: str) -> None:
        lines = self.query_one(OptionList)
        found = self.find(typed)
        options = [Option(_one_line(one.text), id=one.id) for one in found]
        lines.set_options(options or [Option(literal(self.none), disabled=True)])
        lines.highlighted = 0 if options else None


def _one_line(text: str) -> Content:
    return literal(" ".join(text.split()))
