"""The end of a practice call: what is left to do, naming the chair, and saying goodbye."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, Literal

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widgets import Static

from consult.sentence import of_thing
from consult.ui.dialogs import Page
from consult.ui.keys import Foot
from consult.ui.literal import literal

if TYPE_CHECKING:
    from consult.practice.exercise import Exercise

Chosen = Literal["recommend", "close"]


class EndScreen(Page[Chosen | None]):
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
    lines = []
    left = len(exercise.session.now.to_ask)
    if exercise.level != "unaided" and left:
        is_open = "1 question is" if left == 1 else f"{left} questions are"
        lines.append(f"{is_open} still open.")
    if exercise.session.now.stopped is not None:
        lines.append("There is a stop, so no chair can be recommended.")
    elif not may_recommend(exercise):
        lines.append("No chair is worked out in this call.")
    elif exercise.log.recommended is not None:
        lines.append("You have recommended a chair. Press r to recommend the one worked out now.")
    else:
        lines.append("You have not recommended a chair yet.")
    lines.append("")
    if may_recommend(exercise):
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
