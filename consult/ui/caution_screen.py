"""A caution that interrupts: the exact words to say, and whom to contact."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, Literal

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widgets import Static

from consult.ui.caution_words import below_caution, caution_title, nameless
from consult.ui.clicks import clickable
from consult.ui.page import Page
from consult.ui.words import literal

if TYPE_CHECKING:
    from consult.call.state import Raised

Done = Literal["said", "country"]


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
        with VerticalScroll(classes=f"caution {level}", can_focus=False):
            yield Static(literal(caution_title(self.raised), "bold"), markup=False)
            yield Static(literal(self.raised.say), id="caution-say", markup=False)
            for line in below_caution(self.raised, self.country):
                about = "contact-source" if line.startswith("Contact for") else None
                yield Static(literal(line), id=about, markup=False)
            said = f"[Press s once you have {'read' if nameless(self.raised) else 'said'} it.]"
            keys = clickable(literal(said, "bold"), "dismiss('said')")
            if contact:
                keys += literal("  ") + clickable("[c: another country]", "country")
            yield Static(keys, id="caution-keys", markup=False)

    def action_country(self) -> None:
        """Say where the caller is; the box comes back with the words of that country."""
        if self.raised.contact:
            self.dismiss("country")
