"""Every caution of the call with its words, when it was said, and the lifting of a stop."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, Literal

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widgets import Footer, Static

from consult.tree.sources import citation
from consult.ui.page import Page
from consult.ui.words import at, lifted_before, literal

if TYPE_CHECKING:
    from consult.call.state import Raised, State

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
        yield Footer()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool:  # noqa: ARG002
        """Lifting is offered only where a stop is in force."""
        return self.stands and (action != "lift" or self.now.stopped is not None)

    def action_lift(self) -> None:
        """Ask for the reason next."""
        self.dismiss("lift")


def cautions_text(now: State) -> str:
    """Every caution word for word, and what was done about it."""
    told = "\n\n".join(_caution(one) for one in now.cautions)
    if not told:
        return "No caution applies so far."
    if now.stopped is None:
        return told
    return f"{told}\n\nPress l to lift a stop. You must give a reason."


def _caution(raised: Raised) -> str:
    lines = [f"{raised.caution.level.upper()}: {raised.say}"]
    if raised.contact:
        lines.append(f"Whom to contact: {raised.contact} ({citation(raised.contact_sources)})")
    if raised.outranked:
        lines.append("Not said, because the stop above is more urgent.")
    if raised.said is not None:
        lines.append(f"Said to the caller{at(raised.said)}.")
    if raised.lifted is not None:
        lines.append(f"Lifted{at(raised.lifted)}, because: {raised.lifted.lifted}")
    if raised.was_lifted is not None:
        lines.append(lifted_before(raised.was_lifted))
    if raised.sources:
        lines.append(f"Source: {citation(raised.sources)}")
    return "\n".join(lines)
