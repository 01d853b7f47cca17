"""What to say now: the largest thing on the screen."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content

from consult.tree.placeholders import in_units
from consult.ui.clicks import clickable
from consult.ui.widgets.part import Part
from consult.ui.words import literal

if TYPE_CHECKING:
    from consult.tree.model import Question
    from consult.units import System


class SayPanel(VerticalScroll, can_focus=False):
    """The question, its choices, and how to coach the caller through it.

    It keeps its height whatever is asked, so that the answer line stays where the eye expects it.
    """

    def compose(self) -> ComposeResult:
        yield Part("ask")

    def show(
        self,
        question: Question,
        system: System,
        *,
        coaching: bool,
        amending: bool,
        card: str = "",
    ) -> None:
        """Show one question, its amounts in the caller's units, and what the card says of it."""
        lead = literal("Amend: " if amending else "Say: ", "dim")
        parts = [lead + literal(in_units(question.ask, system), "bold")]
        if question.choices:
            labels = enumerate(question.choices.values(), 1)
            parts.append(Content("\n").join(_choice(at, label) for at, label in labels))
        if question.coach and coaching:
            gap = Content("" if question.choices else "\n")
            parts.append(
                gap + literal("Coach: ", "dim") + literal(in_units(question.coach, system))
            )
        if card:
            parts.append(literal("This chair: ", "dim") + literal(card))
        self._fill(Content("\n").join(parts))

    def show_end(self, text: str) -> None:
        """Show that nothing is left to ask."""
        self._fill(literal(text, "bold"))

    def _fill(self, content: Content) -> None:
        self.query_one("#ask", Part).show(content)
        if self.scroll_y:
            self.scroll_home(animate=False)


def _choice(at: int, label: str) -> Content:
    """A line of the list; a click on it chooses it."""
    return clickable(f"{at:>2}  {label}", f"choose({at})")
