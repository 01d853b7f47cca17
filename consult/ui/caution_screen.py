"""A caution that interrupts: the exact words to say, and whom to contact."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widgets import Static

from consult.ui.page import Page
from consult.ui.words import literal

if TYPE_CHECKING:
    from consult.call.state import Raised

_TITLES = {
    "stop": "STOP. Say this now, word for word:",
    "refer": "Say this before going on:",
    "note": "Say this when it fits:",
}


class CautionScreen(Page[None]):
    """Stays until the adviser has said it."""

    # Not Enter: that key is pressed after every answer, and this one must be meant.
    BINDINGS: ClassVar[list[BindingType]] = [Binding("s", "said", "I have said this")]
    AUTO_FOCUS = None

    def __init__(self, raised: Raised) -> None:
        super().__init__()
        self.raised = raised

    def compose(self) -> ComposeResult:
        level = self.raised.caution.level
        with VerticalScroll(classes=f"caution {level}", can_focus=False):
            yield Static(literal(_TITLES[level], "bold"), markup=False)
            yield Static(literal(self.raised.say), id="caution-say", markup=False)
            if self.raised.contact:
                yield Static(literal(f"Whom to contact: {self.raised.contact}"), markup=False)
            if level == "stop":
                yield Static(
                    literal("No chair advice in this call. You are not assessing the caller."),
                    markup=False,
                )
            yield Static(literal("Press s once you have said it.", "bold"), markup=False)

    def action_said(self) -> None:
        """Close once it has been said."""
        self.dismiss(None)
