"""Every caution of the call with its words, when it was said, and the lifting of a stop."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, Literal

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widgets import Static

from consult.ui.caution_words import cautions_text
from consult.ui.keys import Foot
from consult.ui.page import Page
from consult.ui.words import literal

if TYPE_CHECKING:
    from consult.call.state import State

Asked = Literal["lift", "signs"]


class CautionsScreen(Page[Asked | None]):
    """What to do next: lift the stop, ask the warning signs, or nothing."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,f6", "dismiss(None)", "Back"),
        Binding("l", "lift", "Lift the stop"),
        Binding("f12", "dismiss('signs')", "Ask the warning signs"),
    ]

    def __init__(self, now: State) -> None:
        super().__init__()
        self.now = now

    def compose(self) -> ComposeResult:
        with VerticalScroll(classes="page") as page:
            page.border_title = "Cautions in this call"
            yield Static(literal(cautions_text(self.now)), id="all-cautions", markup=False)
        yield Foot()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool:  # noqa: ARG002
        """Lifting is offered only where a stop is in force."""
        return self.stands and (action != "lift" or self.now.stopped is not None)

    def action_lift(self) -> None:
        """Ask for the reason next."""
        self.dismiss("lift")
