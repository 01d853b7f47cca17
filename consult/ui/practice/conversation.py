"""What was said by both, as lines of the screen."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.containers import VerticalScroll
from textual.content import Content

from consult.call.wording import question_label
from consult.practice.log import Entered, Event, Hinted, Lifted, Log, Spoke, Turn
from consult.ui.literal import literal
from consult.ui.widgets.part import TextPart

if TYPE_CHECKING:
    from textual.app import ComposeResult

_LONGEST = 2000
"""Letters of one thing said that are shown."""


class Conversation(VerticalScroll, can_focus=False):
    """The conversation of an exercise, the newest at the bottom."""

    def __init__(self) -> None:
        super().__init__(id="conversation")
        self._shown = 0

    def compose(self) -> ComposeResult:
        yield TextPart("spoken")

    def on_mount(self) -> None:
        self.border_title = "Conversation"

    def on_resize(self) -> None:
        """The latest words stay in sight."""
        self.scroll_end(animate=False)

    def show(self, log: Log) -> None:
        """Show it; what is new comes into sight."""
        said = [one for one in log.events if isinstance(one, (Spoke, Hinted))]
        if len(said) == self._shown:
            return
        self._shown = len(said)
        lines = [line for event in said for line in event_lines(event)]
        self.query_one("#spoken", TextPart).show(Content("\n").join(lines))
        self.call_after_refresh(self.scroll_end, animate=False)


def event_lines(event: Event) -> list[Content]:
    """One thing that happened, a line for the speaker; none for what nobody would read."""
    match event:
        case Spoke(turn):
            return turn_lines(turn)
        case Hinted(text, _, cost):
            return [literal(f"    Hint (-{cost}): ", "bold") + literal(_line(text), "italic")]
        case Entered():
            about = f"{question_label(event.question)}: " if event.question else ""
            said = literal(f"    entered  {about}{_line(event.said)}", "dim")
            return [said if event.taken else said + literal("  (given back)", "dim")]
        case Lifted():
            return [literal(f"    stop lifted  {_line(event.reason)}", "dim")]
        case _:
            return []


def turn_lines(turn: Turn) -> list[Content]:
    """The adviser's words and the caller's, under the number of the turn."""
    lines = []
    number = f"{turn.number:>2}  "
    if turn.adviser:
        lines.append(literal(f"{number}You: ", "dim") + literal(_line(turn.adviser), "dim"))
        number = "    "
    lines.append(literal(number, "dim") + literal("Caller: ") + literal(_line(turn.caller), "bold"))
    return lines


def _line(text: str) -> str:
    return " ".join(text.split())[:_LONGEST]
