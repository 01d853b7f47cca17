"""A caution that interrupts: the exact words to say, and whom to contact."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, Literal

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widgets import Static

from consult.call.call import UNNAMED_STOP
from consult.tree.sources import citation
from consult.ui.clicks import clickable
from consult.ui.page import Page
from consult.ui.words import lifted_before, literal

if TYPE_CHECKING:
    from consult.call.state import Raised

Done = Literal["said", "country"]

_BEFORE = "STOP. Read this before you go on:"
_TITLES = {
    "stop": "STOP. Say this now, word for word:",
    "refer": "Say this before going on:",
    "note": "Say this when it fits:",
}


class CautionScreen(Page[Done]):
    """Stays until the adviser has said it, or wants the words of another country."""

    # Not Enter: that key is pressed after every answer, and this one must be meant.
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("s", "dismiss('said')", "I have said this"),
        Binding("c,ctrl+o", "country", "The caller is in another country"),
    ]
    ALONE = frozenset("sc")
    EARLY_KEYS = False
    """What was typed before it opened was meant for the call: it waits until this is said."""
    AUTO_FOCUS = None

    def __init__(self, raised: Raised, country: str) -> None:
        """``country`` is the name of the one whose numbers are in the words."""
        super().__init__()
        self.raised, self.country = raised, country

    def compose(self) -> ComposeResult:
        level, contact = self.raised.caution.level, self.raised.contact
        nameless = self.raised.caution.name == UNNAMED_STOP
        with VerticalScroll(classes=f"caution {level}", can_focus=False):
            yield Static(literal(_BEFORE if nameless else _TITLES[level], "bold"), markup=False)
            yield Static(literal(self.raised.say), id="caution-say", markup=False)
            if contact:
                if contact not in self.raised.say:
                    yield Static(literal(f"Whom to contact: {contact}"), markup=False)
                sources = citation(self.raised.contact_sources, brief=True)
                source = f"Contact for {self.country}. Source: {sources}."
                yield Static(literal(source), id="contact-source", markup=False)
            if self.raised.was_lifted is not None:
                yield Static(literal(lifted_before(self.raised.was_lifted)), markup=False)
            if level == "stop":
                yield Static(
                    literal("No chair advice in this call. You are not assessing the caller."),
                    markup=False,
                )
            said = f"[Press s once you have {'read' if nameless else 'said'} it.]"
            keys = clickable(literal(said, "bold"), "dismiss('said')")
            if contact:
                keys += literal("  ") + clickable("[c: another country]", "country")
            yield Static(keys, id="caution-keys", markup=False)

    def action_country(self) -> None:
        """Say where the caller is; the box comes back with the words of that country."""
        if self.raised.contact:
            self.dismiss("country")
