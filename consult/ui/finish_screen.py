"""The end of the call on one page: what is missing or unsure, the read-back, summary and saving."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Input, Static

from consult.ui.save_page import SavePage
from consult.ui.words import literal

if TYPE_CHECKING:
    from consult.summary.kinds import Paper
    from consult.ui.finishing import Finish


class FinishScreen(SavePage):
    """Nothing here ends the call: Esc goes back to it."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "dismiss(None)", "Back"),
        Binding("s,f8", "save('caller')", "Save"),
        Binding("c", "save('card')", "Card"),
        Binding("e", "save('employer')", "Employer"),
        Binding("o", "save('order')", "Order team"),
        Binding("f", "save('file')", "File"),
    ]
    AUTO_FOCUS = "#finish-page"
    ENTER = "save('caller')"

    def __init__(self, end: Finish) -> None:
        super().__init__(end.stem)
        self.end = end

    def compose(self) -> ComposeResult:
        with VerticalScroll(classes="page", id="finish-page") as page:
            page.border_title = "Before you hang up"
            yield Static(id="closing", markup=False)
            yield Static(id="summary-text", markup=False)
        if self.end.open_day is not None:
            yield Static(literal("Follow-up: when shall we call?"), markup=False)
            yield Input(id="follow-up", placeholder="in 2 weeks; Enter")
        yield from self.compose_saving()

    def on_mount(self) -> None:
        self._show()

    def _show(self) -> None:
        closing, summary = self.end.told()
        parts = [_section(title, lines) for title, lines in closing.sections()]
        self.query_one("#closing", Static).update(Content("\n\n").join(parts))
        self.query_one("#summary-text", Static).update(
            literal("\n\nThe summary\n\n", "bold") + literal(summary)
        )

    @on(Input.Submitted, "#follow-up")
    def day_agreed(self, event: Input.Submitted) -> None:
        """Take the day; what cannot be read stays there to be corrected."""
        event.stop()
        wrong = self.end.agree_day(event.value)
        self.tell(wrong or "The follow-up date is stored.")
        if not wrong:
            event.input.display = False
            self._show()

    def action_save(self, paper: Paper) -> None:
        """Write a paper of the call; say where, or why not, and keep the name typed."""
        self.save_named(lambda stem: self.end.save(stem, paper))


def _section(title: str, lines: tuple[str, ...]) -> Content:
    told = "\n".join(f"- {line}" for line in lines)
    return literal(f"{title}\n", "bold") + literal(told)
