"""What the practice desk has of its own: the conversation, and the page at its end."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, Literal

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Static

from consult.call.wording import question_label
from consult.practice.log import Entered, Event, Hinted, Lifted, Log, Spoke, Turn
from consult.sentence import of_thing
from consult.ui.dialogs import Page
from consult.ui.keys import Foot
from consult.ui.literal import literal
from consult.ui.widgets.part import TextPart

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from consult.practice.exercise import Exercise

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
        said = [event for event in log.events if isinstance(event, (Spoke, Hinted))]
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


# -- the end of a practice call: naming the chair, and saying goodbye -----------------------------


HowToEnd = Literal["recommend", "close"]


class EndScreen(Page[HowToEnd | None]):
    """What the adviser does to end the call; None goes back to it."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("r", "dismiss('recommend')", "Recommend"),
        Binding("c", "dismiss('close')", "Close: say goodbye and see the score"),
        Binding("escape", "dismiss(None)", "Back to the call"),
    ]
    AUTO_FOCUS = None

    def __init__(self, exercise: Exercise) -> None:
        super().__init__()
        self.exercise = exercise

    def compose(self) -> ComposeResult:
        with VerticalScroll(classes="box", can_focus=False):
            yield Static(literal("Ending the practice call", "bold"), markup=False)
            yield Static(literal(end_text(self.exercise)), id="end-text", markup=False)
        yield Foot()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool:
        """A chair is named only where one may be."""
        recommends = action == "dismiss" and parameters == ("recommend",)
        return super().check_action(action, parameters) and not (
            recommends and not may_recommend(self.exercise)
        )


def may_recommend(exercise: Exercise) -> bool:
    """Whether a chair is worked out in this call, and no stop forbids naming it."""
    now = exercise.session.now
    return now.stopped is None and now.fit is not None


def end_text(exercise: Exercise) -> str:
    """How far the call is, and what the two keys do."""
    now, may = exercise.session.now, may_recommend(exercise)
    if now.stopped is not None:
        chair = "There is a stop, so no chair can be recommended."
    elif not may:
        chair = "No chair is worked out in this call."
    elif exercise.log.recommended is not None:
        chair = "You have recommended a chair. Press r to recommend the one worked out now."
    else:
        chair = "You have not recommended a chair yet."
    left = len(now.to_ask) if exercise.level != "unaided" else 0
    is_open = "1 question is" if left == 1 else f"{left} questions are"
    lines = [f"{is_open} still open."] if left else []
    lines += [chair, ""]
    if may:
        lines.append(
            "r    Recommend: tells the caller the chair worked out so far, and how to set it. "
            "The call continues."
        )
    lines = [of_thing(line, exercise.basis.thing) for line in lines]
    lines += [
        "c    Close: you say goodbye, the call ends, and you see the score.",
        "Esc  Back to the call.",
    ]
    return "\n".join(lines)
