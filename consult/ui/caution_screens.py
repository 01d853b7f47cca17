"""Cautions on the screen: one that interrupts a call, and the page of all of them."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, Literal

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widgets import Static

from consult.ui.caution_words import below_caution, caution_title, cautions_text, nameless
from consult.ui.dialogs import Page
from consult.ui.keys import Foot
from consult.ui.literal import clickable, literal

if TYPE_CHECKING:
    from consult.call.raised import Raised
    from consult.call.state import State

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


# -- every caution of the call with its words, when it was said, and the lifting of a stop --------

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
