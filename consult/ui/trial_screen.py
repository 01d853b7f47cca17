"""What an answer would change, to keep or to drop."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Static

from consult.call.wording import question_label
from consult.ui.keys import Foot
from consult.ui.page import Page
from consult.ui.words import literal

if TYPE_CHECKING:
    from consult.call.session import Trial


class TrialScreen(Page[bool]):
    """True: record the answer after all."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,d", "dismiss(False)", "Drop"),
        Binding("k", "dismiss(True)", "Keep: store it as the answer"),
    ]

    def __init__(self, trial: Trial) -> None:
        super().__init__()
        self.trial = trial

    def compose(self) -> ComposeResult:
        with VerticalScroll(classes="page") as page:
            page.border_title = "What if: not stored yet"
            yield Static(trial_content(self.trial), id="trial", markup=False)
        yield Foot()


def trial_content(trial: Trial) -> Content:
    """The answer tried, and before and after of everything it would change."""
    label = question_label(trial.question.name)
    lines = [literal(f"{label}: {' '.join(trial.said.split())[:200]}", "bold"), Content("")]
    if trial.odd:
        lines += [literal(f"! {trial.odd}"), Content("")]
    if not trial.found:
        lines.append(literal("Nothing on the screen would change."))
    for one in trial.found:
        before = literal(f"{one.topic}: {one.before}")
        lines.append(before + literal(" → ") + literal(one.after, "bold"))
    lines += [Content(""), literal("k stores it as an answer, Esc drops it.")]
    return Content("\n").join(lines)
